"""`.docx` files made by hand per ECMA-376: paragraphs, headings, tracked changes, what hangs beside the text."""

from __future__ import annotations

import pytest

from ledger.model.book import Person
from ledger.read.word_processor.document import Document
from ledger.read.word_processor.docx import read_docx
from ledger.read.word_processor.drafts import as_typed, document_findings, read_any_script
from tests.word_files import REL, W, docx, docx_parts, p, packed, r

NELL = (Person("N", "Nell"),)


def read(body: str, **more: str | bytes) -> Document:
    return read_docx("draft.docx", docx(body, **more))


def texts(body: str, **more: str | bytes) -> list[str]:
    return [each.text for each in read(body, **more).paragraphs]


def typed(*paragraphs: str) -> str:
    return as_typed("draft.docx", docx("".join(paragraphs)), ())[0].decode()


def test_headings_by_style_whatever_the_style_is_called_here() -> None:
    said = typed(p("The slipway", style="Kapitel"), p("The shed", style="Szene"), p("The far room", style="MyScene"),
                 p("Outside", more='<w:outlineLvl w:val="1"/>'))  # fmt: skip
    assert said == "# The slipway\n\n## The shed\n\n## The far room\n\n## Outside\n"


def test_headings_by_look() -> None:
    large, bold = '<w:b/><w:sz w:val="36"/>', "<w:b/>"
    quiet = [p("Rain on tin, all the way down to the slip.") for _ in range(4)]
    said = typed(p(r("The slipway", large)), p(r("The boat shed", bold)), *quiet, p(r("N: Push!", bold)),
                 p(r("NELL", bold)), p(r("PAGE TWO", bold)), p(r("The door gives.", bold)))  # fmt: skip
    assert [row for row in said.split("\n") if row.startswith("#")] == ["# The slipway", "## The boat shed"]


def headings(said: str) -> list[str]:
    return [row for row in said.split("\n") if row.startswith("#")]


_BOLD, _CENTRED = "<w:b/>", '<w:jc w:val="center"/>'
_QUIET = [p("Rain on tin, all the way down to the slip.") for _ in range(4)]


def test_headings_in_capitals_are_told_from_names_and_sounds() -> None:
    """Set off or of one word, a line in bold capitals is a heading beside others that look the same."""
    shed, loft, slip = (p(r(said, _BOLD), more=_CENTRED) for said in ("THE BOAT SHED", "LOFT", "ON THE SLIP"))
    title = p(r("Low water", '<w:b/><w:sz w:val="40"/>'), more=_CENTRED)
    said = typed(title, shed, *_QUIET, loft, *_QUIET, slip, *_QUIET, p(r("CRASH!", _BOLD), more=_CENTRED), *_QUIET)
    assert headings(said) == ["# Low water", "## THE BOAT SHED", "## LOFT", "## ON THE SLIP"]
    assert headings(typed(shed, *_QUIET, *_QUIET)) == [], "one alone may be a name, a sound or THE END"


def test_a_name_that_comes_again_or_stands_above_words_set_off_is_no_heading() -> None:
    name, words = p(r("OLD NELL", _BOLD), more=_CENTRED), p("Push!", more=_CENTRED)
    other = p(r("THE OTHERS", _BOLD), more=_CENTRED)
    assert headings(typed(*[name, words, other, words, *_QUIET] * 2)) == []
    assert headings(typed(*[name, *_QUIET] * 3, other, words, *_QUIET)) == []


def test_a_scene_as_screenplays_type_it_is_one_however_it_looks() -> None:
    said = typed(p(r("The slipway", '<w:b/><w:sz w:val="36"/>')), p("INT. BOAT SHED - NIGHT"), *_QUIET,
                 p("EXT. SLIP - DAWN"), p("Int. means inside, she says."), *_QUIET)  # fmt: skip
    assert headings(said) == ["# The slipway", "## INT. BOAT SHED - NIGHT", "## EXT. SLIP - DAWN"]


def test_a_chapter_is_one_by_its_words() -> None:
    said = typed(p("CHAPTER TWO: The far room"), p("Chapter and verse, she says."), p("Prologue"), p("Part IV"))
    assert [row for row in said.split("\n") if row.startswith("#")] == [
        "# CHAPTER TWO: The far room", "# Prologue", "# Part IV",
    ]  # fmt: skip


def test_a_title_is_a_chapter_only_where_there_is_no_other() -> None:
    title, scene = p(r("THE NINTH SUPPER", "<w:b/>"), style="Title"), p("The shed", style="Szene")
    assert typed(title, scene, p("Rain.")) == "# THE NINTH SUPPER\n\n## The shed\n\nRain.\n"
    assert typed(title, p("Chapter One"), p("Rain.")) == "THE NINTH SUPPER\n\n# Chapter One\n\nRain.\n"


