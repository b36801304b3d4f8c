"""Following a place from one draft to another, through renumbered pages and scenes moved or renamed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from ledger.judge.notes import places
from ledger.judge.notes.places import Place
from ledger.judge.notes.trail import Trail
from ledger.judge.notes.words import bag, part, phrase_words, shared, weight, words_now
from ledger.model.change import DraftChange, LineChange, PageChange, SceneChange
from ledger.model.script import Draft, Line, Page, Scene
from ledger.model.words import normalise

#: So many words are no chance where they are found again elsewhere (from trials, no source).
TELLING = 5
#: Lines that hold less of each other's words than this, 0 to 1, are two lines: one was cut, one is new (from trials, no
#: source).
LIKE = 0.45
#: Lines that hold at least this much of each other's words may be one all the same (from trials, no source).
MAYBE = 0.3
#: Lines so near before or after a place are beside it (from trials, no source).
NEXT = 2
#: Of so few words a line may share none with what it became (own choice).
_SHORT = 2


@dataclass(frozen=True)
class Way:
    """From an old draft to a new one, with what happened between them."""

    old: Draft
    new: Draft
    change: DraftChange

    @cached_property
    def _lines(self) -> dict[Line, tuple[LineChange, SceneChange]]:
        """Every old line with its change and the group of scenes it is told in."""
        return {line.old: (line, scene) for scene in self.change.scenes for line in scene.lines if line.old}

    @cached_property
    def _new_lines(self) -> tuple[Line, ...]:
        return self.new.lines

    @cached_property
    def _renamed(self) -> dict[str, str]:
        return dict(self.change.cast.renamed)

    def follow(self, place: Place) -> Trail:
        """What became of a place of the old draft."""
        return {
            "phrase": self._phrase,
            "panel": self._panel,
            "page": self._page,
            "scene": self._scene,
            "chapter": self._chapter,
        }[place.kind](place)

    def arrived(self, place: Place, there: Place) -> Trail:
        """What is to be said of a place of the old draft that is known to be this one of the new: whether its words
        changed, and that it was carried."""
        if place.kind == "phrase":
            words = phrase_words(place)
            mouths = [(line.role, places.mouth(line.speaker, self._renamed)) for line in place.lines[:1]]
            same = words in places.joined(there.lines) and mouths == [(a.role, a.speaker) for a in there.lines[:1]]
            told = replace(there, quote=place.quote if same else words_now(place, there.lines), spot=place.spot)
            return Trail(told, not same, True)
        same = (
            self._same_page(place, there)
            if place.kind == "page"
            else self._same(place.lines, there.lines, by_panel=False)
        )
        return Trail(there, not same, True)

    def partner(self, line: Line) -> Line | None:
        """The line's other self in the new draft."""
        found = self._lines.get(line)
        return found[0].new if found else None

    def carried(self, lines: Iterable[Line]) -> bool:
        """Whether most of these lines were carried elsewhere, by themselves, with their scene or with a part of it."""
        kept = [(line, found) for line in lines if (found := self._lines.get(line)) and found[0].new]
        away = [line for line, (change, scene) in kept if scene.moved or change.kind == "moved" or self._astray(change)]
        return weight(away) * 2 > weight(line for line, _ in kept)

    def _astray(self, change: LineChange) -> bool:
        return bool(change.old and change.new and (change.old.scene, change.new.scene) in self._parts_away)

    @cached_property
    def _parts_away(self) -> set[tuple[int, int]]:
        """Parts of split and merged scenes that stand elsewhere than the scene they are told with, as the scene they
        were in and the one they are in now: those outside the chain that leaves most words in order."""
        from ledger.compare.chain import heaviest_chain

        words: Counter[tuple[int, int]] = Counter()
        for scene in self.change.scenes:
            for line in scene.lines if not scene.moved else ():
                if line.old and line.new:
                    words[line.old.scene, line.new.scene] += weight((line.new,))
        parts = {(a.index, b.index) for s in self.change.scenes for a in s.old for b in s.new if len(s.old + s.new) > 2}
        pairs = sorted(words, key=lambda pair: (pair[1], pair[0]))
        order = {pair: n for n, pair in enumerate(sorted(pairs))}
        chain = heaviest_chain([order[pair] for pair in pairs], [words[pair] for pair in pairs])
        return {pair for n, pair in enumerate(pairs) if n not in chain and pair in parts}

    def _same(self, old: Sequence[Line], new: Sequence[Line], *, by_panel: bool) -> bool:
        before = places.wording(old, by_panel=by_panel, renamed=self._renamed)
        return before == places.wording(new, by_panel=by_panel)

    # -- phrases

    def _phrase(self, place: Place) -> Trail:
        """A phrase is evidence by its own words alone, and by whose they are."""
        others = [line for line in map(self.partner, place.lines) if line]
        words = phrase_words(place)
        if others and words in places.joined(others):
            kept = places.find_phrase(place.quote or "", others, self.new) or self._told(place, others, place.quote)
            return Trail(kept, self._other_mouth(place.lines), self.carried(place.lines))
        home = set(map(_spot, others or self._beside(place)))
        found = self._said_again(place, [line for line in self._new_lines if _spot(line) in home])
        if found:
            return Trail(found[0])
        again = self._whole_line_again(place) if not others else None
        if again:
            return Trail(again, moved=True)
        if len(phrase_words(place).split()) >= TELLING:
            found = self._said_again(place, self._new_lines)
            if len(found) == 1 and not others:
                return Trail(found[0], moved=True) if self._beside_its_own(place, found[0].lines) else _maybe(found[0])
            if len(found) == 1:
                return Trail(None, may_be=(self._told(place, others, words_now(place, others)), found[0]))
        if not others:
            return Trail(None, may_be=tuple(self._told(place, [line], line.text) for line in self._lines_like(place)))
        there = self._told(place, others, words_now(place, others))
        if (like := shared(place.lines, others)) < LIKE and not self._in_its_place(place.lines, others):
            return _maybe(there) if like >= MAYBE else Trail(None)
        if not self._beside_its_own(place, others):
            return _maybe(there)
        return Trail(there, True, self.carried(place.lines))

    def _lines_like(self, place: Place) -> Iterator[Line]:
        """New lines that may say the same as a line that was not found again, beside what stood beside it: who calls
        it cut must be sure. A few words are anybody's: in another mouth they are no trail."""
        few = len(places.joined(place.lines).split()) < TELLING
        mouth = places.mouth(place.lines[0].speaker, self._renamed)
        for line in self._new_lines:
            fresh = line not in self._before and not (few and line.speaker != mouth)
            if fresh and self._beside_its_own(place, [line]) and shared(place.lines, [line]) >= MAYBE:
                yield line

    def _beside_its_own(self, place: Place, there: Sequence[Line]) -> bool:
        """Whether a line that stood next to the place stands next to these lines now. Other words in another
        neighbourhood are as well another line that is only like it."""
        old, new = self._order
        first, last = old[place.lines[0]], old[place.lines[-1]]
        at = new[there[0]]
        beside = [*range(first - NEXT, first), *range(last + 1, last + 1 + NEXT)]
        kept = (self.partner(self._old_lines[n]) for n in beside if 0 <= n < len(self._old_lines))
        return any(line is not None and abs(new[line] - at) <= 2 * NEXT for line in kept)

    @cached_property
    def _old_lines(self) -> tuple[Line, ...]:
        return self.old.lines

    @cached_property
    def _order(self) -> tuple[dict[Line, int], dict[Line, int]]:
        """Every line of the old and of the new draft with its number."""
        old, new = ({line: n for n, line in enumerate(side)} for side in (self._old_lines, self._new_lines))
        return old, new

    def _in_its_place(self, lines: Sequence[Line], others: Sequence[Line]) -> bool:
        """Whether a word or two stand where a word or two did: the only line of that mouth in its panel, both times."""
        short = len(lines) == len(others) == 1 and max(bag(lines).total(), bag(others).total()) <= _SHORT
        return short and lines[0].speaker == others[0].speaker and all(
            sum(_spot(each) == _spot(line) and each.speaker == line.speaker for each in draft.lines) == 1
            for draft, line in ((self.old, lines[0]), (self.new, others[0]))
        )  # fmt: skip

    def _said_again(self, place: Place, lines: Sequence[Line]) -> list[Place]:
        """Where the words of a phrase stand now in lines that are new or changed: a balloon was split, joined to
        another, or typed again elsewhere. A line that had the words all along is another line."""
        return [p for p in places.find_phrases(place.quote or "", lines, self.new) if any(map(self._fresh, p.lines))]

    def _whole_line_again(self, place: Place) -> Place | None:
        """Where the one line that held a phrase stands now word for word, as one line that was not there before: a few
        words are anybody's, a whole line is not."""
        said = places.joined(place.lines)
        if len(place.lines) != 1 or len(said.split()) < TELLING:
            return None
        found = [line for line in self._new_lines if places.joined([line]) == said and self._fresh(line)]
        found = [line for line in found if line.speaker == places.mouth(place.lines[0].speaker, self._renamed)]
        return places.find_phrase(place.quote or "", found, self.new) if len(found) == 1 else None

    def _fresh(self, line: Line) -> bool:
        before = self._before.get(line)
        return before is None or normalise(before.text) != normalise(line.text)

    @cached_property
    def _before(self) -> dict[Line, Line]:
        return {line.new: line.old for scene in self.change.scenes for line in scene.lines if line.new and line.old}

    def _beside(self, place: Place) -> list[Line]:
        """What became of the lines that stood in the same panel."""
        here = _spot(place.lines[0])
        return [other for line in self.old.lines if _spot(line) == here and (other := self.partner(line))]

    def _other_mouth(self, lines: Sequence[Line]) -> bool:
        """Whether somebody else says these lines now."""
        pairs = [(line, other) for line in lines if (other := self.partner(line))]
        return any((a.role, places.mouth(a.speaker, self._renamed)) != (b.role, b.speaker) for a, b in pairs)

    def _told(self, place: Place, lines: Sequence[Line], words: str | None) -> Place:
        return replace(places.phrase_place(lines, words or lines[0].text, self.new), spot=place.spot)

    # -- panels and pages

    def _panel(self, place: Place) -> Trail:
        voted = self._votes(place.lines, lambda line: (line.page, line.panel))
        told = self._paired_panel(place)
        if voted and told and voted[:2] != told and not any(map(self._word_for_word, place.lines)):
            may_be = [places.panel_place(self.new, page, n or 1) for page, n in self._sheets(told, voted[:2])]
            return Trail(None, may_be=tuple(each for each in may_be if each))
        spot = voted if voted and (voted[2] or told is None) else told
        page = places.page_of(self.new, spot[0]) if spot else None
        if spot is None or page is None:
            return Trail(None, may_be=tuple(self._like(place)))
        there = places.panel_place(self.new, page, spot[1] or 1)
        if there is None:
            return Trail(None)
        return Trail(there, not self._same(place.lines, there.lines, by_panel=False), self.carried(place.lines))

    def _like(self, place: Place) -> Iterator[Place]:
        """Panels whose new lines say much the same as a panel of which no line was found again."""
        said = bag(place.lines)
        size = said.total()
        alike = [
            spot
            for spot, words in self._panels_new.items()
            # Two bags can't be liker than their sizes let them be.
            if 2 * min(size, n := words.total()) >= LIKE * (size + n) > 0 and part(said, words) >= LIKE
        ]
        for page, number in self._sheets(*alike):
            there = places.panel_place(self.new, page, number or 1)
            if there is not None:
                yield there

    @cached_property
    def _panels_new(self) -> dict[tuple[str, int | None], Counter[str]]:
        """Page and panel -> the words of the lines in it that were not there before."""
        new: dict[tuple[str, int | None], list[Line]] = {}
        for line in self.new.lines:
            if line.page is not None and line not in self._before:
                new.setdefault((line.page, line.panel), []).append(line)
        return {spot: bag(lines) for spot, lines in new.items()}

    def _word_for_word(self, line: Line) -> bool:
        other = self.partner(line)
        return other is not None and normalise(other.text) == normalise(line.text)

    def _sheets(self, *spots: tuple[str, int | None]) -> Iterator[tuple[Page, int | None]]:
        """The pages of these labels, each with the number of a panel."""
        for label, number in spots:
            page = places.page_of(self.new, label)
            if page is not None:
                yield page, number

    def _paired_panel(self, place: Place) -> tuple[str, int | None] | None:
        pair = self._page_change(place.page)
        if pair is None or pair.new is None:
            return None
        number = next((panel.new for panel in pair.panels if panel.old == (place.panel or 1)), None)
        return (pair.new, number) if number is not None else None

    def _page_change(self, label: str | None) -> PageChange | None:
        return next((page for page in self.change.pages if page.old is not None and page.old == label), None)

    def _page(self, place: Place) -> Trail:
        voted = self._votes(place.lines, lambda line: (line.page, None))
        pair = self._page_change(place.page)
        gone_on = pair is None or (voted is not None and voted[2] and voted[0] != pair.new)
        if pair is not None and pair.new is not None and not gone_on:
            page = places.page_of(self.new, pair.new)
            if page is not None:
                there = places.page_place(self.new, page)
                return Trail(there, not self._same_page(place, there), self.carried(place.lines))
        page = places.page_of(self.new, voted[0]) if voted and voted[2] else None
        if page is None:
            return Trail(None)
        there = places.page_place(self.new, page)
        return Trail(there, not self._same_page(place, there), True)

    def _same_page(self, old: Place, new: Place) -> bool:
        counts = [
            next((p.panel_count for p in d.pages if p.label == q.page), 0)
            for d, q in ((self.old, old), (self.new, new))
        ]
        return counts[0] == counts[1] and self._same(old.lines, new.lines, by_panel=True)

    def _votes(self, lines: Sequence[Line], where: object) -> tuple[str, int | None, bool] | None:
        """Where most words of these lines stand now, and whether that is at least half of them."""
        assert callable(where)
        count: Counter[tuple[str | None, int | None]] = Counter()
        for line in lines:
            other = self.partner(line)
            if other is not None:
                count[where(other)] += weight((line,))
        best = max(((n, spot) for spot, n in count.items() if spot[0]), key=lambda each: each[0], default=None)
        if best is None:
            return None
        n, (page, panel) = best
        return (page or "", panel, 2 * n >= weight(lines))

    # -- scenes and chapters

    def _scene(self, place: Place) -> Trail:
        """A scene goes on with the part that holds most of its lines, whatever scene these are told with."""
        group = next((g for g in self.change.scenes if any(s.index == place.scenes[0].index for s in g.old)), None)
        told = {scene.index for scene in group.new} if group else set()
        home = Counter(other.scene for line in place.lines if (other := self.partner(line)))
        first = self._goes_on(place, told, home)
        if first is None:
            return Trail(None)
        groups = [g for g in self.change.scenes if g is group or any(s.index == first.index for s in g.new)]
        mine = {scene.index for scene in place.scenes}
        others = {scene.index for g in groups for scene in g.old} - mine
        parts = [s for s in self.new.scenes if s.index in told and home[s.index] and s.index != first.index]
        kept = [line for line in places.lines_of((first, *parts)) if self._came_from(line) not in others]
        carried = group.moved if group and first.index in told else self.carried(place.lines)
        return Trail(places.scene_place((first, *parts)), not self._same(place.lines, kept, by_panel=False), carried)

    def _came_from(self, line: Line) -> int | None:
        """The scene in which a line of the new draft stood before."""
        return self._before[line].scene if line in self._before else None

    def _goes_on(self, place: Place, told: Collection[int], home: Mapping[int, int]) -> Scene | None:
        """The scene of the new draft in which a scene goes on: one that it is told with, `told`, or another that holds
        more of its lines and at least a third of them. `home` is how many stand in which scene now."""
        best = max(told, key=lambda n: (home.get(n, 0), -n), default=None)
        away = max(home, key=lambda n: (home[n], n == best, -n), default=None)
        if away is not None and away != best and 3 * home[away] >= len(place.lines):
            best = away
        return next((scene for scene in self.new.scenes if scene.index == best), None)

    def _chapter(self, place: Place) -> Trail:
        mine = {scene.index for scene in place.scenes}
        groups = [g for g in self.change.scenes if any(s.index in mine for s in g.old) and g.new]
        count = Counter(scene.number_of_chapter for group in groups for scene in group.new)
        if not count:
            return Trail(None)
        number = max(count, key=lambda n: (count[n], -abs(n - (place.chapter or 0))))
        there = places.chapter_place(number, self.new)
        if there is None:
            return Trail(None)
        moved = 2 * sum(group.moved for group in groups) > len(groups)
        return Trail(there, not self._same(place.lines, there.lines, by_panel=False), moved)


def _spot(line: Line) -> tuple[str | None, int | None, int]:
    """Where a line stands; the scene alone tells where nothing is marked."""
    return line.page, line.panel, line.scene


def _maybe(place: Place) -> Trail:
    """A place that it may be, and nobody can say."""
    return Trail(None, may_be=(place,))


def way_between(old: Draft, new: Draft) -> Way | None:
    """The way from one draft to another; None where nothing changed at all."""
    if old is new or (old.scenes == new.scenes and old.pages == new.pages):
        return None
    from ledger.compare import compare_drafts

    return Way(old, new, compare_drafts(old, new))
