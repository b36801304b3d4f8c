"""Two states of a script set side by side on the pages that changed alone: the same differences as of the whole."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import chain
from typing import NamedTuple

from ledger.judge.pairing.collation import Collation
from ledger.judge.pairing.line_pairs import LinePair, PagePairs, pair_actions, pair_lines, pair_page, pairs_together
from ledger.judge.pairing.people import name_in
from ledger.judge.pairing.script_pages import Changed, PageText, ScriptInPages, changed_pages, silent_between, spoken_in
from ledger.judge.pairing.sheet_pairs import SheetPair, SlotPair, pair_slots, surely_same
from ledger.judge.pairing.sheets import Told
from ledger.model.book import Person
from ledger.model.script import Scene
from ledger.read.cast_names import EVERYBODY

Scenes = frozenset[tuple[int, int]]


class _PagePair(NamedTuple):
    """A changed page set against itself as if no other had changed.

    `sure` is whether it is paired with itself whatever else changed between two pages that did not; `prints` is a
    number for all that stands on it, then and now. `whole` is whether every panel is in its place on both sides. Of
    `texts` and `actions` those are left out that are kept as they were; `scenes` are those that each line on both
    sides stood and stands in, `spoken` those of all lines.
    """

    sure: bool
    prints: tuple[int, int]
    whole: bool
    texts: PagePairs
    actions: tuple[LinePair, ...]
    scenes: Scenes
    spoken: frozenset[int]


class _Lines(NamedTuple):
    """The panels and lines of all changed pages that are not as they were, and the scenes of those on both sides."""

    slots: tuple[SlotPair, ...]
    texts: tuple[LinePair, ...]
    actions: tuple[LinePair, ...]
    scenes: Scenes


def on_changed_pages(old: ScriptInPages, new: ScriptInPages, cast: Sequence[Person]) -> Collation | None:
    """The collation of two states, cut down to what differs; None where only the whole drafts can tell.

    Both are read by this cast. Pages, panels and lines that are as they were are left out, and so are scenes that no
    changed page has a line of.

    A page is set against the one of its own number where that is what `ledger.judge.pairing.sheet_pairs` does:
    pages that are the same word for word hold their places, and between two of them stand as many pages on both
    sides, each with most of its words. A line is looked for on other changed pages where it may have come from one.
    """
    pages = changed_pages(old, new)
    if pages is None or not _names_stay(old, cast):
        return None
    pairs = [_placed_pair(*page[1:]) for page in pages]
    if not all(pair.sure for pair in pairs) or not _in_their_places(old, pages, pairs):
        return None
    lines = _lines(pages, pairs)
    touched = frozenset[int]().union(*(pair.spoken for pair in pairs))
    if not _scenes_stay(old, pages, touched, lines.scenes):
        return None
    bonds = frozenset((scene, scene) for scene in touched)
    labels = _as_they_were(old.labels)
    titles = _titled(old, touched), _titled(new, touched)
    return Collation((), lines.slots, lines.texts, lines.actions, *titles, bonds, labels)


@lru_cache(maxsize=64)
def _as_they_were(labels: tuple[str, ...]) -> frozenset[tuple[str | None, str | None]]:
    return frozenset((label, label) for label in labels)


def _names_stay(script: ScriptInPages, cast: Sequence[Person]) -> bool:
    """Whether everybody who speaks is known by the same name to the later draft, which has the same cast.

    Who speaks is in the cast by name, or is nobody whose name or alias stands there; only several at once may be told
    by what was typed, and be known in part.
    """
    now = name_in(cast)
    names = {*(person.name for person in cast), EVERYBODY, *script.speakers()}
    return all(now(name) == name for name in names)


@lru_cache(maxsize=4096)
def _placed_pair(text: PageText, other: PageText, then: int, now: int, scene: int) -> _PagePair:
    """A page set against itself where it stands; what was found is the same wherever that is."""
    pair = _page_pair(text, other)

    def told(line: Told, first: int) -> Told:
        at = line.line
        return line._replace(
            line=at._replace(line=at.line + first - 1, end_line=at.end_line + first - 1, scene=at.scene + scene)
        )

    def placed(found: LinePair) -> LinePair:
        olds, news = tuple(told(line, then) for line in found.olds), tuple(told(line, now) for line in found.news)
        return found._replace(olds=olds, news=news)

    return pair._replace(
        texts=pair.texts._replace(steps=tuple((step, placed(found)) for step, found in pair.texts.steps)),
        actions=tuple(map(placed, pair.actions)),
        scenes=frozenset((i + scene, j + scene) for i, j in pair.scenes),
        spoken=frozenset(i + scene for i in pair.spoken),
    )


@lru_cache(maxsize=4096)
def _page_pair(text: PageText, other: PageText) -> _PagePair:
    old, new = text.sheet(1, 0), other.sheet(1, 0)
    slots = pair_slots([SheetPair(old, new)])
    texts, actions = pair_page(slots), pair_actions(slots)
    steps = tuple(step for step in texts.steps if not _as_it_was(step[1]))
    return _PagePair(
        surely_same(old, new),
        (hash(old.print), hash(new.print)),
        all(slot.old is not None and slot.new is not None and not slot.carried for slot in slots),
        texts._replace(steps=steps),
        tuple(pair for pair in actions if pair.kind != "kept"),
        _both_scenes(chain((pair for _, pair in texts.steps), actions)),
        frozenset(told.line.scene for sheet in (old, new) for slot in sheet.slots for told in slot.told),
    )


def _as_it_was(pair: LinePair) -> bool:
    return pair.kind == "kept" and [told.line.text for told in pair.olds] == [told.line.text for told in pair.news]


def _both_scenes(pairs: Iterable[LinePair]) -> Scenes:
    return frozenset((pair.olds[0].line.scene, pair.news[0].line.scene) for pair in pairs if pair.olds and pair.news)


def _in_their_places(old: ScriptInPages, pages: Sequence[Changed], pairs: Sequence[_PagePair]) -> bool:
    """Whether no changed page has become what another was, and none without words stands between two of them."""
    come = {pair.prints[1]: n for n, pair in enumerate(pairs)}
    if len(come) < len(pairs) or any(come.get(pair.prints[0], n) != n for n, pair in enumerate(pairs)):
        return False
    places = {page.at for page in pages}
    return not pages or all(at in places for at in silent_between(old, pages[0].at, pages[-1].at))


def _lines(pages: Sequence[Changed], pairs: Sequence[_PagePair]) -> _Lines:
    """Each page by itself, or, where a panel or line may have gone from one to another, all together."""
    texts = pairs_together([pair.texts for pair in pairs]) if all(pair.whole for pair in pairs) else None
    if texts is not None:
        actions = tuple(chain.from_iterable(pair.actions for pair in pairs))
        return _Lines((), tuple(texts), actions, frozenset[tuple[int, int]]().union(*(pair.scenes for pair in pairs)))
    slots = pair_slots([SheetPair(*page.sheets) for page in pages])
    texts, told = pair_lines(slots), pair_actions(slots)
    return _Lines(tuple(slots), tuple(texts), tuple(told), _both_scenes(chain(texts, told)))


def _scenes_stay(old: ScriptInPages, pages: Sequence[Changed], touched: Iterable[int], both: Scenes) -> bool:
    """Whether each scene is its own heir: no line went to another one, and some line of it is still there."""
    if any(i != j for i, j in both):
        return False
    places = [page.at for page in pages]
    return all((scene, scene) in both or spoken_in(old, scene, places) for scene in touched)


def _titled(script: ScriptInPages, touched: Iterable[int]) -> Mapping[int, Scene]:
    """The scenes by their numbers, without their lines; all that is asked of them is what they are called."""
    return {index: Scene(index, "", script.titles[index], "", 0) for index in sorted(touched)}
