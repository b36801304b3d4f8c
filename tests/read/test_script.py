"""Scripts as people type them (convention §3): who speaks, on which page, and no word lost."""

from __future__ import annotations

import pytest

from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.read.script import read_script

CAST = (Person("W", "Wren"), Person("T", "Tomas Arde", ("Tom", "TOMAS")))
SAMPLE = """\
# Chapter 2: The tide gauge

## Harbour office, before dawn

Wren shoulders the door open. Paper everywhere.

W: You said the map was here.
T: It was. {whisper}
CAP: Three hours to high water.
SFX: KRRRK
"""


def read(text: str | bytes, cast: tuple[Person, ...] = ()) -> Draft:
    return read_script([("script/01.md", text.encode() if isinstance(text, str) else text)], cast)


def said(text: str, cast: tuple[Person, ...] = ()) -> list[tuple[str, str, str]]:
    """Role, speaker and words of every line."""
    return [(line.role, line.speaker, line.text) for line in read(text, cast).lines]


def rules(text: str, cast: tuple[Person, ...] = ()) -> list[tuple[str, int | None]]:
    return [(finding.rule, finding.line) for finding in read(text, cast).findings]


def test_a_bare_first_draft() -> None:
    draft = read(SAMPLE, CAST)
    (scene,) = draft.scenes
    assert (scene.chapter, scene.title, scene.line, scene.number_of_chapter) == (
        "Chapter 2: The tide gauge", "Harbour office, before dawn", 3, 1,
    )  # fmt: skip
    assert [(line.line, line.end_line, line.role, line.speaker, line.text, line.cue) for line in draft.lines] == [
        (5, 5, "action", "", "Wren shoulders the door open. Paper everywhere.", ""),
        (7, 7, "dialogue", "Wren", "You said the map was here.", ""),
        (8, 8, "dialogue", "Tomas Arde", "It was.", "whisper"),
        (9, 9, "caption", "", "Three hours to high water.", "CAP"),
        (10, 10, "sfx", "", "KRRRK", "SFX"),
    ]
    assert draft.words == 14
    assert draft.findings == ()


@pytest.mark.parametrize(
    ("typed", "speaker", "cue"),
    [
        ("W: Row.", "Wren", ""),
        ("Wren: Row.", "Wren", ""),
        ("WREN: Row.", "Wren", ""),
        ("Tom: Row.", "Tomas Arde", ""),
        ("Tomas Arde: Row.", "Tomas Arde", ""),
        ("W:Row.", "Wren", ""),
        ("W: Row.", "Wren", ""),
        ("**W:** Row.", "Wren", ""),
        ("**Wren**: Row.", "Wren", ""),
        ("W (OP): Row.", "Wren", "OP"),
        ("W (whisper): Row.", "Wren", "whisper"),
        ("W: Row. {whisper}", "Wren", "whisper"),
        ("W (cont'd): Row.", "Wren", ""),
        ("W (CONT’D): Row.", "Wren", ""),
        ("W & T: Row.", "Wren & Tomas Arde", ""),
        ("WREN AND TOMAS: Row.", "Wren & Tomas Arde", ""),
        ("ALL: Row.", "ALL", ""),
        ("1. WREN: Row.", "Wren", ""),
        ("12) W: Row.", "Wren", ""),
        ("W\tRow.", "Wren", ""),
        ("1. WREN\tRow.", "Wren", ""),
        ("WREN\nRow.", "Wren", ""),
        ("Wren (OP)\nRow.", "Wren", "OP"),
        ("OP (Wren): Row.", "Wren", "OP"),
        ("W, OFF: Row.", "Wren", "OFF"),
        ("WREN – OFF: Row.", "Wren", "OFF"),
        ("THOUGHT: Row.", "", "THOUGHT"),
        ("V.O.: Row.", "", "VO"),
        ("RADIO (crackling): Row.", "", "RADIO, crackling"),
    ],
)
def test_who_speaks(typed: str, speaker: str, cue: str) -> None:
    draft = read(typed, CAST)
    assert [(line.role, line.speaker, line.cue, line.text) for line in draft.lines] == [
        ("dialogue", speaker, cue, "Row."),
    ]
    assert draft.findings == ()


