"""Marks of PDFs, read as plain values and as notes."""

from __future__ import annotations

import re
from collections.abc import Mapping

import pytest
from pypdf.generic import NameObject

from ledger.model.coming_in import NoteIn, NotesIn
from ledger.model.errors import Refusal
from ledger.model.note import Anchor
from ledger.read.marginalia import pdf
from ledger.read.marginalia.apart import apart
from ledger.read.marginalia.pdf import Mark, MarkedPdf, read_pdf
from ledger.read.marginalia.pdf_notes import pdf_notes
from tests.marked_pdf import MarkedFile

WORDS = "Nell: Is that you, or the wind?\nJoren: Neither."


def no_look(data: bytes) -> tuple[str, str]:
    return str(len(data)), ""


def read(made: MarkedFile) -> MarkedPdf:
    return read_pdf("marks.pdf", made.bytes(), no_look)


def noted(made: MarkedFile, labels: Mapping[int, str] | None = None) -> NotesIn:
    def finds(anchor: Anchor) -> int:
        return int((anchor.quote or "") in WORDS and anchor.page in (None, "1"))

    return pdf_notes("marks.pdf", read(made), {1: "1", 2: "2"} if labels is None else labels, finds)


def one(kind: str, **more: object) -> NoteIn:
    """The note of a file with one mark on one page without words."""
    made = MarkedFile()
    made.mark(made.page(), kind, **more)
    (note,) = noted(made).notes
    return note


def test_every_kind_with_author_date_and_name() -> None:
    for kind in ("Text", "Highlight", "Underline", "FreeText", "Ink", "Square", "Circle", "Squiggly", "Stamp"):
        note = one(kind, Contents="too dark", T="Ida Kestrel", M="D:20260212101500+01'00'", NM="a-1")
        assert note[:6] == ("too dark", "p1 @0.5,0.533", "Ida Kestrel", "2026-02-12", kind.lower(), "a-1")
    assert one("StrikeOut", Contents="no").text == "strikeout: no" and one("Caret", Contents="yes").text == "caret: yes"


def test_a_date_behind_a_name_is_no_part_of_it() -> None:
    """As a word processor writes its comments into a PDF."""
    assert one("Text", Contents="too dark", T="Ida Kestrel, 02/20/26, ").author == "Ida Kestrel"
    assert one("Text", Contents="too dark", T="Ida Kestrel, 20.2.2026").author == "Ida Kestrel"
    assert one("Text", Contents="too dark", T="Studio 24/7").author == "Studio 24/7"


@pytest.mark.parametrize(("kind", "said"), [("Text", "note"), ("Highlight", "highlight"), ("Underline", "underline"),
                         ("StrikeOut", "strikeout"), ("Caret", "caret"), ("Ink", "ink stroke"), ("Square", "square"),
                         ("FreeText", "words typed on the page")])  # fmt: skip
def test_a_bare_stroke_is_named(kind: str, said: str) -> None:
    assert one(kind)[:6] == (said, "p1 @0.5,0.533", "", "", kind.lower(), "")


def test_links_pop_ups_and_fields_are_no_marks() -> None:
    made = MarkedFile()
    page = made.page()
    for kind in ("Link", "Popup", "Widget", "Screen", "PrinterMark", "TrapNet"):
        made.mark(page, kind, Contents="no mark")
    made.put(page, NameObject("/Null"))
    assert read(made) == MarkedPdf([], [], 1)


def test_words_under_a_stroke_are_known() -> None:
    made = MarkedFile()
    page = made.page(words=WORDS)
    # Courier: 12 units a letter at 20; "that" are letters 9 to 12 of a row that begins at 50.
    made.mark(page, "Highlight", (50 + 9 * 12, 694, 50 + 13 * 12, 716), Contents="who?")
    made.mark(page, "StrikeOut", (50, 670, 50 + 15 * 12, 692))
    two_rows = [278, 716, 480, 716, 278, 694, 480, 694, 50, 692, 130, 692, 50, 670, 130, 670]
    made.mark(page, "Underline", (50 + 19 * 12, 694, 480, 716), QuadPoints=list(map(float, two_rows)))
    notes = noted(made).notes
    assert [(note.place, note.text) for note in notes] == [
        ('p1 "that"', "who?"), ("p1 @0.53,0.076", "underline “or the wind? Joren:”"),
        ('p1 "Joren: Neither."', "strikeout “Joren: Neither.”"),
    ]  # fmt: skip


def test_a_struck_word_and_a_caret_in_one_group_replace_it() -> None:
    for first in ("Caret", "StrikeOut"):
        made = MarkedFile()
        page = made.page(words=WORDS)
        rects = {"Caret": (150, 690, 160, 700), "StrikeOut": (50 + 9 * 12, 694, 50 + 13 * 12, 716)}
        (head,) = [kind for kind in rects if kind == first]
        (part,) = [kind for kind in rects if kind != first]
        above = made.mark(
            page, head, rects[head], T="Ida", NM="head", **({"Contents": "this"} if head == "Caret" else {})
        )
        made.mark(
            page,
            part,
            rects[part],
            IRT=above,
            RT="/Group",
            NM="part",
            **({"Contents": "this"} if part == "Caret" else {}),
        )
        (note,) = noted(made).notes
        assert (note.place, note.text, note.kind, note.name) == (
            'p1 "that"', "replace “that” with “this”", "replace", "head",
        )  # fmt: skip


