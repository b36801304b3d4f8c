"""The first look lets through only what the full judgement has nothing to say of."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.judge.agreed.doors import charged
from ledger.judge.agreed.first_look import only_words
from tests.judge.shelf import Shelf, lock

SCRIPT = """# One

## Harbour office

[page 1]
[panel 1]
Wren shoulders the door open.

W: You said the map was here.
T: It was, I swear.

[panel 2]
CAP: Three hours to high water.
W: Then who took it?

[page 2]
T: Ask the tide, the tide knows.
Tom: Wait.
CAP (Wren): The gulls, early.
"""


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("You said the map was here.", "You said, the map was here!"),
        ("It was, I swear.", "I swear it was."),
        ("Ask the tide, the tide knows.", "Ask the sea \u2014 the sea knows\u2026"),
        ("Three hours", "Four hours"),
        ("The gulls, early", "The gulls, again"),
    ],
)
def test_words_in_balloons_that_stay_are_let_through(old: str, new: str) -> None:
    assert only_words(SCRIPT.encode(), SCRIPT.replace(old, new).encode())
    assert only_words(SCRIPT.replace("\n", "\r\n").encode(), SCRIPT.replace("\n", "\r\n").replace(old, new).encode())


def test_where_nothing_is_drawn_a_name_need_not_be_in_capitals() -> None:
    changed = SCRIPT.replace("Tom: Wait.", "Tom: Stay.").encode()
    assert only_words(SCRIPT.encode(), changed, drawn=False)
    assert not only_words(SCRIPT.encode(), SCRIPT.replace("Tom: Wait.", "Mara: Wait.").encode(), drawn=False)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("T: It was", "W: It was"),
        ("T: It was, I swear.\n", ""),
        ("W: Then who", "T: Hm.\nW: Then who"),
        ("Then who took it?", "Then who took it, and why did nobody see?"),
        ("shoulders the door open", "kicks the door in"),
        ("Then who took it?", "[page 3]"),
        ("Then who took it?", "<!-- gone -->"),
        ("Then who took it?", "Then *who* took it?"),
        ("Then who took it?", "{whisper}"),
        ("Then who took it?", "..."),
        ("Then who took it?", "It was, I swear."),
        ("Tom: Wait.", "Tom: Stay."),
        ("[page 2]", "[page 3]"),
        ("## Harbour office", "## Harbour office, later"),
        ("Then who took it?", "Then who\ttook\x00 it?"),
    ],
)
def test_everything_else_is_judged_in_full(old: str, new: str) -> None:
    assert old in SCRIPT
    assert not only_words(SCRIPT.encode(), SCRIPT.replace(old, new).encode())


def test_bytes_that_are_no_text_are_judged_in_full() -> None:
    assert not only_words(SCRIPT.encode(), SCRIPT.replace("swear", "schw\u00f6re").encode("latin-1"))


WORDS = ["map", "tide", "it", "was", "here", "no", "lamp", "who", "Wren", "three", "hours", "gone", "again", "never"]
SIGNS = [".", "?", "!", " --", "...", ","]
SPEECH = st.lists(st.sampled_from(WORDS), min_size=1, max_size=8).map(" ".join)
KEYS = ["W", "T", "M", "CAP", "SFX", "Tom", "Wren", "CAP (Wren)", "W (OP)", "W & T", "Note"]
BALLOON = st.tuples(st.sampled_from(KEYS), SPEECH, st.sampled_from(SIGNS))
LINE = st.one_of(
    BALLOON.map(lambda b: f"{b[0]}: {b[1]}{b[2]}"), SPEECH, st.sampled_from(["[panel]", "[page]", "", "<!-- why? -->"])
)


@st.composite
def edited(draw: st.DrawFn) -> tuple[str, str]:
    """A draft, and the same draft with some lines typed anew."""
    lines = draw(st.lists(LINE, min_size=1, max_size=14))
    after = list(lines)
    for place in draw(st.lists(st.integers(0, len(lines) - 1), max_size=4)):
        key = lines[place].partition(":")[0]
        fresh = draw(LINE)
        after[place] = f"{key}:{fresh.partition(':')[2]}" if draw(st.booleans()) and ":" in fresh else fresh
    return "[page 1]\n" + "\n\n".join(lines) + "\n", "[page 1]\n" + "\n\n".join(after) + "\n"


@settings(max_examples=250, deadline=None)
@given(edited(), st.booleans())
def test_what_is_let_through_has_no_finding(drafts: tuple[str, str], drawn: bool) -> None:
    before, after = drafts
    if not only_words(before.encode(), after.encode(), drawn=drawn):
        return
    shelf = Shelf()
    signed: dict[str, str | bytes] = {"script/01.md": before}
    closed = lock(shelf, "inks", ["structure", "drawing"] if drawn else ["structure"], signed)
    base = shelf.state(signed, [closed])
    assert charged([base], shelf.state({"script/01.md": after}, [closed]), shelf) == ()


@settings(max_examples=150, deadline=None)
@given(edited())
def test_nothing_is_charged_twice_and_an_undo_is_free(drafts: tuple[str, str]) -> None:
    before, after = drafts
    shelf = Shelf()
    signed: dict[str, str | bytes] = {"script/01.md": before}
    closed = lock(shelf, "inks", ["structure", "wording", "drawing"], signed)
    base, change = shelf.state(signed, [closed]), shelf.state({"script/01.md": after}, [closed])
    assert charged([base], base, shelf) == ()
    assert charged([change], change, shelf) == ()
    assert charged([change], base, shelf) == ()