@pytest.mark.parametrize(
    ("typed", "role", "speaker"),
    [
        ("CAP: Low.", "caption", ""),
        ("CAPTION: Low.", "caption", ""),
        ("CAP (Wren): Low.", "caption", "Wren"),
        ("CAP (W): Low.", "caption", "Wren"),
        ("SFX: Low.", "sfx", ""),
        ("FX (door): Low.", "sfx", ""),
        ("SIGN: Low.", "dialogue", ""),
    ],
)
def test_cues_are_nobody_unless_they_name_somebody(typed: str, role: str, speaker: str) -> None:
    assert said(typed, CAST) == [(role, speaker, "Low.")]
    assert rules(typed, CAST) == []


@pytest.mark.parametrize(
    "typed",
    ["Wren waits: nothing.", "12:30 on the clock.", "See HTTP://harbour.example for it.", "Note: the lamp is lit.",
     ": nobody", "At 12:30 she rows.", "PAGE: what a page.", "(W): no.", "W\\: no."],
)  # fmt: skip
def test_what_is_no_key_is_action(typed: str) -> None:
    assert [role for role, _, _ in said(typed, CAST)] == ["action"]


def test_without_a_cast_a_word_in_capitals_is_a_key_and_nobody_is_unknown() -> None:
    assert said("K: Row.\n\nOLD WOMAN: No.\n\nKesh: words.\n\nMRS. HOLM (OP): Yes.\n\nK & O: Both.") == [
        ("dialogue", "K", "Row."),
        ("dialogue", "OLD WOMAN", "No."),
        ("action", "", "Kesh: words."),
        ("dialogue", "MRS. HOLM", "Yes."),
        ("dialogue", "K & O", "Both."),
    ]
    assert rules("BRAM: Who am I?") == []


def test_an_unknown_key_is_named_and_its_words_are_read() -> None:
    draft = read("W: Row.\nWRAN: Who am I?", CAST)
    assert [(line.speaker, line.text) for line in draft.lines] == [("Wren", "Row."), ("WRAN", "Who am I?")]
    (finding,) = draft.findings
    assert (finding.rule, finding.level, finding.path, finding.line) == ("unknown-key", "query", "script/01.md", 2)
    assert "'Wren'" in (finding.remedy or "")


def test_an_old_name_left_after_a_change_is_named() -> None:
    """Trade facts T-208. Only where keys are typed as names: elsewhere `Note:` is a note."""
    (finding,) = read("Wren: Row.\n\nRuben: Who am I?\n\nWren rows on: no name.\n", CAST).findings
    assert (finding.rule, finding.line) == ("unknown-key", 3)
    assert "not read as a speech" in finding.message
    assert rules("W: Row.\n\nNote: the lamp is lit.\n", CAST) == []


def test_balloons_of_one_paragraph() -> None:
    assert said("W: Hold the bag\nout of the water\nand row.\nT: Aye.\n\nnot his.") == [
        ("dialogue", "W", "Hold the bag out of the water and row."),
        ("dialogue", "T", "Aye."),
        ("action", "", "not his."),
    ]


