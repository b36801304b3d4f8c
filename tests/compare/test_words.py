"""Words of two drafts against each other."""

from __future__ import annotations

import random
import subprocess
import sys
from difflib import SequenceMatcher
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

import ledger.compare.words as words_module
from ledger.compare.chain import heaviest_chain
from ledger.compare.words import shared_length, shared_pairs, similarity, worn, worn_words
from ledger.model.words import normalise

rows = st.lists(st.sampled_from("abcd"), max_size=12)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("You said the map was here.", "YOU SAID THE MAP WAS HERE."),
        ("It was -- until Tuesday.", "It was — until Tuesday."),
        ("Wait...", "Wait…"),
        ('"It\'s here," she said.', "“It’s here,” she said."),
        ("Two  blanks", "Two blanks"),
        ("Straße", "STRASSE"),
        ("Ωσ ς", "ΩΣ Σ"),
        ("İstanbul", "İSTANBUL"),
        ("Cafe\u0301", "Café"),
    ],
)
def test_typing_habits_are_no_other_words(one: str, other: str) -> None:
    assert normalise(one) == normalise(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [("Wait.", "Wait!"), ("You, here", "You here"), ("not now", "now"), ("", "..."), ("resume", "résumé")],
)
def test_a_sign_or_an_accent_is_another_wording(one: str, other: str) -> None:
    assert normalise(one) != normalise(other)


@pytest.mark.parametrize(
    ("old", "new"),
    [("love", "loue"), ("iohn", "john"), ("speake", "speak"), ("citty", "city"), ("onely,", "onely")],
)
def test_old_spellings_meet_when_they_are_worn(old: str, new: str) -> None:
    assert worn(old) == worn(new)


@pytest.mark.parametrize(("one", "other"), [("tide", "tie"), ("wren", "when"), ("no", "now")])
def test_other_words_stay_apart_when_they_are_worn(one: str, other: str) -> None:
    assert worn(one) != worn(other)


@given(st.text(st.characters(max_codepoint=126)))
def test_plain_lines_are_normalised_as_the_others_are(text: str) -> None:
    """Lines in plain letters take a short cut; an accent behind them sends them the long way."""
    assert f"{normalise(text)} \xe9".lstrip() == normalise(f"{text} \xe9")


def test_a_script_without_blanks_gives_its_signs() -> None:
    assert worn_words("地図は here") == ("地", "図", "は", "her")


def test_signs_alone_are_no_words() -> None:
    assert worn_words("-- ... !") == ()


def slow_length(a: list[str], b: list[str]) -> int:
    """The textbook table."""
    before = [0] * (len(b) + 1)
    for one in a:
        row = [0]
        for i, other in enumerate(b):
            row.append(before[i] + 1 if one == other else max(before[i + 1], row[i]))
        before = row
    return before[-1]


@given(rows, rows)
def test_what_is_shared_in_order_is_as_long_as_the_textbook_says(a: list[str], b: list[str]) -> None:
    assert shared_length(a, b) == slow_length(a, b)
    pairs = shared_pairs(a, b)
    assert len(pairs) == slow_length(a, b)
    assert all(a[i] == b[j] for i, j in pairs)
    assert all(i < k and j < m for (i, j), (k, m) in pairwise(pairs))


@given(rows, rows)
def test_rows_in_one_order_are_paired_as_the_long_way_pairs_them(a: list[str], b: list[str]) -> None:
    """One token carried from the start to the end, and one back, sends rows the long way, and is never paired."""
    pairs = shared_pairs(a, b)
    if len(pairs) > 1:
        long_way = shared_pairs(["from", *a, "to"], ["to", *b, "from"])
        assert len(long_way) == len(pairs)
        if [a[i] for i, _ in pairs] == [x for x in a if x in b] == [x for x in b if x in a]:
            assert long_way == [(i + 1, j + 1) for i, j in pairs]


@given(rows, rows)
def test_similarity_is_the_same_from_either_side(a: list[str], b: list[str]) -> None:
    assert similarity(a, b) == similarity(b, a)
    assert 0.0 <= similarity(a, b) <= 1.0
    assert (similarity(a, b) == 1.0) == (a == b)


def test_a_quarter_of_the_words_changed() -> None:
    old = ["one", "two", "three", "four", "five", "six", "seven", "eight"]
    assert similarity(old, [*old[:6], "x", "y"]) == 0.75
    assert similarity(old, old[:6]) == 0.75


@given(st.lists(st.integers(0, 9), max_size=8))
def test_the_chain_is_the_longest_that_rises(places: list[int]) -> None:
    chain = sorted(heaviest_chain(places, [1] * len(places)))
    assert all(places[a] < places[b] for a, b in pairwise(chain))
    best = [0] * len(places)
    for i, place in enumerate(places):
        best[i] = 1 + max((best[j] for j in range(i) if places[j] < place), default=0)
    assert len(chain) == max(best, default=0)


@given(st.permutations(range(12)), st.lists(st.integers(1, 3), min_size=12, max_size=12))
def test_runs_stay_or_go_whole_as_they_do_place_by_place(places: list[int], weights: list[int]) -> None:
    """A place that stands twice, at the very end and of no account, has the chain found place by place."""
    doubled = [place + 1 for place in places]
    one_by_one = heaviest_chain([*doubled, 0, 0], [20 * weight for weight in weights] + [1, 1])
    assert heaviest_chain(places, [20 * weight for weight in weights]) == {at for at in one_by_one if at < 12}


def test_where_the_number_is_even_the_heavier_stays() -> None:
    assert heaviest_chain([1, 0], [3, 5]) == {1}
    assert heaviest_chain([1, 0], [5, 3]) == {0}


def test_the_room_starts_light() -> None:
    """The hooks compare too, and must not wait for libraries."""
    heavy = "{'rapidfuzz', 'numpy', 'markdown_it', 'click', 'PIL', 'git', 'difflib', 'subprocess'}"
    code = f"import sys, ledger.compare; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_textbook_and_the_library_agree_on_a_sentence() -> None:
    old, new = ["you", "said", "the", "map", "was", "here"], ["you", "told", "me", "the", "map", "was", "here"]
    blocks = SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks()
    assert shared_length(old, new) == sum(block.size for block in blocks)


@given(st.lists(st.integers(0, 9), max_size=60), st.lists(st.integers(0, 9), max_size=60))
def test_a_table_kept_in_part_gives_the_same_pairs(a: list[int], b: list[int]) -> None:
    whole = shared_pairs(a, b)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(words_module, "_HELD", 0)
        assert shared_pairs(a, b) == whole


def test_of_very_long_rows_nearly_everything_shared_is_found() -> None:
    dice = random.Random(4)
    old = [f"word{dice.randrange(400)}" for _ in range(20_000)]
    kept = [dice.random() > 0.1 for _ in old]
    new = [word if stays else "other" for word, stays in zip(old, kept, strict=True)]
    del new[7_000:7_300]
    new[12_000:12_000] = ["inserted"] * 200
    found = shared_length(old, new)
    assert found == shared_length(new, old)
    assert 0.98 * (sum(kept) - 300) <= found <= len(new) - 200
