"""Chapter by chapter and scene by scene: what a memo says of structure, of who speaks, of wording."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from ledger.model.change import DraftChange, LineChange, SceneChange
from ledger.model.script import Line, Scene
from ledger.model.words import count_words
from ledger.render.changes.wording import is_small
from ledger.render.letter import Block, Paragraph, Polish, Quoted, Subhead, items
from ledger.render.memo.lines import in_another_mouth, in_full, place, structural, wording
from ledger.render.places import scene_name, scene_place, scene_ref
from ledger.render.plain import plural
from ledger.render.told import in_a_row, place_told, quoted, sentence, strong, words

_NUMBERS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}


def structure(draft: DraftChange) -> list[Block]:
    """Scenes split, merged, cut, new, moved, rewritten; lettered lines that came, went or moved."""
    carried = _carried(draft.scenes)
    return _by_chapter(draft.scenes, lambda change: _scene(change, draft.scenes, carried))


def speakers(draft: DraftChange) -> list[Block]:
    """The cast, then every line in another mouth."""
    cast = draft.cast
    told = [f"{words(old)} is called {words(new)} throughout." for old, new in cast.renamed]
    if cast.added:
        told.append(f"New in the cast: {in_a_row([words(name) for name in cast.added])}.")
    if cast.gone:
        told.append(f"No longer heard: {in_a_row([words(name) for name in cast.gone])}.")
    return [*items(told), *_by_chapter(draft.scenes, lambda change: _lines(change, in_another_mouth))]


def wordings(draft: DraftChange) -> list[Block]:
    """Every reworded line in both wordings; polish is left out."""
    return _worded(draft, small=False)


def polish(draft: DraftChange) -> list[Block]:
    """How many lines were only polished, or only carry a new name; nothing where none was."""
    count = sum(is_small(line, draft.cast.renamed) for change in draft.scenes for line in change.lines)
    told = f"{plural(count, 'small change')} of wording"
    return [Polish(told, lambda: _worded(draft, small=True))] if count else []


def _worded(draft: DraftChange, small: bool) -> list[Block]:
    renamed = draft.cast.renamed
    return _by_chapter(
        draft.scenes,
        lambda change: _lines(change, lambda line: wording(line) if is_small(line, renamed) == small else ""),
    )


def _by_chapter(scenes: Iterable[SceneChange], tell: Callable[[SceneChange], list[Block]]) -> list[Block]:
    rows: list[Block] = []
    chapter = ""
    for change in scenes:
        told = tell(change)
        if not told:
            continue
        here = (change.new or change.old)[0].chapter
        if here and here != chapter:
            rows.append(Subhead(words(here)))
            chapter = here
        rows += told
    return rows


def _scene(change: SceneChange, scenes: Iterable[SceneChange], carried: Mapping[Line, LineChange]) -> list[Block]:
    """What happened to one scene as a whole, then its lines."""
    if change.kind in ("cut", "new"):
        return _in_full(change, carried)
    told = [said for said in (_happened(change), _moved(change, scenes), _title(change)) if said]
    lines = [said for line in change.lines if (said := structural(line))]
    if not told and not lines:
        return []
    head = " ".join(told) or f"{strong(name(change.new[0]))} ({_pages(change)})"
    return [Paragraph(head), *items(map(sentence, lines))]


def _happened(change: SceneChange) -> str:
    if change.kind == "split":
        count = _NUMBERS.get(len(change.new), str(len(change.new)))
        return f"{strong(f'{at(change.old[0])} was split in {count}:')} {in_a_row([at(s) for s in change.new])}."
    if change.kind == "merged":
        merged = f"{in_a_row([at(s) for s in change.old])} were merged"
        return f"{strong(merged)} into {at(change.new[0])}."
    if change.kind == "rewritten":
        rewritten = f"{name(change.new[0])} ({_pages(change)}) was rewritten:"
        return f"{strong(rewritten)} {change.similarity:.0%} of its words stayed."
    return ""


def _moved(change: SceneChange, scenes: Iterable[SceneChange]) -> str:
    if not change.moved:
        return ""
    old, new = change.old[0], change.new[0]
    way = _pages(change)
    chapter = f" from {words(old.chapter)} to {words(new.chapter)}" if old.chapter != new.chapter else ""
    every = sorted((s for each in scenes for s in each.new), key=lambda s: s.index)
    before = [s for s in every if s.index < new.index]
    after = f"; it now follows {name(before[-1])}" if before else "; it now comes first"
    return f"{strong(f'{name(new)} ({way}) was moved')}{chapter}{after}."


def _title(change: SceneChange) -> str:
    if not change.renamed or change.kind in ("split", "merged") or not change.old or not change.new:
        return ""
    return f"{name(change.old[0])} ({_pages(change)}) is now called {name(change.new[0])}."


def _in_full(change: SceneChange, carried: Mapping[Line, LineChange]) -> list[Block]:
    """A new or cut scene with every line, action too; lines that live on elsewhere say where."""
    rows: list[Block] = []
    for scene in change.old or change.new:
        lettered = sum(count_words(line.text) for line in scene.lines if line.lettered)
        size = f"{plural(len(scene.lines), 'line')}, {plural(lettered, 'lettered word')}"
        what = "was cut" if change.kind == "cut" else "is new"
        rows.append(Paragraph(f"{strong(f'{at(scene)} {what}')} ({size}):"))
        rows.append(
            Quoted(tuple((place(line), in_full(line) + _elsewhere(line, change, carried)) for line in scene.lines))
        )
    return rows


def _elsewhere(line: Line, change: SceneChange, carried: Mapping[Line, LineChange]) -> str:
    found = carried.get(line)
    if found is None or found.old is None or found.new is None:
        return ""
    return f" (now {place(found.new)})" if change.kind == "cut" else f" (from {place(found.old)})"


def _carried(scenes: Iterable[SceneChange]) -> dict[Line, LineChange]:
    """Lines that are on both sides, found by either of them."""
    found: dict[Line, LineChange] = {}
    for line in (line for change in scenes for line in change.lines):
        if line.old is not None and line.new is not None:
            found[line.old] = found[line.new] = line
    return found


def _lines(change: SceneChange, tell: Callable[[LineChange], str]) -> list[Block]:
    if change.kind in ("cut", "new"):
        told = [said for line in change.lines if line.kind not in ("cut", "added") and (said := tell(line))]
    else:
        told = [said for line in change.lines if (said := tell(line))]
    if not told:
        return []
    scene = (change.new or change.old)[0]
    return [Paragraph(f"{strong(name(scene))} ({_pages(change)})"), *items(map(sentence, told))]


def name(scene: Scene) -> str:
    """The scene's name in quotation marks."""
    return quoted(scene_name(scene))


def at(scene: Scene) -> str:
    """The scene's name with its pages."""
    return f"{name(scene)} ({place_told(scene_ref([scene]))})"


def _pages(change: SceneChange) -> str:
    return place_told(scene_place(change))