def test_a_shout_inside_a_speech_is_no_name() -> None:
    assert said("W: Stop!\nNOW\nor else.") == [("dialogue", "W", "Stop! NOW or else.")]
    assert said("WREN\nStop!\nTOMAS\nWhy?") == [("dialogue", "WREN", "Stop!"), ("dialogue", "TOMAS", "Why?")]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("W: Row. \\\nT: No.", ["Row.", "No."]),
        ("W: Row.  \nT: No.", ["Row.", "No."]),
        ("W: Row.\\\nT: No.", ["Row.", "No."]),
        ("SFX: KR_RR_K", ["KR_RR_K"]),
        ("W: You are *not* going **now**.", ["You are not going now."]),
        ("W: You *are\nnot* going.", ["You are not going."]),
        ("W: \\*starred\\* &amp; tilted", ["*starred* & tilted"]),
        ("W: a <b>bolder</b> sigh <sigh>", ["a bolder sigh <sigh>"]),
        ("W: see the [hidden chart](chart.png)", ["see the [hidden chart](chart.png)"]),
        ("W: wait <!-- cut? --> here", ["wait here"]),
        ("W: wait\n<!-- cut? -->\nhere", ["wait here"]),
        ("#hashtag", ["#hashtag"]),
        ("SFX: #BANG", ["#BANG"]),
        ("[thunder]", ["[thunder]"]),
        ("[page 12]: y", ["[page 12]: y"]),
        ("[lantern]: brass", ["[lantern]: brass"]),
        ("    W: indented\n\n\tT: tabbed", ["indented", "tabbed"]),
        ("```\nK: fenced\n```", ["fenced"]),
        ("~~~ odd\nK: never closed", ["odd", "never closed"]),
        ("<div>\nK: boxed\n</div>", ["boxed"]),
        ("> K: quoted", ["quoted"]),
        ("- K: listed", ["listed"]),
        ("Kesh counts.\n14. Willow", ["Kesh counts. 14. Willow"]),
        ("Kesh counts.\n1. Hemp", ["Kesh counts.", "1. Hemp"]),
        ("##### Marginal remark", ["Marginal remark"]),
        ("<!-- a\n\nb -->\nW: c", ["c"]),
        ("\\<!-- a --> b", ["<!-- a --> b"]),
    ],
)
def test_no_word_is_lost(typed: str, words: list[str]) -> None:
    assert [line.text for line in read(typed).lines] == words


def test_a_line_of_hyphens_makes_no_heading_unseen() -> None:
    draft = read("## Quay\n\nWren waits.\n---\nW: Here it comes.\n")
    assert [scene.title for scene in draft.scenes] == ["Quay"]
    assert [line.text for line in draft.lines] == ["Wren waits.", "Here it comes."]
    assert [(f.rule, f.line) for f in draft.findings] == [("text-dropped", 3)]
    assert rules("Wren waits.\n\n---\n\nW: Here.\n") == []
    assert rules("[page 2]\n---\nW: Here.\n") == []


def test_a_comment_that_never_ends_is_named_and_read() -> None:
    text = "W: Before.\n\n<!-- never closed\n\nW: Swallowed.\n\n<!-- closed -->\n\nT: After."
    assert [line.text for line in read(text).lines] == ["Before.", "<!-- never closed", "Swallowed.", "After."]
    assert rules(text) == [("text-dropped", 3)]


def test_a_comment_is_not_there() -> None:
    bare = "W: Wait\nhere.\n\nT: For how long?\n"
    noted = "W: Wait\n<!-- ask\n\nher -->\nhere.\n\n<!-- T: cut -->\n\nT: For <!-- very --> how long?\n"
    assert said(noted) == said(bare)
    assert read(noted).words == read(bare).words
    assert [line.line for line in read(noted).lines] == [1, 9]


# Pages and panels


def places(text: str) -> list[tuple[str | None, int | None]]:
    return [(line.page, line.panel) for line in read(text).lines]


def pages(text: str) -> list[tuple[str, str | None, int, int | None]]:
    return [(page.label, page.typed, page.panel_count, page.declared) for page in read(text).pages]


def test_marks_alone_and_leading() -> None:
    text = "[page 1]\n\n[panel 1] Wren rows.\n\n[panel 2]\n\nW: On.\n[panel]\nT: Off.\n\n[page 2, panel 1] W: Up.\n"
    assert places(text) == [("1", 1), ("1", 2), ("1", 3), ("2", 1)]
    assert [line.role for line in read(text).lines] == ["action", "dialogue", "dialogue", "dialogue"]
    assert pages(text) == [("1", "1", 3, None), ("2", "2", 1, None)]


def test_marks_as_programs_write_them_in_markdown() -> None:
    """Both brackets behind a backslash (pandoc, say); behind one backslash stand words."""
    typed = "[page 1]\n\n[panel 1] Wren rows.\n\n**[panel 2]** W: On.\n\n[page 2, panel 1]\n[reveal]\n\nT: Off.\n"
    written = typed.replace("[", "\\[").replace("]", "\\]")
    assert places(written) == places(typed) == [("1", 1), ("1", 2), ("2", 1)]
    assert pages(written) == pages(typed) and read(written).pages[1].panels[0].reveal
    assert pages("\\[page 1]\n\nWren rows.\n") == pages("[page 1\\]\n\nWren rows.\n") == []


