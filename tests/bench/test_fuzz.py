"""A fixed slice of the damaged files, and that the measure itself can tell what is wrong."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from ledger.model.errors import Refusal
from tests.bench import fuzz


def test_damaged_files_are_read_or_refused_in_words(tmp_path: Path) -> None:
    counted, found = fuzz.fuzzed(7, 600, 8, tmp_path / "book")
    assert counted.total() >= 600
    assert [(each.sort, each.fault, each.data[:300]) for each in found] == []


def wrong(path: str, data: bytes, real: bytes) -> None:
    raise KeyError(data)


def silent(path: str, data: bytes, real: bytes) -> None:
    raise Refusal(" ", path=path)


def elsewhere(path: str, data: bytes, real: bytes) -> None:
    raise Refusal("this can't be read", path="another.md")


def endless(path: str, data: bytes, real: bytes) -> None:
    time.sleep(60)


@pytest.mark.parametrize(
    ("ask", "told"),
    [(wrong, "KeyError"), (silent, "without words"), (elsewhere, "without words"), (endless, "for ever")],
)
def test_what_is_wrong_is_told(ask: object, told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    import signal

    monkeypatch.setattr(fuzz, "PATIENCE", 0.05)
    before = signal.signal(signal.SIGALRM, fuzz._too_long)
    try:
        assert told in str(fuzz.fault_of(ask, "a.md", b"a", b"a"))  # type: ignore[arg-type]
    finally:
        signal.signal(signal.SIGALRM, before)
