"""What the example book showed: the commands that ran on it, and what came of them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shown:
    """A command as typed, what it is shown for, the first lines it said, how many more there were, its exit code."""

    why: str
    command: str
    lines: tuple[str, ...]
    more: int
    code: int


@dataclass(frozen=True, slots=True)
class Story:
    """The example book at `place` (a path), whether it was built now, what was shown on it.

    `refused` is whether the pre-commit hook stopped the late edit, `clean` whether the tree was clean afterwards.
    """

    place: str
    built: bool
    title: str
    shown: tuple[Shown, ...]
    refused: bool
    clean: bool

    @property
    def told(self) -> bool:
        """Whether the whole story ran as it must."""
        return (
            self.refused
            and self.clean
            and all(not one.code for one in self.shown if not one.command.startswith("git commit"))
        )
