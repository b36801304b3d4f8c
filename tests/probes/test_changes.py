"""Every late change at four doors, with its controls; every allowed change at the same four."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.probes import edits, odd_edits
from tests.probes.ground import Ground, act
from tests.probes.pushes import free_after_commit, refused_after_commit, stopped

GROUPS = {
    "late edits": {**edits.STRUCTURE, **edits.DRAWING},
    "tampering": {**edits.TAMPERING, **edits.WEAKENED},
    "cleverness": {**edits.CLEVER, **odd_edits.CLEVER},
}
LATE = {name: late for late_ones in GROUPS.values() for name, late in late_ones.items()}


@pytest.mark.parametrize(
    "name",
    [pytest.param(name, marks=pytest.mark.group(group, "refused")) for group, each in GROUPS.items() for name in each],
)
def test_a_late_change_is_told_at_every_door(ground: Ground, tmp_path: Path, name: str) -> None:
    late = LATE[name]
    late.make(ground.book)
    ground.book.git("add", "-A")
    control, before = ground.without_hooks(tmp_path / "control"), ground.held()
    stopped(act(ground.book, "commit", "-q", "-m", "work"), "pre-commit", late.rule)
    assert ground.held() == before
    code, said = act(control.book, "commit", "-q", "-m", "work")
    assert code == 0, said
    refused_after_commit(control, (late.rule,), there=late.there, by_git=False)


@pytest.mark.group("allowed", "allowed")
@pytest.mark.parametrize("name", edits.ALLOWED)
def test_an_allowed_change_goes_through_every_door(ground: Ground, name: str) -> None:
    edits.ALLOWED[name](ground.book)
    ground.book.git("add", "-A")
    code, said = act(ground.book, "commit", "-q", "-m", "work")
    assert code == 0, said
    free_after_commit(ground)
