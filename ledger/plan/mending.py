"""The smallest single add or cut after which no spread and no reveal is on the wrong side."""

from collections.abc import Sequence
from typing import NamedTuple

from ledger.plan.block import Block


class Mend(NamedTuple):
    """One page more behind any page from `first` to `last`, or pages `first` to `last` cut, by new numbers.

    `pages` is how many; for a cut of one page any from `first` to `last` will do (`either`).
    """

    kind: str
    pages: int
    first: int
    last: int
    either: bool = True


class Mark(NamedTuple):
    """A spread or reveal in the new book: its first and last page there, and whether it holds.

    Of one torn apart `seated` says whether its first half stands on a verso, so that it holds once joined.
    """

    first: int
    last: int
    holds: bool
    torn: bool = False
    seated: bool = True


def mend(marks: Sequence[Mark], block: Block) -> Mend | None:
    """What would mend the new book; None where nothing is broken or no single act mends it.

    A page more or less flips everything behind it, so it mends when all that holds stands before all that is broken.
    A page is added, unless one less does as well and takes a signature less. A spread torn apart comes
    together only by cutting what stands between its halves.
    """
    ordered = sorted(marks)
    if all(mark.holds for mark in ordered):
        return None
    torn = [mark for mark in ordered if mark.torn]
    if torn:
        return _joined(torn, ordered)
    first = next(mark for mark in ordered if not mark.holds)
    before = [mark for mark in ordered if mark.holds]
    last = max((mark.last for mark in before), default=0)
    if last >= first.first:
        return None
    # Behind the last page that holds, before the first that is broken; never inside a spread.
    more, less = (block._replace(story=block.story + step).sheets for step in (1, -1))
    if less < more and last + 1 < first.first:
        return Mend("cut", 1, last + 1, first.first - 1)
    return Mend("add", 1, last, first.first - 1)


def _joined(torn: Sequence[Mark], marks: Sequence[Mark]) -> Mend | None:
    """Cutting what stands between the halves of the one torn spread, if that makes all hold."""
    if len(torn) > 1 or torn[0].first > torn[0].last or not torn[0].seated:
        return None
    first, last = torn[0].first + 1, torn[0].last - 1
    gap = last - first + 1
    for mark in marks:
        inside = first <= mark.first <= last or first <= mark.last <= last
        behind = mark.first > last
        if not mark.torn and (inside or mark.holds == (behind and gap % 2 == 1)):
            return None
    return Mend("cut", gap, first, last, either=False)
