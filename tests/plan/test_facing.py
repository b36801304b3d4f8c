"""Which pages lie open together, and on which side."""

from __future__ import annotations

import pytest

from ledger.plan.block import Block
from ledger.plan.facing import facing_pages

PLAIN = Block(0, 8, 0, 16)


@pytest.mark.parametrize(("labels", "block", "rtl", "lying"), [
    (["1", "2", "3", "4"], PLAIN, False, ["1 right", "2 left, 3 right", "4 left"]),
    (["1", "2", "3", "4"], PLAIN, True, ["1 left", "2 right, 3 left", "4 right"]),
    (["1", "2", "3"], Block(1, 8, 0, 16), False, ["1 left, 2 right", "3 left"]),
    (["f1", "1", "2"], Block(1, 8, 0, 16), False, ["f1 right", "1 left, 2 right"]),
    (["1", "2-3", "4", "5"], PLAIN, False, ["1 right", "2-3 wide", "4 left, 5 right"]),
    (["3", "6"], PLAIN, False, ["3 right", "6 left"]),
    (["cover", "1"], PLAIN, False, ["cover right", "1 right"]),
    (["8", "b1", "b2"], Block(0, 8, 2, 16), False, ["8 left, b1 right", "b2 left"]),
    (["10", "2", "9"], Block(0, 10, 0, 16), False, ["2 left", "9 right", "10 left"]),
])  # fmt: skip
def test_pages_lie_as_they_are_bound(labels: list[str], block: Block, rtl: bool, lying: list[str]) -> None:
    found = facing_pages(labels, block, rtl=rtl)
    assert [", ".join(f"{each.label} {each.side}" for each in opening) for opening in found] == lying
