"""Values with named fields: whole, equal by what they say, never changed."""

from __future__ import annotations

import copy
import pickle
from datetime import date

import pytest

from ledger.model.entry import Lock, Reopen, Round

LOCK = Lock(
    path="ledger/lock-inks-1.toml", number=1, date=date(2026, 3, 2), by="Ada", pass_name="inks", scopes=("drawing",)
)


def test_what_is_not_said_is_as_usual_and_what_is_needed_must_be_said() -> None:
    assert (LOCK.message, LOCK.pages, LOCK.round, dict(LOCK.files)) == ("", None, None, {})
    shared = {"path": "ledger/lock-inks-1.toml", "number": 1, "date": date(2026, 3, 2), "by": "Ada"}
    for wrong in (shared, {**shared, "pass_name": "inks"}, {**shared, "pass_name": "x", "scopes": (), "reason": ""}):
        with pytest.raises(TypeError, match="Lock: missing or unknown: "):
            Lock(**wrong)
    with pytest.raises(TypeError, match="missing or unknown: colour"):
        LOCK._replace(colour="red")


def test_equal_is_what_says_the_same_of_the_same_kind() -> None:
    same = Lock(by="Ada", date=LOCK.date, number=1, path=LOCK.path, scopes=("drawing",), pass_name="inks", files={})
    assert same == LOCK and LOCK._replace(number=2) != LOCK
    assert copy.deepcopy(LOCK) == LOCK == pickle.loads(pickle.dumps(LOCK))
    bare = {"path": "ledger/x-1.toml", "number": 1, "date": LOCK.date, "by": "Ada", "pass_name": "x"}
    assert Round(**bare) != Lock(**bare, scopes=())
    assert "pass_name='inks'" in repr(LOCK) and repr(LOCK).startswith("Lock(path=")
    assert isinstance(Reopen(**{k: v for k, v in bare.items() if k != "pass_name"}), Reopen)


def test_nothing_of_it_changes() -> None:
    with pytest.raises(AttributeError, match="never changes"):
        LOCK.number = 2  # type: ignore[misc]
    with pytest.raises(AttributeError, match="never changes"):
        del LOCK.by
    with pytest.raises(TypeError, match="unhashable"):
        hash(LOCK)