def test_a_page_mark_beside_every_panel() -> None:
    text = "[page 12, panel 1] A.\n\n[page 12, panel 2] B.\n\nPAGE 12, PANEL 3\n\nC.\n\n[page 13, panel 1] D.\n"
    assert places(text) == [("12", 1), ("12", 2), ("12", 3), ("13", 1)]
    assert places("[page 1, panel 1] A.\n\n[page 1, panel 1] B.\n") == [("1", 1), ("2", 1)]


def test_a_scene_may_start_in_the_middle_of_a_page() -> None:
    draft = read("## One\n\n[page 1]\n\nW: A.\n\n## Two\n\nW: B.\n")
    assert [(line.scene, line.page) for line in draft.lines] == [(0, "1"), (1, "1")]


@pytest.mark.parametrize(
    ("typed", "label", "typed_number", "declared"),
    [
        ("[page]", "1", None, None),
        ("[Page 1]", "1", "1", None),
        ("[page one]", "1", "1", None),
        ("**[page 1]**", "1", "1", None),
        ("PAGE ONE", "1", "1", None),
        ("PAGE ONE (5 panels)", "1", "1", 5),
        ("PAGE ONE (five panels)", "1", "1", 5),
        ("Page 1 - 5 panels", "1", "1", 5),
        ("PAGE 1: FIVE PANELS", "1", "1", 5),
        ("**PAGE ONE**", "1", "1", None),
        ("### PAGE ONE (1 panel)", "1", "1", 1),
        ("## Page 1", "1", "1", None),
        ("PAGE 1 (SPLASH)", "1", "1", 1),
        ("PAGE TWELVE", "12", "12", None),
        ("PAGE TWENTY-FOUR", "24", "24", None),
        ("PAGE ONE HUNDRED SIXTY", "160", "160", None),
        ("PAGE ONE HUNDRED AND SIXTY", "160", "160", None),
        ("[pages 24-25]", "24-25", "24-25", None),
        ("[pages 24–25]", "24-25", "24-25", None),
        ("[pages]", "1-2", None, None),
        ("PAGES 24-25", "24-25", "24-25", None),
        ("PAGES TWENTY-FOUR AND TWENTY-FIVE", "24-25", "24-25", None),
        ("PAGES SIXTY AND SIXTY-ONE (double-page spread)", "60-61", "60-61", None),
    ],
)
def test_marks_of_pages(typed: str, label: str, typed_number: str | None, declared: int | None) -> None:
    (page,) = read(f"## Quay\n\n{typed}\n\nW: Row.\n").pages
    assert (page.label, page.typed, page.declared, page.line) == (label, typed_number, declared, 3)


@pytest.mark.parametrize(
    "typed",
    ["Page 12 is missing.", "Page 12. Torn out.", "She reads\nPage 12\nof the log.", "[page x]", "[pages 25-24]",
     "[pages 1-160]", "\\[page 12]", "PAGES of it", "Panel 3 shows the lamp.", "Panelled walls.", "PAGE TWELVEFOLD"],
)  # fmt: skip
def test_words_that_are_no_mark(typed: str) -> None:
    draft = read(typed)
    assert draft.pages == ()
    assert len(draft.lines) == 1
    assert draft.lines[0].panel is None


@pytest.mark.parametrize("typed", ["[pannel 3]", "[page x]", "[pages 25-24]", "[Pge 12]", "[page 12, pannel 1]"])
def test_a_mark_with_a_slip_in_it_is_named(typed: str) -> None:
    assert [line.text for line in read(typed).lines] == [typed]
    assert rules(typed) == [("page-number", 1)]


@pytest.mark.parametrize(
    "typed", ["[thunder]", "[pause]", "[page 12]: y", "[rain on the roof]", "[page 12] Wren rows."]
)
def test_other_brackets_are_words_or_marks(typed: str) -> None:
    assert rules(typed) == []


