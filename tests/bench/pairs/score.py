"""Holds an answer, as `compare --json --all-lines` gives it, against the truth. Strict: half right is wrong."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.bench.pairs.page_truth import PageTruth, PanelTruth
from tests.bench.pairs.script import Typed
from tests.bench.pairs.truth import GroupTruth, Sides, Truth

Document = Mapping[str, Any]

#: The figures in the order of the table.
FIGURES = ("group exact", "scene link F1", "scene kind", "scene moved", "scene renamed", "line link F1", "line kind",
           "changed line kind", "moved-line recall", "renames", "page kind", "panel kind")  # fmt: skip


@dataclass
class Count:
    """What was found of what, and what was said beyond it."""

    right: int = 0
    missed: int = 0
    invented: int = 0

    def tell(self, right: bool) -> bool:
        """Counts one thing."""
        self.right += right
        self.missed += not right
        return right

    def add(self, other: Count) -> None:
        """Counts what another has counted."""
        self.right += other.right
        self.missed += other.missed
        self.invented += other.invented

    @property
    def share(self) -> float:
        """Twice what is right over what is true and what was said; the plain share where nothing is invented."""
        if not self.invented:
            return self.right / max(1, self.right + self.missed) if self.right + self.missed else 1.0
        return 2 * self.right / (2 * self.right + self.missed + self.invented)


@dataclass
class Score:
    """Counts by figure and by operation; `wrong` says in words what went wrong."""

    figures: dict[str, Count] = field(default_factory=lambda: {name: Count() for name in FIGURES})
    operations: dict[str, Count] = field(default_factory=lambda: defaultdict(Count))
    wrong: list[str] = field(default_factory=list)

    def add(self, other: Score) -> None:
        """Takes in another pair's score."""
        for name, count in other.figures.items():
            self.figures[name].add(count)
        for name, count in other.operations.items():
            self.operations[name].add(count)

    def share(self, figure: str) -> float:
        """A figure, 0 to 1."""
        return self.figures[figure].share


def score(answer: Document, truth: Truth) -> Score:
    """Scores an answer."""
    result = Score()
    good_scenes = _scenes(answer, truth, result)
    good_lines = _lines(answer, truth, result)
    good_pages, good_panels = _pages(answer, truth, result)
    good_names = _renames(answer, truth, result)
    for deed in truth.deeds:
        count = result.operations[deed.operation]
        if deed.of == "name":
            count.tell(deed.name.upper() in good_names)
        for each in deed.ids:
            place = truth.scenes.get(each) if deed.of == "scene" else truth.rows.get(each)
            if place is None:
                continue
            if deed.of == "scene":
                count.tell(place in good_scenes)
            elif deed.of == "row":
                count.tell(any(spot in good_lines for spot in _sides(*truth.rows[each])))
            else:
                _tell_sheet(count, deed.of, each, truth, good_pages, good_panels)
    return result


def _sides(old: int, new: int) -> list[tuple[str, int]]:
    return [(side, line) for side, line in (("old", old), ("new", new)) if line]


def _tell_sheet(
    count: Count, of: str, row: int, truth: Truth, pages: Mapping[tuple[str, str], bool],
    panels: Mapping[tuple[str, str, int], bool],
) -> None:  # fmt: skip
    """Whether the page or panel on which a row stands is right; not counted where it has no single reading."""
    for side, typed in (("old", truth.old), ("new", truth.new)):
        spot = typed.spots.get(row)
        if spot is None:
            continue
        known = pages.get((side, spot.page)) if of == "page" else panels.get((side, spot.page, spot.panel))
        if known is not None:
            count.tell(known)


def _scene_places(typed: Typed, listed: Iterable[Document]) -> tuple[int, ...]:
    """Places of scenes; -1 for one that is not there or is given another's line or title."""
    places = []
    for each in listed:
        at = each["index"]
        right = 0 <= at < len(typed.titles) and (each["title"], each["line"]) == (typed.titles[at], typed.headings[at])
        places.append(at if right else -1)
    return tuple(places)


