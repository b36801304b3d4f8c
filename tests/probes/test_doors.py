"""Three late changes at once, and allowed ones, brought in by every act of git; each of the three must be told."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.probes import acts, edits, odd_acts
from tests.probes.ground import Ground, act
from tests.probes.pushes import refused_after_commit, stopped, told

TEXT, ART = edits.STRUCTURE["a line cut"], edits.DRAWING["a page redrawn"]
ENTRY = edits.TAMPERING["a byte of an entry"]
#: Before anything is signed off there is no entry to change.
EARLY = edits.both(TEXT.make, ART.make), (TEXT.rule, ART.rule)
LATE = edits.both(EARLY[0], ENTRY.make), (*EARLY[1], ENTRY.rule)
SEEN, UNSEEN = {**acts.SEEN, **odd_acts.SEEN}, {**acts.UNSEEN, **odd_acts.UNSEEN}
ALLOWED = edits.both(edits.ALLOWED["a line polished"], edits.ALLOWED["an export saved again"])


@pytest.mark.group("late edits by acts of git", "refused")
@pytest.mark.parametrize("name", SEEN)
def test_an_act_that_a_hook_sees(ground: Ground, tmp_path: Path, name: str) -> None:
    door = SEEN[name]
    change, rules = EARLY if door.early else LATE
    door.lay(ground.book, change)
    if name == "commit -p":
        ground.book.git("add", "art")
    control, before = ground.without_hooks(tmp_path / "control"), ground.held()
    stopped(door.act(ground.book), door.hook, *rules)
    if door.back:
        ground.book.git(*door.back)
    after = ground.held()
    if name == "stash pop":
        # Put away once more, it is another commit of the stash.
        before["refs"] = after["refs"]
    assert after == before
    code, said = door.act(control.book)
    assert code == 0, said


@pytest.mark.group("allowed by acts of git", "allowed")
@pytest.mark.parametrize("name", SEEN)
def test_an_allowed_change_by_an_act_that_a_hook_sees(ground: Ground, name: str) -> None:
    door = SEEN[name]
    door.lay(ground.book, ALLOWED)
    if name == "commit -p":
        ground.book.git("add", "art")
    code, said = door.act(ground.book)
    assert code == 0, said
    assert "block" not in told(ground).values()


@pytest.mark.group("late edits by acts of git", "refused")
@pytest.mark.parametrize("name", UNSEEN)
def test_an_act_that_no_hook_sees(ground: Ground, name: str) -> None:
    past = UNSEEN[name]
    past.lay(ground.book, LATE[0])
    code, said = past.act(ground.book)
    assert code == 0, said
    refused_after_commit(ground, LATE[1], past.refs, reach=past.reach)


@pytest.mark.group("allowed by acts of git", "allowed")
@pytest.mark.parametrize("name", UNSEEN)
def test_an_allowed_change_by_an_act_that_no_hook_sees(ground: Ground, name: str) -> None:
    past = UNSEEN[name]
    past.lay(ground.book, ALLOWED)
    code, said = past.act(ground.book)
    assert code == 0, said
    assert "block" not in told(ground, past.reach).values()
    code, said = act(ground.book, "push", "-q", "--no-verify", "guarded", *past.refs)
    assert code == 0, said


@pytest.mark.group("late edits by acts of git", "refused")
def test_late_and_undone_in_the_next_commit(ground: Ground) -> None:
    tree = ground.book.git("rev-parse", "HEAD^{tree}")
    LATE[0](ground.book)
    ground.book.git("add", "-A")
    ground.book.git("commit", "-q", "--no-verify", "-m", "late")
    ground.book.git("read-tree", "-u", "--reset", tree)
    assert act(ground.book, "commit", "-q", "-m", "undone")[0] == 0
    refused_after_commit(ground, LATE[1], settled=True)


@pytest.mark.group("installed", "kept")
def test_the_command_and_its_hooks_are_those_of_the_wheel(ground: Ground) -> None:
    python = str(ground.program.with_name("python"))
    code, said = act(ground.book, python, "-I", "-c", "import ledger; print(ledger.__file__)")
    assert code == 0 and said.startswith(str(ground.program.parent.parent)), said
    for hook in (*ground.hooks.iterdir(), ground.home / "guarded.git/hooks/pre-receive"):
        assert f"python='{python}'" in hook.read_text()
    for words in (("hook", "install"), ("-C", "../guarded.git", "hook", "install", "--server")):
        assert "Nothing to do" in ground.ledger(*words)[1]
