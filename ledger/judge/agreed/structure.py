"""Structure: pages, panels, scenes, who speaks where, number and order of lines. One rule a function."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from ledger.judge.agreed.differences import (
    Difference,
    mouth,
    page_words,
    panel_words,
    place_words,
    print_of,
    quoted,
    title_of,
    who,
)
from ledger.judge.pairing.collation import Collation
from ledger.judge.pairing.in_order import longest_rising
from ledger.judge.pairing.line_pairs import LinePair
from ledger.judge.pairing.sheet_pairs import SlotPair
from ledger.judge.pairing.sheets import Sheet, Slot, Told
from ledger.model.pages import page_numbers
from ledger.model.script import Scene

Rule = Callable[[Collation], Iterator[Difference]]


def page_added(c: Collation) -> Iterator[Difference]:
    """A page that was not there."""
    for pair in c.sheets:
        if pair.old is None and pair.new is not None and pair.new.page is not None:
            yield _of_sheet("page-added", pair.new, f"{_capital(page_words(pair.new.label))} was added")


def page_cut(c: Collation) -> Iterator[Difference]:
    """A page that is gone."""
    for pair in c.sheets:
        if pair.new is None and pair.old is not None and pair.old.page is not None:
            yield _of_sheet("page-cut", pair.old, f"{_capital(page_words(pair.old.label))} was cut")


def page_moved(c: Collation) -> Iterator[Difference]:
    """A page that stands elsewhere, or under another number because pages before it were added or cut."""
    for pair in c.sheets:
        old, new = pair.old, pair.new
        if old is None or new is None or old.page is None or new.page is None:
            continue
        if pair.carried or old.label != new.label:
            message = f"{_capital(page_words(old.label))} now stands as {page_words(new.label)}"
            shift = _first(new.label) - _first(old.label)
            yield Difference(
                "page-moved", "structure", message, (old.label,), (old.label, new.label),
                ("page-moved", str(old.label), str(new.label)), path=new.page.path, line=new.page.line,
                page=new.label, renumbered=not pair.carried,
                kin=None if pair.carried else ("page-moved", str(shift)),
            )  # fmt: skip


def panel_added(c: Collation) -> Iterator[Difference]:
    """A panel that was not there, on a page that was."""
    for pair in c.slots:
        if pair.old is None and pair.new is not None and pair.new.number and pair.sheets.old is not None:
            yield _of_slot("panel-added", pair.new, f"{_capital(panel_words(pair.new))} was added", pair.home)


def panel_cut(c: Collation) -> Iterator[Difference]:
    """A panel that is gone from a page that is there."""
    for pair in c.slots:
        if pair.new is None and pair.old is not None and pair.old.number and pair.sheets.new is not None:
            yield _of_slot("panel-cut", pair.old, f"{_capital(panel_words(pair.old))} was cut", pair.home)


def panel_moved(c: Collation) -> Iterator[Difference]:
    """A panel that left its order or its page."""
    for pair in c.slots:
        if pair.carried and pair.old is not None and pair.new is not None:
            message = f"{_capital(panel_words(pair.old))} now stands as {panel_words(pair.new)}"
            yield Difference(
                "panel-moved", "structure", message, (pair.old.page, pair.home), (pair.old.page, pair.new.page),
                ("panel-moved", str(pair.old.page), str(pair.old.number), print_of(pair.new.told)),
                path=pair.new.path, line=pair.new.line, page=pair.new.page, panel=pair.new.number,
            )  # fmt: skip


def line_added(c: Collation) -> Iterator[Difference]:
    """A line that was not there, in a panel and a scene that were."""
    known = _come(c)
    for pair in _of_kind(c, "added"):
        there = pair.after
        told = pair.news[0]
        if there is not None and not _told_whole(there) and told.line.scene in known:
            message = f"{who(told.line)} {quoted(told.line.text)} was added on {place_words(told.line)}"
            yield _of_line("line-added", told, message, (there.home,), c.new_scenes)


def line_cut(c: Collation) -> Iterator[Difference]:
    """A line that is gone from a panel and a scene that are there."""
    left = _left(c)
    for pair in _of_kind(c, "cut"):
        told, there = pair.olds[0], pair.before
        if there is not None and not _told_whole(there) and told.line.scene in left:
            message = f"{who(told.line)} {quoted(told.line.text)} was cut from {place_words(told.line)}"
            yield _of_line("line-cut", told, message, (told.line.page,), c.old_scenes)


def line_moved(c: Collation) -> Iterator[Difference]:
    """A line in another order, panel, page or scene; one that went along with its whole scene is told with that."""
    away = _carried_scenes(c)
    for pair in c.texts:
        if not pair.olds or not pair.news:
            continue
        old, new = pair.olds[0], pair.news[0]
        moved = pair.kind == "moved" and _both_there(pair)
        along = old.line.scene in away and not _strayed(c, old, new)
        if (moved and not along) or (pair.kind in ("kept", "reworded") and _strayed(c, old, new)):
            where = (
                f"moved from {place_words(old.line)} to {place_words(new.line)}" if moved else "moved to another scene"
            )
            message = f"{who(new.line)} {quoted(new.line.text)} was {where}"
            yield _of_line("line-moved", new, message, (old.line.page, _home(pair)), c.new_scenes, old)


def speaker_changed(c: Collation) -> Iterator[Difference]:
    """The same words in another mouth."""
    for pair in _of_kind(c, "reassigned"):
        old, new = pair.olds[0], pair.news[0]
        message = (
            f"{quoted(new.line.text)} is now said by {mouth(new.line)}; signed off it was {mouth(old.line)}"
            f" ({place_words(new.line)})"
        )
        same_key = bool(old.line.key) and old.line.key == new.line.key and old.line.role == new.line.role
        kin = ("speaker-changed", old.line.key, old.line.speaker, new.line.speaker) if same_key else None
        yield _of_line("speaker-changed", new, message, (old.line.page, _home(pair)), c.new_scenes, old, kin)


def scene_added(c: Collation) -> Iterator[Difference]:
    """A scene none of whose lines was there."""
    known = _come(c)
    for index, scene in c.new_scenes.items():
        if scene.lines and index not in known:
            yield _of_scene("scene-added", scene, f"The scene {_named(scene)} was added")


def scene_cut(c: Collation) -> Iterator[Difference]:
    """A scene none of whose lines is left."""
    left = _left(c)
    for index, scene in c.old_scenes.items():
        if scene.lines and index not in left:
            yield _of_scene("scene-cut", scene, f"The scene {_named(scene)} was cut")


def scene_moved(c: Collation) -> Iterator[Difference]:
    """A scene in another order: the fewest scenes whose move explains the new order."""
    for i in sorted(_carried_scenes(c)):
        yield _of_scene("scene-moved", c.old_scenes[i], f"The scene {_named(c.old_scenes[i])} was moved")


def scene_split(c: Collation) -> Iterator[Difference]:
    """One scene made into several."""
    ordered = sorted(c.bonds)
    for i, scene in c.old_scenes.items():
        heirs = [c.new_scenes[j] for k, j in ordered if k == i and j in c.new_scenes]
        if len(heirs) > 1:
            names = " and ".join(_named(heir) for heir in heirs)
            yield _of_scene("scene-split", scene, f"The scene {_named(scene)} was split into {names}")


def scene_merged(c: Collation) -> Iterator[Difference]:
    """Several scenes made into one."""
    ordered = sorted(c.bonds)
    for j, scene in c.new_scenes.items():
        sources = [c.old_scenes[i] for i, k in ordered if k == j and i in c.old_scenes]
        if len(sources) > 1:
            names = " and ".join(_named(source) for source in sources)
            pages = [line.page for source in sources for line in source.lines]
            yield _of_scene("scene-merged", scene, f"The scenes {names} were made one", pages)


#: Every structure rule with its stable name, in the order in which findings of one place are told.
RULES: tuple[tuple[str, Rule], ...] = (
    ("page-added", page_added),
    ("page-cut", page_cut),
    ("page-moved", page_moved),
    ("panel-added", panel_added),
    ("panel-cut", panel_cut),
    ("panel-moved", panel_moved),
    ("scene-added", scene_added),
    ("scene-cut", scene_cut),
    ("scene-moved", scene_moved),
    ("scene-split", scene_split),
    ("scene-merged", scene_merged),
    ("line-added", line_added),
    ("line-cut", line_cut),
    ("line-moved", line_moved),
    ("speaker-changed", speaker_changed),
)


def structure_differences(collation: Collation) -> list[Difference]:
    """What differs in structure."""
    return [difference for _, rule in RULES for difference in rule(collation)]


def _of_kind(c: Collation, kind: str) -> Iterator[LinePair]:
    return (pair for pair in c.texts if pair.kind == kind)


def _told_whole(slots: SlotPair) -> bool:
    """Whether a panel, or its page, was cut or added as a whole, so that its lines need no finding of their own."""
    slot = slots.old or slots.new
    if slot is None or (slots.old is not None and slots.new is not None):
        return False
    page_told = slot.page is not None and (slots.sheets.old is None or slots.sheets.new is None)
    return bool(slot.number) or page_told


def _both_there(pair: LinePair) -> bool:
    """Whether the panels a line left and came to are on both sides: else the panel's own finding tells it."""
    before, after = pair.before, pair.after
    return before is not None and after is not None and not _told_whole(before) and not _told_whole(after)


