"""What a slip has to name so that it admits a late change: scopes, pages, the files it is about."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ledger.judge.agreed.differences import Difference
from ledger.judge.agreed.telling import Charge
from ledger.model.entry import Lock
from ledger.model.pages import PageSet, page_numbers

#: The scope that admits what is closed under another name.
_ADMITTED_AS = {"balloon": "wording"}


@dataclass(frozen=True, slots=True)
class LateChange:
    """`labels` are the pages it lies on, by old and new number; `whole` is whether it also lies on no page at all.

    `locks` are the sign-offs whose script it changes, `pictures` the paths of the pictures it changes.
    """

    scopes: tuple[str, ...]
    labels: frozenset[str]
    whole: bool
    locks: tuple[Lock, ...]
    pictures: tuple[str, ...]

    @property
    def pages(self) -> PageSet:
        """The pages that the slip must name."""
        return PageSet(self.labels, self.whole or not self.labels)


def late_change(charges: Iterable[Charge], chosen: PageSet) -> LateChange | None:
    """What a slip can admit of a change on the chosen pages, of the charges against it; None where there is nothing."""
    closed = [(c, d) for c in charges if (d := c.difference) is not None and _needs_a_slip(c, d)]
    mine = [(c, d) for c, d in closed if chosen.everything or any(page in chosen for page in d.pages)]
    if not mine:
        return None
    named = [d for _, d in mine if not d.renumbered] or [d for _, d in mine]
    pages = [page for d in named for page in d.pages]
    scopes = {_ADMITTED_AS.get(d.scope, d.scope) for _, d in mine}
    return LateChange(
        tuple(scope for scope in ("structure", "wording", "drawing") if scope in scopes),
        frozenset(label for page in pages if page for label in _halves(page)),
        None in pages,
        tuple({c.lock.path: c.lock for c, d in mine if c.lock is not None and d.scope != "drawing"}.values()),
        tuple(dict.fromkeys(d.path for _, d in mine if d.scope == "drawing" and d.path)),
    )


def _needs_a_slip(charge: Charge, difference: Difference) -> bool:
    """What stops a commit does; so does a picture that was touched up, which goes through but is not what was signed
    off, so that it could never be delivered."""
    return charge.level == "block" or (difference.rule == "touch-up" and charge.reopen is None)


def _halves(label: str) -> list[str]:
    return [str(number) for number in page_numbers(label)] or [label]
