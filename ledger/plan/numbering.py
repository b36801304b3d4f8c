"""Where every story page of one state of a book stands in another."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ledger.model.change import PageChange
from ledger.model.errors import Refusal
from ledger.model.pages import page_numbers
from ledger.model.script import Draft


class Numbering(NamedTuple):
    """`to` maps a story page of the old book to its number in the new one, None where it was cut.

    `old` and `new` are the story pages of both, `added` new numbers of pages that were not there.
    """

    old: int
    new: int
    to: Mapping[int, int | None]
    added: tuple[int, ...]

    @property
    def cut(self) -> tuple[int, ...]:
        """Old numbers of pages that are gone."""
        return tuple(page for page, now in sorted(self.to.items()) if now is None)


class Wish(NamedTuple):
    """What is asked: (how many, after which page), runs to cut, runs to move (first, last, after which page)."""

    adds: tuple[tuple[int, int], ...] = ()
    cuts: tuple[tuple[int, int], ...] = ()
    moves: tuple[tuple[int, int, int], ...] = ()


def what_if(pages: int, wish: Wish, omitted: Iterable[int] = ()) -> Numbering:
    """The numbering after a wish; all its numbers are the old book's. Raises Refusal for what can't be done."""
    order = _Order(pages, wish).pages()
    if not order:
        raise Refusal("nothing would be left of the story", remedy="leave at least one page in it, or add one")
    there = [page for page in order if page is not None]
    now = {page: number for number, page in enumerate(order, 1) if page is not None}
    assert len(there) == len(now)
    gone = frozenset(omitted)
    to = {page: now.get(page) for page in range(1, pages + 1) if page not in gone}
    return Numbering(pages, len(order), to, tuple(number for number, page in enumerate(order, 1) if page is None))


class _Order:
    """The pages of the new book in order: old numbers, None for a page that is new."""

    def __init__(self, pages: int, wish: Wish) -> None:
        self.last = pages
        self.gone = {page for first, last in wish.cuts for page in self._run(first, last)}
        self.adds: dict[int, int] = {}
        for count, after in wish.adds:
            self._there(after, least=0)
            self.adds[after] = self.adds.get(after, 0) + count
        self.moved: set[int] = set()
        self.blocks: dict[int, list[Sequence[int]]] = {}
        for first, last, after in wish.moves:
            self._take(self._run(first, last), after)

    def _run(self, first: int, last: int) -> range:
        self._there(first)
        self._there(last)
        return range(first, last + 1)

    def _there(self, page: int, least: int = 1) -> None:
        if not least <= page <= self.last:
            raise Refusal(f"there is no page {page}: the story has pages 1 to {self.last}",
                          remedy="all numbers are those of the old book")  # fmt: skip

    def _take(self, run: Sequence[int], after: int) -> None:
        self._there(after, least=0)
        said = f"pages {run[0]}-{run[-1]}"
        if self.moved.intersection(run) or self.gone.intersection(run):
            raise Refusal(f"{said} can't be moved twice, or moved and cut", remedy="name every page once")
        if after in run:
            raise Refusal(f"{said} can't be moved behind one of themselves", remedy="name a page outside the run")
        self.moved.update(run)
        self.blocks.setdefault(after, []).append(run)

    def pages(self) -> list[int | None]:
        """In reading order. Raises Refusal where runs are moved behind each other."""
        found: list[int | None] = []
        for page in range(self.last + 1):
            if page not in self.moved:
                self._put(page, found)
        if sum(page is not None for page in found) != self.last - len(self.gone):
            raise Refusal("these runs of pages would each stand behind the other", remedy="move one of them alone")
        return found

    def _put(self, page: int, found: list[int | None]) -> None:
        """A page, then what is to stand behind it; of runs behind each other every one waits in turn."""
        waiting = [page]
        while waiting:
            here = waiting.pop()
            if here and here not in self.gone:
                found.append(here)
            found.extend([None] * self.adds.get(here, 0))
            waiting.extend(reversed([each for run in self.blocks.get(here, ()) for each in run]))


def between(old: Draft, new: Draft, changes: Iterable[PageChange], pages: tuple[int, int]) -> Numbering:
    """The numbering of a comparison; `pages` are the story pages of both books.

    Drafts without page marks keep their numbers: pages more or fewer came or went at the end.
    """
    if not old.pages or not new.pages:
        return _plain(*pages)
    to: dict[int, int | None] = {}
    for change in changes:
        before, after = page_numbers(change.old or ""), page_numbers(change.new or "")
        for at, page in enumerate(before):
            to[page] = after[at] if at < len(after) else None
    taken = {page for page in to.values() if page is not None}
    fresh = [n for page in new.pages if not page.omitted for n in page_numbers(page.label) if n not in taken]
    return Numbering(*pages, dict(sorted(to.items())), tuple(fresh))


def _plain(old: int, new: int) -> Numbering:
    to = {page: page if page <= new else None for page in range(1, old + 1)}
    return Numbering(old, new, to, tuple(range(old + 1, new + 1)))
