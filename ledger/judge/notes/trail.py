"""Where a place came to, from one draft to another."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.judge.notes.places import Place


@dataclass(frozen=True, slots=True)
class Trail:
    """Where a place is in another draft (None: it was cut), whether its words changed, whether it was carried.

    Where nothing tells one place from another, none is told and `may_be` are those it may be.
    """

    place: Place | None
    changed: bool = False
    moved: bool = False
    may_be: tuple[Place, ...] = ()

    @property
    def evidence(self) -> str:
        """The contract's word for it."""
        if self.may_be:
            return "unplaced"
        if self.place is None:
            return "cut"
        return "reworded" if self.changed else "moved" if self.moved else "untouched"

    @property
    def touched(self) -> bool:
        """Whether the place itself changed; one that was only carried elsewhere did not."""
        return self.place is None or self.changed