def test_words_beside_a_page_of_the_trade() -> None:
    assert said("PAGE TWELVE - THE FLOOD\nWren rows.\n") == [("action", "", "THE FLOOD Wren rows.")]
    assert places("PAGE TWELVE - THE FLOOD\n") == [("12", None)]


@pytest.mark.parametrize("typed", ["Panel 1.", "PANEL ONE", "#### Panel 1", "[panel 1]", "Panel 1:", "**Panel 1**"])
def test_marks_of_panels(typed: str) -> None:
    draft = read(f"[page 1]\n\n{typed}\n\nW: Row.\n")
    assert [(line.page, line.panel) for line in draft.lines] == [("1", 1)]
    assert draft.pages[0].panels[0].typed == 1


@pytest.mark.parametrize("typed", ["Panel 1. Wren rows.", "PANEL ONE: Wren rows.", "Panel 1 – Wren rows."])
def test_words_beside_a_panel_of_the_trade(typed: str) -> None:
    (line,) = read(f"[page 1]\n\n{typed}\n").lines
    assert (line.role, line.panel, line.text) == ("action", 1, "Wren rows.")


def test_pages_are_counted_whatever_is_typed() -> None:
    text = "[page 1]\n\nW: A.\n\n[page 2]\n\nW: B.\n\n[page 2]\n\nW: C.\n\n[pages 3-4]\n\nW: D.\n\n[page]\n\nW: E.\n"
    assert [(label, typed) for label, typed, _, _ in pages(text)] == [
        ("1", "1"), ("2", "2"), ("3", "2"), ("4-5", "3-4"), ("6", None),
    ]  # fmt: skip
    assert [page for page, _ in places(text)] == ["1", "2", "3", "4-5", "6"]


def test_panels_start_again_on_every_page() -> None:
    text = "[page 1]\n\n[panel 1]\n\nW: A.\n\n[panel 2]\n\nW: B.\n\n[page 2]\n\n[panel 3]\n\nW: C.\n"
    assert places(text) == [("1", 1), ("1", 2), ("2", 1)]
    assert [panel.typed for page in read(text).pages for panel in page.panels] == [1, 2, 3]


def test_a_splash_counts_as_one_panel() -> None:
    text = "[page 1]\n\nWren rows.\n\n[page 2]\n\n[page 3]\n\n[panel 1]\n\n[panel 2]\n"
    assert [count for _, _, count, _ in pages(text)] == [1, 0, 2]
    assert read(text).panels == 3


def test_reveals() -> None:
    draft = read(
        "[reveal] Row.\n\n[page 1]\n\n[panel 1]\n[reveal]\n\nW: A.\n\n[panel 2, reveal]\n\n[page 2]\n[reveal]\n"
    )
    assert [panel.reveal for panel in draft.pages[0].panels] == [True, True]
    assert (draft.pages[0].reveal, draft.pages[1].reveal) == (False, True)
    assert draft.lines[0].text == "[reveal] Row."


def test_an_omitted_page_keeps_its_number() -> None:
    text = "[page 1]\n\nW: A.\n\n[page 2]\n\n[omitted]\n\n[page 3]\n\nW: C.\n"
    assert [(page.label, page.omitted, page.panel_count) for page in read(text).pages] == [
        ("1", False, 1), ("2", True, 0), ("3", False, 1),
    ]  # fmt: skip
    assert pages("[page 1]\n\nW: A.\n\n[omitted]\n\n[page 3]\n\nW: C.\n") == [
        ("1", "1", 1, None), ("2", None, 0, None), ("3", "3", 1, None),
    ]  # fmt: skip
    assert pages("[page 1]\n\nW: A.\n\n[omitted]\n\n[page 2]\n\nW: C.\n") == [("1", "1", 1, None), ("2", "2", 1, None)]


def test_an_omitted_scene() -> None:
    draft = read("## One\n\n[omitted]\n\n## Two\n\nW: A.\n")
    assert [(scene.title, scene.omitted) for scene in draft.scenes] == [("One", True), ("Two", False)]


# Scenes