def _scenes(answer: Document, truth: Truth, result: Score) -> set[tuple[str, int]]:
    told = [(_scene_places(truth.old, s["old"]), _scene_places(truth.new, s["new"]), s) for s in answer["scenes"]]
    times = Counter(("old", a) for old, _, _ in told for a in old) + Counter(
        ("new", b) for _, new, _ in told for b in new
    )
    said: dict[tuple[str, int], tuple[Sides, Document]] = {}
    for old, new, scene in told:
        for spot in [*(("old", a) for a in old), *(("new", b) for b in new)]:
            if times[spot] == 1 and spot[1] >= 0:
                said[spot] = (frozenset(old), frozenset(new)), scene
    allowed = _allowed(truth)
    good: set[tuple[str, int]] = set()
    for group in truth.groups:
        for spot in [*(("old", a) for a in sorted(group.old)), *(("new", b) for b in sorted(group.new))]:
            match = next((g for g in allowed[spot] if spot in said and said[spot][0] == g.sides), None)
            if _tell_scene(result, spot, match, said.get(spot), group):
                good.add(spot)
    _scene_links([(a, b) for old, new, _ in told for a in old for b in new], truth, result)
    return good


def _allowed(truth: Truth) -> dict[tuple[str, int], list[GroupTruth]]:
    """The groups in which each scene may stand."""
    allowed: dict[tuple[str, int], list[GroupTruth]] = defaultdict(list)
    for group in [*truth.groups, *truth.apart]:
        for spot in [*(("old", a) for a in group.old), *(("new", b) for b in group.new)]:
            if all(group.sides != other.sides for other in allowed[spot]):
                allowed[spot].append(group)
    return allowed


def _tell_scene(
    result: Score,
    spot: tuple[str, int],
    match: GroupTruth | None,
    said: tuple[Sides, Document] | None,
    true: GroupTruth,
) -> bool:
    figures = result.figures
    figures["group exact"].tell(match is not None)
    kind = figures["scene kind"].tell(match is not None and said is not None and said[1]["kind"] in match.kinds)
    moved = figures["scene moved"].tell(match is not None and said is not None and said[1]["moved"] in match.moved)
    figures["scene renamed"].tell(match is not None and said is not None and said[1]["renamed"] in match.renamed)
    if not (kind and moved):
        what = said and (sorted(said[0][0]), sorted(said[0][1]), said[1]["kind"], said[1]["moved"])
        result.wrong.append(
            f"scene {spot}: said {what}, true {sorted(true.old)} {sorted(true.new)} {sorted(true.kinds)} "
            f"moved {sorted(true.moved)}"
        )
    return kind and moved


def _scene_links(told: list[tuple[int, int]], truth: Truth, result: Score) -> None:
    may = {(a, b) for group in truth.groups for a in group.old for b in group.new}
    must = may - truth.weak
    count = result.figures["scene link F1"]
    times = Counter(told)
    count.right += len(must & set(times))
    count.missed += len(must - set(times))
    count.invented += sum(n for edge, n in times.items() if edge not in may) + sum(n - 1 for n in times.values())


def _lines(answer: Document, truth: Truth, result: Score) -> set[tuple[str, int]]:
    said: list[tuple[int, int, str]] = []
    for scene in answer["scenes"]:
        for line in scene["lines"]:
            old, new = line["old"], line["new"]
            said.append((old["line"] if old else 0, new["line"] if new else 0, line["kind"]))
    times = Counter(spot for old, new, _ in said for spot in _sides(old, new))
    there = {spot: (old, new, kind) for old, new, kind in said for spot in _sides(old, new) if times[spot] == 1}
    must = {(line.old, line.new) for line in truth.lines if line.old and line.new}
    pairs = Counter((old, new) for old, new, _ in said if old and new)
    count = result.figures["line link F1"]
    count.right += len(must & set(pairs))
    count.missed += len(must - set(pairs))
    count.invented += sum(n for pair, n in pairs.items() if pair not in must and pair not in truth.open_links)
    count.invented += sum(n - 1 for n in pairs.values())
    good: set[tuple[str, int]] = set()
    for line in truth.lines:
        told = [there.get(spot) for spot in _sides(line.old, line.new)]
        right = _line_right(line.old, line.new, line.kinds, told, truth)
        result.figures["line kind"].tell(right)
        if "same" not in line.kinds or not right:
            result.figures["changed line kind"].tell(right)
        if line.kinds == {"moved"}:
            result.figures["moved-line recall"].tell(right)
        if right:
            good.update(_sides(line.old, line.new))
        else:
            result.wrong.append(f"line {line.old} > {line.new}: said {told[0]}, true {sorted(line.kinds)}")
    return good


