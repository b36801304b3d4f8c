"""`.odt` files made by hand per OpenDocument 1.2: paragraphs, headings, tracked changes, what hangs beside the text."""

from __future__ import annotations

from ledger.model.book import Person
from ledger.read.word_processor.document import Document
from ledger.read.word_processor.drafts import as_typed, document_findings, read_any_script
from ledger.read.word_processor.odt import read_odt
from tests.word_files import odt

NELL = (Person("N", "Nell"),)


def read(text: str, automatic: str = "") -> Document:
    return read_odt("draft.odt", odt(text, automatic))


def test_headings_and_emphasis() -> None:
    styles = (
        '<style:style style:name="T1" style:family="text"><style:text-properties fo:font-weight="bold"/></style:style>'
        '<style:style style:name="P1" style:family="paragraph"><style:text-properties fo:font-weight="bold" '
        'fo:font-size="18pt"/></style:style>'
    )
    text = (
        '<text:h text:outline-level="1">The slipway</text:h><text:p text:style-name="P1">The shed</text:p>'
        '<text:p>N: Is that <text:span text:style-name="T1">you</text:span>,<text:s text:c="2"/>or'
        "\n   the wind?<text:line-break/>N: Who?</text:p><text:p>Rain.</text:p>"
    )
    said = as_typed("draft.odt", odt(text, styles), ())[0].decode()
    assert said == "# The slipway\n\n## The shed\n\nN: Is that **you**,  or the wind?\nN: Who?\n\nRain.\n"


def test_tracked_changes_are_read_as_accepted_and_counted() -> None:
    text = (
        "<text:tracked-changes><text:changed-region><text:deletion><office:change-info/><text:p>cut</text:p>"
        "</text:deletion></text:changed-region><text:changed-region><text:insertion/></text:changed-region>"
        "</text:tracked-changes><text:p>N: Is that <text:change/><text:change-start/>you<text:change-end/>?</text:p>"
    )
    document = read(text)
    assert [each.text for each in document.paragraphs] == ["N: Is that you?"] and document.changes == 2
    assert document_findings(document)[0].message == "2 tracked changes were read as accepted (1 insertion, 1 deletion)"


def test_comments_notes_boxes_and_contents() -> None:
    text = (
        "<text:table-of-content><text:index-body><text:p>The slipway 3</text:p></text:index-body>"
        "</text:table-of-content><text:p>J: It's the rent.<text:note><text:note-citation>1</text:note-citation>"
        "<text:note-body><text:p>Of 1911.</text:p></text:note-body></text:note></text:p>"
        "<text:p>A door.<office:annotation><dc:creator>Ida</dc:creator><text:p>Which?</text:p></office:annotation>"
        "<draw:frame><draw:text-box><text:p>SFX: KRRNK</text:p></draw:text-box></draw:frame></text:p>"
    )
    document = read(text)
    assert [(each.number, each.text) for each in document.paragraphs] == [
        (1, "J: It's the rent."), (2, "Of 1911."), (3, "A door."), (4, "SFX: KRRNK"),
    ]  # fmt: skip
    assert document.comments == 1 and document.counted["footnote"] == 1 and document.counted["contents"] == 1


def test_lists_and_tables() -> None:
    text = (
        "<text:list><text:list-item><text:p>The gate opens</text:p></text:list-item></text:list><table:table>"
        "<table:table-row><table:table-cell><text:p>NELL</text:p></table:table-cell><table:table-cell>"
        "<text:p>Push.</text:p></table:table-cell></table:table-row></table:table>"
    )
    data = odt(text)
    assert as_typed("o.odt", data, (), outline=True)[0].decode() == "- The gate opens\n\nNELL\nPush.\n"
    draft = read_any_script([("o.odt", data)], NELL)
    assert [(line.line, line.speaker, line.text) for line in draft.lines] == [
        (1, "", "The gate opens"),
        (2, "Nell", "Push."),
    ]


def test_words_that_a_list_sets_before_its_items() -> None:
    styles = "".join(
        f'<text:list-style style:name="{name}"><text:list-level-style-number text:level="1" style:num-prefix="{said} " '
        'style:num-suffix="." style:num-format="1"/></text:list-style>'
        for name, said in (("L1", "PAGE"), ("L2", "Panel"))
    )

    def listed(style: str, *items: str, more: str = "") -> str:
        inside = "".join(f"<text:list-item><text:p>{item}</text:p></text:list-item>" for item in items)
        return f'<text:list text:style-name="{style}"{more}>{inside}</text:list>'

    text = listed("L1", "") + listed("L2", "A door.", "Rain.") + "<text:p>N: Push.</text:p>"
    text += listed("L1", "", more=' text:continue-numbering="true"') + listed("L2", "Tin.")
    draft = read_any_script([("draft.odt", odt(text, styles))], NELL)
    assert [(line.text, line.page, line.panel) for line in draft.lines] == [
        ("A door.", "1", 1), ("Rain.", "1", 2), ("Push.", "1", 2), ("Tin.", "2", 1),
    ]  # fmt: skip
