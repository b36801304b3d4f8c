"""A "what if" laid over a draft: the same words on other pages, and nothing where a page is new."""

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from ledger.judge.resting.fingerprint import Fingerprints
from ledger.model.book import Book
from ledger.model.pages import page_numbers
from ledger.model.script import Draft, Line, Page, Scene
from ledger.plan.block import story_pages
from ledger.plan.numbering import Numbering, Wish, what_if
from ledger.plan.weight import carried_reveals


class Supposed(NamedTuple):
    """The draft as it would be, the numbering, its reveals, and the scenes concerned with what becomes of them."""

    draft: Draft
    numbering: Numbering
    reveals: Mapping[int, tuple[int, ...]]
    scenes: tuple[tuple[str, str], ...]

    def prints(self, old: Fingerprints) -> Callable[[int], str | None]:
        """The fingerprint of a page of the new book: that of the page that was carried there, None for a new one."""
        came_from = {now: page for page, now in self.numbering.to.items() if now is not None}
        return lambda page: old.of(str(came_from[page])) if page in came_from else None


def supposed(draft: Draft, book: Book, wish: Wish) -> Supposed:
    """What a wish makes of a draft. Raises Refusal for a wish that can't be."""
    omitted = [n for page in draft.pages if page.omitted for n in page_numbers(page.label)]
    numbering = what_if(story_pages(draft, book), wish, omitted)
    labels = {page.label: _label(page, numbering) for page in draft.pages}
    pages = [page._replace(label=now) for page in draft.pages if (now := labels[page.label]) is not None]
    fresh = [Page(str(number), *_place(draft), holds=False) for number in numbering.added] if draft.pages else []
    ordered = sorted([*pages, *fresh], key=lambda page: page_numbers(page.label)[0])
    scenes = tuple(_scenes(draft, labels, moved=bool(wish.moves)))
    then = draft._replace(pages=tuple(ordered), scenes=scenes)
    return Supposed(then, numbering, carried_reveals(draft, numbering), tuple(_concerned(draft, wish, labels)))


def _label(page: Page, numbering: Numbering) -> str | None:
    """The label under which a page of the script would stand; None where all of it is cut."""
    if page.omitted:
        return page.label
    spot = [now for number in page_numbers(page.label) if (now := numbering.to.get(number)) is not None]
    return f"{min(spot)}-{max(spot)}" if len(spot) > 1 else str(spot[0]) if spot else None


def _place(draft: Draft) -> tuple[str, int]:
    return draft.pages[-1].path, draft.pages[-1].line


def _scenes(draft: Draft, labels: Mapping[str, str | None], *, moved: bool) -> Iterator[Scene]:
    """The scenes with what is left of them; where pages moved, in pieces in the new order."""
    if not moved:
        for scene in draft.scenes:
            lines = tuple(_carried(scene.lines, labels))
            if lines or not scene.lines:
                yield scene._replace(lines=lines)
        return
    kept = [line for scene in draft.scenes for line in _carried(scene.lines, labels)]
    kept.sort(key=lambda line: page_numbers(line.page)[0] if line.page else 0)
    start = 0
    for at in range(1, len(kept) + 1):
        if at == len(kept) or kept[at].scene != kept[start].scene:
            yield draft.scenes[kept[start].scene]._replace(lines=tuple(kept[start:at]))
            start = at


def _carried(lines: tuple[Line, ...], labels: Mapping[str, str | None]) -> Iterator[Line]:
    for line in lines:
        if line.page is None:
            yield line
        elif labels.get(line.page) is not None:
            yield line._replace(page=labels[line.page])


def _concerned(draft: Draft, wish: Wish, labels: Mapping[str, str | None]) -> Iterator[tuple[str, str]]:
    """Scenes that lose, gain or carry away pages, in reading order."""
    gains = {after for _, after in wish.adds}
    carried = {page for first, last, _ in wish.moves for page in range(first, last + 1)}
    for scene in draft.scenes:
        on = list(dict.fromkeys(line.page for line in scene.lines if line.page))
        numbers = [number for label in on for number in page_numbers(label)]
        lost = [label for label in on if labels.get(label) is None]
        told = []
        if lost:
            told.append("is cut" if len(lost) == len(on) else f"loses {', '.join(f'p{label}' for label in lost)}")
        if numbers and any(numbers[0] <= after <= numbers[-1] for after in gains):
            told.append("a page comes into it or behind it")
        if carried.intersection(numbers):
            told.append("is carried elsewhere" if carried.issuperset(numbers) else "part of it is carried elsewhere")
        if told:
            yield scene.title or scene.chapter, ", ".join(told)
