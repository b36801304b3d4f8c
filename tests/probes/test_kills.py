"""Every verb that writes, killed: before one of its steps, at one of the gits it starts, at a random moment.

The short form of `python -m tests.bench kills`, which does so at every step and two hundred random moments.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.bench.kills import CASES, Killing, killed_somewhere, signed_off
from tests.typed_book import TypedBook


@pytest.fixture(scope="session")
def _base(tmp_path_factory: pytest.TempPathFactory, program: Path) -> TypedBook:
    return signed_off(program, tmp_path_factory.mktemp("killed") / "base")


@pytest.mark.group("kills", "kept")
@pytest.mark.parametrize("name", CASES)
def test_whatever_kills_it_nothing_is_lost(_base: TypedBook, program: Path, tmp_path: Path, name: str) -> None:
    killing = Killing(program, _base, tmp_path, name)
    killed_somewhere(killing, random.Random(name))
    assert killing.tally.kinds.total() >= 2
    assert killing.tally.lost == []
