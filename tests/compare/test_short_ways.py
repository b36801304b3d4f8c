"""What is done at once for nearly all lines says what the way taken for any line says."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import given
from hypothesis import strategies as st

from ledger.compare.alike import Least, _like, likely_pairs
from ledger.compare.bodies import Body, prepare, ready_texts, typed_lines
from ledger.compare.cast import _other_mouths, _said_alone
from ledger.compare.lines import IN_ORDER, IN_PLACE, IN_SCENE, NEARLY
from ledger.compare.rarity import Rarity
from ledger.compare.words import all_worn, shared_length, worn_words
from ledger.model.script import Draft
from ledger.model.words import normal_words, normalise, normalise_all
from ledger.read.script import read_script

words = st.sampled_from(
    ["tide", "Tide", "tyde", "lamp", "...", "--", "rope", "it's", "o", "a", "ALL", "héron", "“bell”"]
)
texts = st.lists(words, min_size=1, max_size=9).map(" ".join)
mouths = st.sampled_from(["WREN: ", "TOMAS: ", "WREN & TOMAS: ", "", "CAP: "])


def draft(rows: Sequence[str]) -> Draft:
    return read_script([("script.md", "\n\n".join(["## Quay", *rows]).encode())], ())


@st.composite
def one_word_apart(draw: st.DrawFn) -> tuple[str, str]:
    mouth, row = draw(mouths), draw(st.lists(words, min_size=1, max_size=9))
    other = list(row)
    other[draw(st.integers(0, len(row) - 1))] = draw(words)
    return mouth + " ".join(row), draw(st.sampled_from([mouth, "TOMAS: "])) + " ".join(other)


@given(st.lists(texts, max_size=5))
def test_texts_are_made_ready_together_as_one_by_one(rows: list[str]) -> None:
    assert normalise_all(rows) == list(map(normalise, rows))
    assert all_worn(normalise_all(rows)) == [worn_words(normalise(row)) for row in rows]


@given(st.lists(st.sampled_from("abcd"), max_size=8), st.integers(0, 7), st.sampled_from("abcd"))
def test_a_token_replaced_is_the_only_one_not_shared(row: list[str], at: int, other: str) -> None:
    changed = [other if place == at else token for place, token in enumerate(row)]
    assert shared_length(row, changed) == len(row) - (row != changed)


def bodies(old: Draft, new: Draft) -> tuple[list[Body], list[Body], Rarity]:
    typed = typed_lines(old, {}), typed_lines(new, {})
    ready = ready_texts([*typed[0], *typed[1]])
    one, other = prepare(old, typed[0], ready), prepare(new, typed[1], ready)
    return one.bodies, other.bodies, Rarity(one.scenes, other.scenes)


@given(one_word_apart(), st.sampled_from([NEARLY, IN_ORDER, IN_PLACE, IN_SCENE]), st.integers(1, 4))
def test_a_word_replaced_leaves_a_line_alike_where_any_measure_says_so(
    pair: tuple[str, str], least: Least, telling: int
) -> None:
    old, new, rarity = bodies(draft([pair[0]]), draft([pair[1]]))
    a, b = old[0], new[0]
    enough = min(len(a.wording.worn), len(b.wording.worn)) >= telling
    assert bool(likely_pairs((old, new), rarity, least, telling)) == (enough and _like(a, b, rarity, least) > 0)


@given(st.lists(st.tuples(mouths, texts), max_size=6), st.lists(st.tuples(mouths, texts), max_size=6))
def test_nobody_is_renamed_where_no_words_went_to_another_mouth(
    rows: list[tuple[str, str]], others: list[tuple[str, str]]
) -> None:
    old, new = (draft(["".join(row) for row in side]) for side in (rows, others))
    if not _other_mouths(old.lines, new.lines):
        (said, _), (says, _) = _said_alone(old.lines), _said_alone(new.lines)
        assert not [words for words, name in said.items() if name and says.get(words) and says[words] != name]


@given(texts)
def test_words_are_made_ready_together_as_one_by_one(text: str) -> None:
    assert normal_words(text) == [normalise(word) for word in text.split()]