def test_answers_stand_under_their_mark_and_rings_lose_nothing() -> None:
    made = MarkedFile()
    page = made.page()
    first = made.mark(page, "Text", Contents="why?", T="Ida")
    second = made.mark(page, "Text", Contents="stet: because", T="Bede", M="D:20260213", IRT=first)
    made.mark(page, "Text", Contents="aha", T="Ida", IRT=second)
    made.mark(page, "Text", State="Accepted", StateModel="Review", T="Bede", IRT=first)
    (note,) = noted(made).notes
    assert [reply.text for reply in note.replies] == [
        "reply by Bede, 2026-02-13: stet: because", "reply by Ida: aha", "reply by Bede: set to accepted",
    ]  # fmt: skip
    one_ = made.mark(page, "Text", Contents="ring one")
    other = made.mark(page, "Text", Contents="ring two", IRT=one_)
    one_.get_object()[NameObject("/IRT")] = other  # type: ignore[index]
    assert sorted(note.text for note in noted(made).notes) == ["ring one", "ring two", "why?"]


def test_spots_are_where_the_page_is_seen() -> None:
    """A mark near the corner that lies left and up as the page is shown, whichever way it is turned (7.7.3.3)."""
    corners = {0: (0, 700, 50, 750), 90: (0, 0, 50, 50), 180: (450, 0, 500, 50), 270: (450, 700, 500, 750)}
    for turn, rect in corners.items():
        made = MarkedFile()
        made.mark(made.page(turn=turn), "Text", rect, Contents="x")
        across, down = read(made).marks[0].spot
        assert across < 0.1 and down < 0.1, turn
    made = MarkedFile()
    page = made.page()
    made.writer.pages[page].cropbox.lower_left = (250, 0)
    made.mark(page, "Text", (375, 375, 375, 375), Contents="x")
    assert read(made).marks[0].spot == (0.5, 0.5)


def test_a_page_that_is_none_is_named_and_its_marks_are_kept() -> None:
    made = MarkedFile()
    for number in range(3):
        made.mark(made.page(), "Text", Contents=f"on {number}")
    found = noted(made, {1: "7"})
    assert [(note.place, note.text) for note in found.notes] == [
        ("p7 @0.5,0.533", "on 0"), ("", "page 2 of marks.pdf: on 1"), ("", "page 3 of marks.pdf: on 2"),
    ]  # fmt: skip
    assert [(left.kind, left.name, left.times) for left in found.left] == [
        ("foreign", "page 2", 1),
        ("foreign", "page 3", 1),
    ]


def test_hostile_words_and_rich_text() -> None:
    note = one("Text", Contents="- [x] 9 (p3) <script>\r\n\x1b[31m \u202eabc\x00", T="Stet\nfrom: you")
    assert (note.text, note.author) == ("- [x] 9 (p3) <script>\n\ufffd[31m abc\ufffd", "Stet from: you")
    assert one("FreeText", RC="<body><p>first</p><p>second <b>bold</b></p></body>").text == "first\n\nsecond bold"


# -- bad input


def made_one() -> MarkedFile:
    made = MarkedFile()
    made.mark(made.page(words=WORDS), "Text", Contents="x")
    return made


def broken() -> dict[str, tuple[bytes, str]]:
    whole = made_one().bytes()
    above = re.search(rb"/Parent (\d+ 0 R)", whole)
    assert above
    endless = re.sub(rb"/Kids \[\s*\d+ 0 R", b"/Kids [ " + above[1], whole)
    assert endless != whole
    return {
        "half": (whole[: len(whole) // 2], "does not begin and end"),
        "nothing": (b"%PDF-1.7\n%%EOF\n", "damaged"),
        "no pages": (MarkedFile().bytes(), "it has no pages"),
        "locked": (made_one().encrypted(), "encrypted"),
        "noise": (b"%PDF-1.7\n" + bytes(range(256)) * 40 + b"\n%%EOF", "damaged"),
        "parents of themselves": (endless, ""),
    }


@pytest.mark.parametrize("name", list(broken()))
def test_what_is_damaged_or_locked_is_refused_whole(name: str) -> None:
    data, said = broken()[name]
    try:
        read_pdf("marks.pdf", data, no_look)
    except Refusal as refused:
        assert said in refused.message and refused.path == "marks.pdf" and refused.remedy
    else:
        assert not said


def test_marks_without_end_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "MOST_MARKS", 3)
    made = made_one()
    for _ in range(3):
        made.mark(0, "Text", Contents="x")
    with pytest.raises(Refusal, match="more than 3 marks"):
        read(made)


def test_a_bomb_is_met_in_a_process_of_its_own() -> None:
    def takes_all() -> list[bytes]:
        return [bytes(1 << 28) for _ in range(64)]

    def never_ends() -> None:
        while True:
            pass

    for work in (takes_all, never_ends):
        with pytest.raises(Refusal, match="good time or memory") as caught:
            apart(work, "marks.pdf", seconds=1)
        assert caught.value.path == "marks.pdf"


def test_half_of_what_a_mark_may_say_is_missing_or_of_another_kind() -> None:
    made = MarkedFile()
    page = made.page()
    made.mark(page, "Highlight", QuadPoints=[1.0, 2.0], Contents=3, T=["x"], M="yesterday", NM=7, IRT="nowhere")
    made.mark(page, "Text", Rect="nothing", Contents="y", CreationDate="D:20261399")
    found = read(made)
    assert [(mark.kind, mark.text, mark.author, mark.date, mark.answers) for mark in found.marks] == [
        ("Text", "y", "", "", -1), ("Highlight", "", "", "", -1),
    ]  # fmt: skip
    assert all(isinstance(mark, Mark) and 0 <= mark.spot[0] <= 1 for mark in found.marks)
