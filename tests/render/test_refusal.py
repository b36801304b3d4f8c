"""What a hook says when it stops something, and when it only has something to show."""

from __future__ import annotations

import pytest

from ledger.model.finding import Finding
from ledger.render.refusal import door_text

CUT = Finding(
    "line-cut", "block", 'Tomas Arde\'s line "It was." was cut from page 3, panel 2: closed by lock-pencils-1',
    "script/01.md", 14, "3", 2, "Harbour office", 'undo it, or say why with a slip: inkledger alter --reason "..."',
)  # fmt: skip
EDITED = Finding("entry-changed", "block", "the entry inks-1 is not as it was recorded", "ledger/inks-1.toml",
                 remedy="put it back")  # fmt: skip
TIGHT = Finding("balloon-tight", "query", "Wren's line grew", "script/01.md", 9, "2", 1, remedy="see whether it fits")

REFUSED = """inkledger (pre-commit): this commit was stopped, because it changes what was
  signed off.
block: line-cut script/01.md:14 p3.2 "Harbour office"
  Tomas Arde's line "It was." was cut from page 3, panel 2: closed by
  lock-pencils-1
1 finding blocks.

Take it back:
  git restore --staged --worktree -- script/01.md
Or agree to it, with a slip that says why:
  inkledger alter --reason "why it is changed"
  git commit"""


def test_a_late_edit_is_refused_with_both_ways_out() -> None:
    assert door_text("pre-commit", "commit", [CUT]) == (True, REFUSED)


def test_what_git_took_in_for_this_commit_alone_is_staged_first() -> None:
    unstaged = REFUSED.replace("  inkledger alter", "  git add -- script/01.md\n  inkledger alter")
    assert door_text("pre-commit", "commit", [CUT], unstaged=True) == (True, unstaged)
    many = [CUT._replace(path=f"script/0{number}.md") for number in range(1, 6)]
    assert "\n  git add -u\n  inkledger alter" in door_text("pre-commit", "commit", many, unstaged=True)[1]


def test_a_ledger_finding_has_no_slip_as_its_way_out() -> None:
    stopped, said = door_text("pre-commit", "commit", [EDITED])
    assert stopped and "does not keep to the" in said
    assert "To do: put it back" in said and "inkledger alter" not in said


def test_a_push_says_what_each_finding_says() -> None:
    stopped, said = door_text("pre-push", "push", [CUT])
    assert stopped and "this push was stopped" in said and "git restore" not in said


def test_what_is_only_to_be_looked_at_goes_through() -> None:
    stopped, said = door_text("pre-commit", "commit", [TIGHT])
    assert not stopped and "this commit goes through" in said and "look: balloon-tight" in said


@pytest.mark.parametrize(
    ("path", "typed"),
    [
        ("script/ch 1.md", "'script/ch 1.md'"),
        ("script/it's.md", "'script/it'\\''s.md'"),
        ("script/\u00e9.md", "script/\u00e9.md"),
    ],
)
def test_paths_are_typed_as_a_shell_takes_them(path: str, typed: str) -> None:
    _, said = door_text("pre-commit", "commit", [Finding("line-cut", "block", "x", path)])
    assert f"git restore --staged --worktree -- {typed}" in said


def test_many_files_are_not_all_listed() -> None:
    many = [Finding("line-cut", "block", "x", f"script/{n}.md") for n in range(9)]
    assert "-- FILE" in door_text("pre-commit", "commit", many)[1]


def test_every_line_fits_eighty_columns() -> None:
    for found in ([CUT, TIGHT], [EDITED], [TIGHT]):
        said = door_text("pre-merge-commit", "merge", found)[1]
        assert all(len(line) <= 80 for line in said.splitlines())


def test_a_screen_is_not_flooded() -> None:
    found = [CUT._replace(line=14 + n, message=f"line {n} was cut") for n in range(30)]
    stopped, said = door_text("pre-commit", "commit", [TIGHT, *found])
    assert stopped and len(said.splitlines()) <= 40
    assert "23 more of 31: inkledger check --staged tells them all." in said
    assert "line 7 was cut" in said and "line 8 was cut" not in said
    assert said.endswith("  git commit")