def test_a_page_that_is_styled_as_a_heading_is_a_page() -> None:
    data = docx(p("PAGE ONE (2 panels)", style="Kapitel") + p("Panel 1. A door.", style="Szene") + p("N: Push."))
    draft = read_any_script([("draft.docx", data)], NELL)
    assert [(page.label, page.declared) for page in draft.pages] == [("1", 2)]
    assert [(line.text, line.panel) for line in draft.lines] == [("A door.", 1), ("Push.", 1)]


def test_where_a_word_may_break_is_no_part_of_it() -> None:
    assert typed(p("Down to the har\u00adbour.")) == typed(
        p(r("Down to the har"), "<w:r><w:softHyphen/></w:r>", r("bour."))
    )
    assert typed(p("Down to the har\u00adbour.")) == "Down to the harbour.\n"


def test_emphasis() -> None:
    said = typed(p("N: Is that ", r("you", "<w:i/>"), ", or the ", r("wind ", "<w:b/><w:i/>"), "now?"),
                 p("N: ", r("Loud", '<w:rStyle w:val="Loud"/>'), r("er", '<w:b w:val="0"/>')),
                 p(r("Nell runs.", "<w:i/>")))  # fmt: skip
    assert said == "N: Is that *you*, or the ***wind*** now?\n\nN: **Loud**er\n\nNell runs.\n"


def test_tracked_changes_are_read_as_accepted_and_counted() -> None:
    body = p(
        "N: Is that ", "<w:del w:id='1'><w:r><w:delText>him</w:delText></w:r></w:del>",
        "<w:ins w:id='2'><w:r><w:t>you</w:t></w:r><w:del w:id='3'><w:r><w:delText>us</w:delText></w:r></w:del></w:ins>",
        r("?"),
    )  # fmt: skip
    body += p("<w:moveFrom w:id='4'><w:r><w:t>Gone.</w:t></w:r></w:moveFrom>")
    body += p("<w:moveTo w:id='5'><w:r><w:t>Gone.</w:t></w:r></w:moveTo>")
    document = read(body)
    assert [each.text for each in document.paragraphs] == ["N: Is that you?", "", "Gone."]
    assert dict(document.counted) == {"insertion": 1, "deletion": 2, "move": 1} and document.changes == 4
    (told,) = document_findings(document)
    assert told.message == "4 tracked changes were read as accepted (1 insertion, 2 deletions, 1 move)"
    assert (told.rule, told.line) == ("text-dropped", 1)


def test_a_paragraph_mark_that_was_taken_out_joins_two_paragraphs() -> None:
    gone = '<w:rPr><w:del w:id="1"/></w:rPr>'
    document = read(p("N: They never ", more=gone) + p("came back.", style="Szene") + p("End.", more=gone))
    assert [(each.number, each.text, each.level) for each in document.paragraphs] == [
        (1, "N: They never came back.", 2), (2, "End.", 0),
    ]  # fmt: skip
    assert document.changes == 2


def test_a_row_that_was_taken_out_of_a_table_is_gone() -> None:
    row = "<w:tr>{}<w:tc>" + p("{}") + "</w:tc></w:tr>"
    body = "<w:tbl>" + row.format("<w:trPr><w:del w:id='1'/></w:trPr>", "cut") + row.format("", "kept") + "</w:tbl>"
    document = read(body + p("after"))
    assert [each.text for each in document.paragraphs] == ["kept", "after"] and document.changes == 1


def test_comments_are_left_out_and_counted() -> None:
    body = p("<w:commentRangeStart w:id='0'/>", "N: Push.", "<w:commentRangeEnd w:id='0'/>",
             "<w:r><w:commentReference w:id='0'/></w:r>")  # fmt: skip
    document = read(
        body, comments=f'<w:comments xmlns:w="{W}"><w:comment w:id="0">{p("Too blunt?")}</w:comment></w:comments>'
    )
    assert document.comments == 1 and [each.text for each in document.paragraphs] == ["N: Push."]
    assert document_findings(document)[0].message == "a comment was left out"


def test_every_word_beside_the_text_is_kept_or_named() -> None:
    notes = f'<w:footnotes xmlns:w="{W}"><w:footnote w:id="1">{p("The rent of 1911.")}</w:footnote></w:footnotes>'
    box = f"<w:r><w:drawing><w:txbxContent>{p('SFX: KRRNK')}</w:txbxContent></w:drawing></w:r>"
    choices = f"<mc:Choice>{box[5:-6]}</mc:Choice><mc:Fallback>{box}</mc:Fallback>"
    twice = f"<w:r><mc:AlternateContent>{choices}</mc:AlternateContent></w:r>"
    body = p("J: It's the rent.", "<w:r><w:footnoteReference w:id='1'/></w:r>") + p("A door.", twice)
    body += p("Chapter 1\t3", style="TOC1") + p(r("secret", "<w:vanish/>"), "seen")
    document = read(body, footnotes=notes)
    assert [each.text for each in document.paragraphs] == [
        "J: It's the rent.", "The rent of 1911.", "A door.", "SFX: KRRNK", "", "seen",
    ]  # fmt: skip
    assert {f.message for f in document_findings(document)} == {
        "a footnote was read as a paragraph of its own", "a table of contents was left out", "hidden text was left out",
    }  # fmt: skip


