"""A place followed round by round, held against the first round set beside the last: where the two disagree, both are
told instead of one believed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from ledger.judge.notes import places
from ledger.judge.notes.places import Place
from ledger.judge.notes.trail import Trail
from ledger.judge.notes.trails import Way
from ledger.model.script import Draft, Line

#: A place that may be one of more than so many is lost (own choice).
_MOST = 4


class Chain(NamedTuple):
    """Where a place is after some rounds, followed from each of them to the next.

    Nowhere: it was cut on the way. `sure` is whether no step had to leave open where it went.
    """

    places: tuple[Place, ...]
    sure: bool = True

    def onward(self, way: Way | None) -> Chain:
        """The chain one round further; without a way nothing changed."""
        if way is None:
            return self
        trails = [way.follow(place) for place in self.places]
        found = [place for trail in trails for place in (_whole(trail) or trail.may_be)]
        return Chain(_each_once(found)[:_MOST], self.sure and not any(trail.may_be for trail in trails))


def _whole(trail: Trail) -> tuple[Place, ...]:
    """The place of a trail. A phrase that was reworded is known by its whole line from then on: the few words that
    stand in its place now may be anybody's."""
    if trail.place is None:
        return ()
    if trail.place.kind != "phrase" or not trail.changed:
        return (trail.place,)
    return (replace(trail.place, quote=" ".join(line.text for line in trail.place.lines)),)


def settled(then: Place, direct: Trail, chain: Chain, way: Way) -> Trail:
    """What became of a place, by the way from its round to the content now (`direct`) and by the rounds between.

    Both ways must lead to the same place; else each is only what it may be. Words that stand as they stood are where
    they are, though they were cut or reworded on the way; but not where the rounds between lead to the same words
    elsewhere.
    """
    if direct.may_be:
        if chain.sure and _among(chain.places, direct.may_be):
            return way.arrived(then, chain.places[0])
        return Trail(None, may_be=_each_once((*direct.may_be, *chain.places)))
    if direct.place is None:
        return Trail(None, may_be=chain.places) if chain.places else direct
    if _among((direct.place,), chain.places):
        return direct
    if not direct.changed and all(way.arrived(then, place).changed for place in chain.places):
        return direct
    return Trail(None, may_be=_each_once((direct.place, *chain.places)))


def _among(some: Iterable[Place], others: Iterable[Place]) -> bool:
    return any(_one(a, b) for a in some for b in others)


def _one(a: Place, b: Place) -> bool:
    """Whether two places of one draft are the same; a phrase stands in the same line, a scene begins with it."""
    if a.kind == b.kind == "phrase":
        return not set(a.lines).isdisjoint(b.lines)
    if a.kind == b.kind == "scene":
        return a.scenes[0].index == b.scenes[0].index
    return (a.kind, a.page, a.panel, a.chapter) == (b.kind, b.page, b.panel, b.chapter)


def _each_once(found: Iterable[Place]) -> tuple[Place, ...]:
    once: list[Place] = []
    for place in found:
        if not _among((place,), once):
            once.append(place)
    return tuple(once)


# -- remembered


def spelled(chain: Chain, draft: Draft, numbers: Mapping[Line, int]) -> str:
    """A chain in one word of ASCII: `sure` or `open`, then each place by the numbers it has in the draft.

    `numbers` is where in the draft each line is.
    """
    pages = {page.label: n for n, page in enumerate(draft.pages) if not page.omitted}
    return ";".join(["sure" if chain.sure else "open", *(_spelled(place, pages, numbers) for place in chain.places)])


def _spelled(place: Place, pages: Mapping[str, int], numbers: Mapping[Line, int]) -> str:
    if place.kind == "phrase":
        held: Sequence[int] = [numbers[line] for line in place.lines]
    elif place.kind == "scene":
        held = [scene.index for scene in place.scenes]
    elif place.kind == "chapter":
        held = [place.chapter or 0]
    else:
        held = [pages[place.page or ""], *([place.panel or 0] if place.kind == "panel" else [])]
    return f"{place.kind}:{','.join(map(str, held))}"


def read_chain(word: str, draft: Draft, lines: Sequence[Line], then: Place) -> Chain | None:
    """A chain as `spelled` writes it; None where it is not of this draft."""
    sure, *rest = word.split(";")
    try:
        found = tuple(_read(each, draft, lines, then) for each in rest)
    except (ValueError, IndexError):
        return None
    kept = tuple(place for place in found if place is not None)
    return Chain(kept, sure == "sure") if len(kept) == len(found) and sure in ("sure", "open") else None


def _read(word: str, draft: Draft, lines: Sequence[Line], then: Place) -> Place | None:
    kind, _, held = word.partition(":")
    numbers = [int(each) for each in held.split(",")]
    if kind == "phrase":
        run = [lines[n] for n in numbers]
        known = places.find_phrase(then.quote or "", run, draft)
        return known or places.phrase_place(run, " ".join(line.text for line in run), draft)
    if kind == "scene":
        return places.scene_place([draft.scenes[n] for n in numbers])
    if kind == "chapter":
        return places.chapter_place(numbers[0], draft)
    page = draft.pages[numbers[0]]
    return places.panel_place(draft, page, numbers[1]) if kind == "panel" else places.page_place(draft, page)