def _carried_scenes(c: Collation) -> set[int]:
    """Old scenes out of their order."""
    heirs: dict[int, int] = {}
    for i, j in sorted(c.bonds):
        heirs.setdefault(i, j)
    order = sorted(heirs)
    kept = longest_rising([heirs[i] * len(order) + place for place, i in enumerate(order)])
    return {i for place, i in enumerate(order) if place not in kept and i in c.old_scenes}


def _strayed(c: Collation, old: Told, new: Told) -> bool:
    """Whether a line stands in a scene that is not the heir of its own."""
    return (old.line.scene, new.line.scene) not in c.bonds


def _left(c: Collation) -> set[int]:
    """The scenes of the old draft of which something is there."""
    return {i for i, _ in c.bonds}


def _come(c: Collation) -> set[int]:
    """The scenes of the new draft of which something was there."""
    return {j for _, j in c.bonds}


def _first(label: str | None) -> int:
    numbers = page_numbers(label or "")
    return numbers[0] if numbers else 0


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _named(scene: Scene) -> str:
    return quoted(scene.title) if scene.title else f"at {scene.path}:{scene.line}"


def _home(pair: LinePair) -> str | None:
    """The page a line stands on now, by the number that was signed off."""
    return pair.after.home if pair.after else None


def _of_sheet(rule: str, sheet: Sheet, message: str) -> Difference:
    page = sheet.page
    assert page is not None
    told = tuple(each for slot in sheet.slots for each in slot.told)
    label = sheet.label if rule == "page-cut" else ""
    return Difference(
        rule, "structure", message, (sheet.label,), (sheet.label,), (rule, str(label), print_of(told)),
        path=page.path, line=page.line, page=sheet.label,
    )  # fmt: skip


