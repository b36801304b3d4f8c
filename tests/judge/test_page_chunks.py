"""What is told of two states of a script without reading them: on which pages they differ, and whether a slip holds."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.judge.baseline import Archive, Baseline, Head, _renumbered, _surely_valid, _valid
from ledger.judge.closed import closings
from ledger.judge.first_look import only_remarks, only_words
from ledger.judge.page_chunks import apart
from ledger.judge.remembered import Remembered
from ledger.read.script import read_script
from tests.judge.shelf import Shelf, lock, slip

SCRIPT = """# One

## Harbour office

[page 1]
[panel 1]
Wren shoulders the door open.

W: You said the map was here.
T: It was, I swear. {whisper}

[page 2]
T: Ask the tide, the tide knows.

## The long pier

[page 3]
CAP: Three hours to high water.
"""


def pages(new: str, old: str = SCRIPT) -> list[str] | None:
    found = apart({"script/01.md": old.encode()}, {"script/01.md": new.encode()})
    return None if found is None else sorted(found.changed)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("T: It was, I swear. {whisper}\\n", "", ["1"]),
        ("Wren shoulders the door open.", "Wren waits.", ["1"]),
        ("tide knows", "sea knows", ["2"]),
        ("CAP: Three", "CAP: Two", ["3"]),
        ("swear", "promise", ["1"]),
        ("[page 3]\\n", "<!-- mind the tide -->\\n\\n[page 3]\\n", []),
        ("## Harbour office", "## The office", None),
        ("## The long pier", "## The pier", None),
        ("[page 3]\\n", "", None),
        ("[page 3]", "[page 4]", None),
        ("[page 3]", "Page 3", None),
        ("W: You said the map was here.", "[reveal] W: You said the map was here.", None),
        ("W: You said the map was here.", "PAGE TWO", None),
        ("W: You said the map was here.", "<!-- W: You said the map was here.", None),
        ("W: You said the map was here.", "    W: You said the map was here.", None),
        ("T: It was, I swear. {whisper}\\n\\n", "T: It was, I swear.\\n---\\n\\n", None),
        ("T: It was, I swear. {whisper}\\n\\n", "T: It was, I swear. {whisper}\\n", None),
    ],
)
def test_pages_that_differ(old: str, new: str, told: list[str] | None) -> None:
    old, new = old.replace("\\n", "\n"), new.replace("\\n", "\n")
    assert SCRIPT.count(old) == 1
    assert pages(SCRIPT.replace(old, new)) == told


def test_other_files_and_pages_that_are_not_in_a_row_are_left_to_the_reader() -> None:
    whole = {"script/01.md": SCRIPT.encode()}
    assert apart(whole, {"script/02.md": SCRIPT.encode()}) is None
    assert apart({**whole, "script/02.md": b"[page 7]\n"}, {**whole, "script/02.md": b"[page 7]\nT: No.\n"}) is None
    assert apart({"a.md": b"T: No.\n"}, {"a.md": b"T: Yes.\n"}) is None
    assert apart({"a.md": b"\xff"}, {"a.md": b"\xff"}) is None


@pytest.mark.parametrize("remark", ["<!-- mind the tide -->", "<!-- W: No. -->", "<!-- [page 9] -->"])
@pytest.mark.parametrize("place", ["## Harbour office\n\n", "It was, I swear. {whisper}\n\n", "high water.\n"])
def test_a_remark_that_stands_apart_is_nothing_to_the_reader(remark: str, place: str) -> None:
    new = SCRIPT.replace(place, f"{place}{remark}\n\n" if place.endswith("\n\n") else f"{place}\n{remark}\n")
    assert only_words(SCRIPT.encode(), new.encode()) and only_remarks(SCRIPT.encode(), new.encode())
    old_draft, new_draft = (read_script((("script/01.md", t.encode()),), ()) for t in (SCRIPT, new))
    plain = [[line._replace(line=0, end_line=0) for line in draft.lines] for draft in (old_draft, new_draft)]
    assert plain[0] == plain[1]
    assert [page.label for page in old_draft.pages] == [page.label for page in new_draft.pages]


@pytest.mark.parametrize(
    "text",
    [
        "W: No.\n<!-- said -->\n\n",
        "\n<!-- said -->\nW: No.\n",
        "<!-- begun\n\nW: No. -->\n",
        "```\n\n<!-- x -->\n\n```\n",
    ],
)
def test_other_remarks_are_left_to_the_reader(text: str) -> None:
    assert not only_remarks(SCRIPT.encode(), (SCRIPT + text).encode())


LINES = st.sampled_from(
    ["W: The map is gone.", "T: It was here.", "W: No.", "T: Who took it, then?", "CAP: Three hours.", "SFX: KRRK",
     "The lamp goes out.", "The water rises.", "[panel]", "", "", "W: The map is gone, all of it.", "## The pier",
     "M: Ask the tide.", "T: It was here. {whisper}", "<!-- why? -->", "[page]", "PAGE TWO"]
)  # fmt: skip


@st.composite
def slipped(draw: st.DrawFn) -> tuple[str, str, str, list[str], list[str]]:
    """A script of three pages, the same with some lines changed, and a slip: its pages and scopes, what is locked."""
    before = [draw(st.lists(LINES, min_size=1, max_size=6)) for _ in range(3)]
    after = [list(page) for page in before]
    for _ in range(draw(st.integers(0, 4))):
        page = after[draw(st.integers(0, 2))]
        at = draw(st.integers(0, len(page)))
        page[at : at + draw(st.integers(0, 1))] = [draw(LINES)] if draw(st.booleans()) else []
    told = [
        "# One\n\n## The office\n\n" + "".join(f"[page {n}]\n\n" + "\n\n".join(page) + "\n\n" for n, page in pages)
        for pages in (enumerate(before, 1), enumerate(after, 1))
    ]
    scopes = draw(st.sampled_from([["structure"], ["structure", "wording"]]))
    closed = draw(st.sampled_from([["structure"], ["structure", "drawing"], ["structure", "wording"]]))
    return told[0], told[1], draw(st.sampled_from(["1", "2", "1-2", "3", "1,3"])), scopes, closed


@settings(max_examples=400, deadline=None)
@given(slipped(), st.sampled_from([None, "1-2", "1-9"]))
def test_a_slip_that_surely_holds_holds(case: tuple[str, str, str, list[str], list[str]], locked: str | None) -> None:
    before, after, on, scopes, closed = case
    shelf = Shelf()
    signed: dict[str, str | bytes] = {"script/01.md": before}
    entries = [
        lock(shelf, "inks", closed, signed, pages=locked),
        slip(shelf, {"script/01.md": after}, pages=on, scopes=scopes),
    ]
    state = shelf.state({"script/01.md": after}, entries)
    (closing,) = closings(state.entries, ())
    archive = Archive(shelf, lambda entry: state.book.cast, 0.15, Remembered())
    script = state.book.script_of("inks")
    assert script is not None
    own, (change,) = closing.lock, closing.slips

    def draft_of(entry: object) -> object:
        files = closing.texts if entry is own else change.files
        return archive.script(files, entry, state.book, script)  # type: ignore[arg-type]

    base = Baseline((Head(own, closing.texts, lambda: draft_of(own)),), closing)  # type: ignore[arg-type, return-value]
    head = Head(change, change.files, lambda: draft_of(change))  # type: ignore[arg-type, return-value]
    if _surely_valid(base, head, change, archive):
        found = base.differences(head.script, state.book.cast, 0.15, archive.remembered)
        assert _valid(change, closing, [difference for difference, _ in found])
        assert _renumbered(closing, found).pages.labels >= closing.pages.labels