def _line_right(
    old: int, new: int, kinds: frozenset[str], told: list[tuple[int, int, str] | None], truth: Truth
) -> bool:
    said = told[0]
    if said is None or any(each != said for each in told):
        return False
    if (said[0], said[1]) == (old, new):
        return said[2] in kinds
    return not (old and new) and (said[0], said[1]) in truth.open_links and said[2] not in ("added", "cut")


def _renames(answer: Document, truth: Truth, result: Score) -> set[str]:
    said = [(each["old"].upper(), each["new"].upper()) for each in answer["cast"]["renamed"]]
    count = result.figures["renames"]
    true = set(truth.renames.items())
    count.right += len(true & set(said))
    count.missed += len(true - set(said))
    count.invented += len(said) - len(true & set(said))
    if true != set(said):
        result.wrong.append(f"renames: said {sorted(said)}, true {sorted(true)}")
    return {old for old, _ in true & set(said)}


def _pages(
    answer: Document, truth: Truth, result: Score
) -> tuple[dict[tuple[str, str], bool], dict[tuple[str, str, int], bool]]:
    said = answer["pages"]
    times = Counter(("old", p["old"]) for p in said if p["old"]) + Counter(("new", p["new"]) for p in said if p["new"])
    by_spot = {(side, p[side]): p for p in said for side in ("old", "new") if p[side] and times[side, p[side]] == 1}
    sure = {(side, label) for p in truth.pages if p.old and p.new for side, label in (("old", p.old), ("new", p.new))}
    pages: dict[tuple[str, str], bool] = {}
    panels: dict[tuple[str, str, int], bool] = {}
    for page in truth.pages:
        spots = [(side, label) for side, label in (("old", page.old), ("new", page.new)) if label]
        told = by_spot.get(spots[0])
        right = _page_right(page, spots, told, [by_spot.get(spot) for spot in spots], sure, times)
        result.figures["page kind"].tell(right)
        pages |= dict.fromkeys(spots, right)
        if not right:
            what = told and (told["kind"], told["old"], told["new"])
            result.wrong.append(f"page {page.old} > {page.new}: said {what}, true {sorted(page.kinds)}")
        if page.old and page.new:
            _panels(page, told if right else None, right, panels, result)
    return pages, panels


def _page_right(
    page: PageTruth, spots: list[tuple[str, str]], told: Document | None, every: list[Document | None],
    sure: set[tuple[str, str]], times: Mapping[tuple[str, str | None], int],
) -> bool:  # fmt: skip
    if told is None:
        return "kept" in page.kinds and not any(times[spot] for spot in spots)
    if any(each is not told for each in every):
        return False
    if page.old and page.new:
        return bool(told["kind"] in page.kinds)
    if told["kind"] in page.kinds:
        return True
    other = ("new", told["new"]) if page.old else ("old", told["old"])
    return told["kind"] == "changed" and other not in sure


def _panels(
    page: PageTruth, told: Document | None, right: bool, panels: dict[tuple[str, str, int], bool], result: Score
) -> None:
    """Panels of a page pair that changed; a page left out or without panels said that all were kept."""
    said = told["panels"] if told else []
    if not said and right and "changed" not in page.kinds:
        return
    sure = {("old", p.old) for p in page.panels if p.new} | {("new", p.new) for p in page.panels if p.old}
    for panel in page.panels:
        good = right and _panel_right(panel, said, sure)
        if "changed" in page.kinds or (told is not None and told["kind"] == "changed"):
            result.figures["panel kind"].tell(good)
        for side, label, number in (("old", page.old, panel.old), ("new", page.new, panel.new)):
            if number:
                panels[side, label, number] = good
        if not good and right:
            result.wrong.append(
                f"panel {page.old}.{panel.old} > {page.new}.{panel.new}: said {said}, true {panel.kinds}"
            )


def _panel_right(panel: PanelTruth, said: Iterable[Document], sure: set[tuple[str, int]]) -> bool:
    mine = [p for p in said if (panel.old and p["old"] == panel.old) or (panel.new and p["new"] == panel.new)]
    if len(mine) != 1:
        return False
    told = mine[0]
    if panel.old and panel.new:
        return (told["old"], told["new"]) == (panel.old, panel.new) and told["kind"] in panel.kinds
    if told["kind"] in panel.kinds:
        return True
    other = ("new", told["new"]) if panel.old else ("old", told["old"])
    return told["kind"] == "changed" and other not in sure