def test_text_before_the_first_scene_heading_is_a_scene() -> None:
    draft = read("W: Zero.\n\n# One\n\n[page 1]\n\n## Quay\n\nW: A.\n\n# Two\n\nW: Early.\n\n## Mole\n")
    assert [(s.index, s.chapter, s.title, s.headed, s.number_of_chapter, s.line) for s in draft.scenes] == [
        (0, "", "", False, 0, 1), (1, "One", "Quay", True, 1, 7), (2, "Two", "", False, 2, 13),
        (3, "Two", "Mole", True, 2, 15),
    ]  # fmt: skip


def test_a_pinned_id_is_cut_from_the_title() -> None:
    (scene,) = read("# Tides {#tides}\n\n## *Harbour* office {#harbour}\n\nW: Row.\n").scenes
    assert (scene.chapter, scene.title, scene.pin) == ("Tides", "Harbour office", "harbour")


def test_files_are_one_draft() -> None:
    draft = read_script(
        [("script/01.md", b"# One\n\n## Quay\n\n[page 1]\n\nW: A.\n"), ("script/02.md", b"W: B.\n")], []
    )
    assert [(line.path, line.line, line.scene, line.page) for line in draft.lines] == [
        ("script/01.md", 7, 0, "1"), ("script/02.md", 1, 0, "1"),
    ]  # fmt: skip
    assert draft.paths == ("script/01.md", "script/02.md")


# Bytes


@pytest.mark.parametrize(
    "data",
    [
        SAMPLE.replace("\n", "\r\n").encode(),
        SAMPLE.replace("\n", "\r").encode(),
        SAMPLE.replace("\n\n", "\r\n\n").encode(),
        SAMPLE.rstrip("\n").encode(),
        b"\xef\xbb\xbf" + SAMPLE.encode(),
    ],
    ids=["CRLF", "CR", "mixed", "no end", "mark"],
)
def test_line_ends_and_marks_make_no_difference(data: bytes) -> None:
    assert read(data) == read(SAMPLE)


@pytest.mark.parametrize(
    ("encoding", "name"),
    [("latin-1", "Latin-1"), ("cp1252", "Windows-1252"), ("utf-16", "UTF-16"), ("utf-16-le", "UTF-16"),
     ("utf-16-be", "UTF-16"), ("utf-32", "UTF-32")],
)  # fmt: skip
def test_another_encoding_is_named(encoding: str, name: str) -> None:
    ending = "\nW: Café “été”.\n" if encoding != "latin-1" else "\nW: Café été.\n"
    draft = read((SAMPLE + ending).encode(encoding))
    (finding,) = draft.findings
    assert (finding.rule, finding.level, finding.path) == ("encoding", "query", "script/01.md")
    assert name in finding.message
    assert "UTF-8" in (finding.remedy or "")
    assert draft.lines[-1].text.startswith("Café")


def test_a_strange_byte_among_utf8_spoils_no_other_accent() -> None:
    draft = read("W: Café été.\n\nT: naïve ".encode() + "café".encode("latin-1") + b".\n")
    assert [line.text for line in draft.lines] == ["Café été.", "naïve café."]
    (finding,) = draft.findings
    assert (finding.rule, finding.line) == ("encoding", 3)
    assert "a byte here is not UTF-8" in finding.message


def test_a_picture_in_the_folder_is_no_text() -> None:
    draft = read(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(range(256)) * 4)
    assert draft.lines == ()
    assert [finding.rule for finding in draft.findings] == ["encoding"]


@pytest.mark.parametrize(
    "data", [b"", b"\n", b"\xef\xbb\xbf", b"\r\r", b"\0", b"\xff", b"\xff\xfe", b"#", b"[", b"<!--"]
)
def test_hardly_anything(data: bytes) -> None:
    assert read(data).pages == ()


def test_a_name_alone_is_read_alike_wherever_it_stands() -> None:
    spoken = ("dialogue", "Wren", "No.")
    for text in ("Wren: No.\n\nWren\n", "Wren\n\nWren: No.\n"):
        assert sorted(said(text, CAST)) == [("action", "", "Wren"), spoken]
