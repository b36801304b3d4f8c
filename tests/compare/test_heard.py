"""How near a line comes to the words that somebody remembers of it."""

from __future__ import annotations

import pytest

from ledger.compare.heard import Heard

LINE = "Or somebody stopped counting -- \u201cyears ago\u201d."


@pytest.mark.parametrize(
    ("words", "near"),
    [
        ("or somebody stopped counting years ago", 0),
        ("OR SOMEBODY STOPPED COUNTING \u2014 'years ago'", 0),
        ("stopped *counting*", 1),
        ("_somebody_ stopped", 1),
        ("counting \u2014 \u201cyears", 1),
        ("counting years", 1),
        ("body stop", 2),
        ("body stopped count", 2),
        ("counting stopped", 3),
        ("counting sheep", None),
    ],
)
def test_nearness(words: str, near: int | None) -> None:
    assert Heard(words).nearness(LINE) == near


def test_a_script_without_blanks_is_found_by_some_of_its_signs() -> None:
    assert Heard("\u6d77\u306f").nearness("\u591c\u306e\u6d77\u306f\u6697\u3044\u3002") == 2


@pytest.mark.parametrize("words", ["", " ", "...", "\u2014 !", "**"])
def test_signs_alone_are_no_words(words: str) -> None:
    assert Heard(words).empty


def test_the_share_of_words_a_line_has() -> None:
    assert Heard("somebody counting sheep backwards").shared(LINE) == 0.5
    assert Heard("...").shared(LINE) == 0.0