def test_breaks_tabs_and_signs_inside_a_paragraph() -> None:
    body = p("NELL", "<w:r><w:tab/><w:t>Push.</w:t><w:br/><w:t>N: Now</w:t><w:noBreakHyphen/><w:t>ish.</w:t></w:r>")
    draft = read_any_script([("draft.docx", docx(body))], NELL)
    assert [(line.speaker, line.text) for line in draft.lines] == [("Nell", "Push."), ("Nell", "Now-ish.")]


@pytest.mark.parametrize(
    "body",
    [
        p("NELL", style="Speaker") + p("Push."),
        p("NELL", more='<w:jc w:val="center"/>') + p("Push.", more='<w:ind w:left="1440"/>'),
        p("Nell") + p("Push."),
        "<w:tbl><w:tr><w:tc>" + p("NELL") + "</w:tc><w:tc>" + p("Push.") + "</w:tc></w:tr></w:tbl>",
    ],
)
def test_a_name_in_a_paragraph_of_its_own(body: str) -> None:
    draft = read_any_script([("draft.docx", docx(p("Damp.") + body + p("The door gives.")))], NELL)
    assert [(line.line, line.speaker, line.text) for line in draft.lines] == [
        (1, "", "Damp."), (2, "Nell", "Push."), (4, "", "The door gives."),
    ]  # fmt: skip


def test_an_aside_between_a_name_and_its_words_is_a_cue() -> None:
    body = p("NELL", style="Speaker") + p("(whispering)") + p("Push.")
    (line,) = read_any_script([("draft.docx", docx(body))], NELL).lines
    assert (line.speaker, line.cue, line.text, line.end_line) == ("Nell", "whispering", "Push.", 3)


def test_a_sound_above_action_is_no_name() -> None:
    draft = read_any_script([("draft.docx", docx(p("KRRNK") + p("The door gives.")))], ())
    assert [(line.role, line.text) for line in draft.lines] == [("action", "KRRNK"), ("action", "The door gives.")]


def test_strict_documents_are_read_as_transitional_ones_are() -> None:
    parts = docx_parts(p("N: Push."))
    oclc = "http://purl.oclc.org/ooxml"
    others = {W: f"{oclc}/wordprocessingml/main", REL: f"{oclc}/officeDocument/relationships"}
    strict = {}
    for name, part in parts.items():
        strict[name] = str(part)
        for usual, other in others.items():
            strict[name] = strict[name].replace(usual, other)
    assert [each.text for each in read_docx("a.docx", packed(strict)).paragraphs] == ["N: Push."]


def test_lines_count_paragraphs_from_one_empty_ones_too() -> None:
    draft = read_any_script([("draft.docx", docx(p("A.") + p() + p("N: B.")))], NELL)
    assert [line.line for line in draft.lines] == [1, 3]


def test_words_that_numbering_sets_before_a_paragraph() -> None:
    levels = "".join(
        f'<w:lvl w:ilvl="{depth}"><w:start w:val="1"/><w:lvlText w:val="{said}"/></w:lvl>'
        for depth, said in ((0, "PAGE %1"), (1, "Panel %2."), (2, "%3."))
    )
    numbering = (
        f'<w:numbering xmlns:w="{W}"><w:abstractNum w:abstractNumId="7">{levels}</w:abstractNum>'
        '<w:num w:numId="1"><w:abstractNumId w:val="7"/></w:num></w:numbering>'
    )

    def listed(text: str, depth: int) -> str:
        return p(text, more=f'<w:numPr><w:ilvl w:val="{depth}"/><w:numId w:val="1"/></w:numPr>')

    body = [
        listed("", 0),
        listed("A door.", 1),
        listed("Rain.", 1),
        listed("N: Push.", 2),
        listed("", 0),
        listed("Tin.", 1),
    ]
    data = docx("".join(body), numbering=numbering)
    draft = read_any_script([("draft.docx", data)], NELL)
    assert [(line.text, line.page, line.panel) for line in draft.lines] == [
        ("A door.", "1", 1), ("Rain.", "1", 2), ("Push.", "1", 2), ("Tin.", "2", 1),
    ]  # fmt: skip
