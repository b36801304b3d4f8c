"""Words set against each other, short lines and very long ones."""

from __future__ import annotations

import random
from difflib import SequenceMatcher

from hypothesis import given
from hypothesis import strategies as st

from ledger.render.changes.word_runs import word_runs

ROWS = st.lists(st.sampled_from("abcdefgh"), max_size=40)


@given(ROWS, ROWS, st.sampled_from([0, 20, 4_000_000]))
def test_runs_cover_both_rows_and_say_what_is_the_same(old: list[str], new: list[str], pairs: int) -> None:
    """Law, however little is compared word by word."""
    at = to = 0
    for same, a, b, c, d in word_runs(old, new, pairs):
        assert (a, c) == (at, to)
        assert not same or old[a:b] == new[c:d] != []
        at, to = b, d
    assert (at, to) == (len(old), len(new))


@given(ROWS, ROWS)
def test_short_rows_are_compared_as_difflib_does(old: list[str], new: list[str]) -> None:
    """Against Python's own difflib."""
    found = [(tag == "equal", *where) for tag, *where in SequenceMatcher(None, old, new, False).get_opcodes()]
    assert list(word_runs(old, new)) == found


def test_a_very_long_line_is_followed_word_for_word() -> None:
    chance = random.Random(7)
    old = [f"w{chance.randrange(3000)}" for _ in range(30_000)]
    new = list(old)
    changed = sorted(chance.sample(range(0, 30_000, 10), 300))
    for at in changed:
        new[at] = "other"
    assert [a for same, a, *_ in word_runs(old, new) if not same] == changed


def test_two_long_lines_without_a_word_in_common() -> None:
    assert list(word_runs(["a"] * 9000, ["b"] * 9000)) == [(False, 0, 9000, 0, 9000)]


@given(st.permutations("abcdefgh"), st.integers(0, 8), st.integers(0, 7), st.sampled_from("abxy"))
def test_one_word_for_another_is_told_as_by_the_matcher(letters: list[str], size: int, at: int, word: str) -> None:
    old = letters[:size]
    new = [word if place == at else letter for place, letter in enumerate(old)]
    matched = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    assert list(word_runs(old, new)) == [(tag == "equal", *places) for tag, *places in matched]
