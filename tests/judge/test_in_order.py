"""Rows laid side by side: what kept its order, and the best pairs in order."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.judge.pairing.in_order import best_in_order, longest_rising


@pytest.mark.parametrize(
    ("numbers", "length"), [([], 0), ([3], 1), ([1, 2, 3], 3), ([3, 2, 1], 1), ([2, 0, 1, 3], 3), ([4, 1, 2, 0, 3], 3)]
)
def test_the_longest_rising_chain(numbers: list[int], length: int) -> None:
    assert len(longest_rising(numbers)) == length


@given(st.lists(st.integers(0, 9), unique=True, max_size=7))
def test_no_chain_is_longer(numbers: list[int]) -> None:
    chain = sorted(longest_rising(numbers))
    assert [numbers[n] for n in chain] == sorted(numbers[n] for n in chain)
    rising = [c for size in range(len(numbers) + 1) for c in combinations(numbers, size) if list(c) == sorted(c)]
    assert len(chain) == max(len(c) for c in rising)


@given(st.lists(st.integers(0, 3), max_size=7), st.lists(st.integers(0, 3), max_size=7))
def test_pairs_rise_on_both_sides_and_only_what_is_worth_something_pairs(old: list[int], new: list[int]) -> None:
    pairs = best_in_order(len(old), len(new), lambda i, j: float(old[i] == new[j]))
    assert all(i < k and j < m for (i, j), (k, m) in pairwise(pairs))
    assert all(old[i] == new[j] for i, j in pairs)
    mirrored = best_in_order(len(new), len(old), lambda j, i: float(old[i] == new[j]))
    assert len(mirrored) == len(pairs)


def test_a_row_too_long_to_weigh_is_paired_by_place() -> None:
    assert best_in_order(400, 300, lambda i, j: 1.0)[-1] == (299, 299)