def _of_slot(rule: str, slot: Slot, message: str, home: str | None) -> Difference:
    number = str(slot.number) if rule == "panel-cut" else ""
    return Difference(
        rule, "structure", message, (home,), (home, slot.page), (rule, str(home), number, print_of(slot.told)),
        path=slot.path, line=slot.line, page=slot.page, panel=slot.number,
    )  # fmt: skip


def _of_line(
    rule: str,
    told: Told,
    message: str,
    on: tuple[str | None, ...],
    scenes: Mapping[int, Scene],
    old: Told | None = None,
    kin: tuple[str, ...] | None = None,
) -> Difference:
    line = told.line
    before = print_of((old,)) if old else ""
    return Difference(
        rule, "structure", message, tuple(dict.fromkeys(on)), tuple(dict.fromkeys((*on, line.page))),
        (rule, str(on[0]), before, print_of((told,))), path=line.path, line=line.line, page=line.page,
        panel=line.panel, scene=title_of(scenes, line.scene), kin=kin,
    )  # fmt: skip


def _of_scene(rule: str, scene: Scene, message: str, pages: Iterable[str | None] | None = None) -> Difference:
    on = tuple(dict.fromkeys([line.page for line in scene.lines] if pages is None else pages))
    first = scene.lines[0] if scene.lines else None
    words = scene.title or (first.text if first else "")
    return Difference(
        rule, "structure", message, on, on, (rule, words), path=scene.path, line=scene.line,
        page=first.page if first else None, scene=scene.title or None,
    )  # fmt: skip
