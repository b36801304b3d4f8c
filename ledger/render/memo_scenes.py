"""Chapter by chapter and scene by scene: what a memo says of structure, of who speaks, of wording."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from ledger.model.change import DraftChange, LineChange, SceneChange
from ledger.model.script import Line, Scene
from ledger.model.words import count_words
from ledger.render.markdown import bullets, in_a_row, sentence, words
from ledger.render.memo_lines import in_another_mouth, in_full, place, structural, wording
from ledger.render.places import scene_name, scene_place, scene_ref
from ledger.render.plain import plural
from ledger.render.wording import is_small

_NUMBERS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}


def structure(draft: DraftChange) -> list[str]:
    """Scenes split, merged, cut, new, moved, rewritten; lettered lines that came, went or moved."""
    carried = _carried(draft.scenes)
    return _by_chapter(draft.scenes, lambda change: _scene(change, draft.scenes, carried))


def speakers(draft: DraftChange) -> list[str]:
    """The cast, then every line in another mouth."""
    cast = draft.cast
    told = [f"{words(old)} is called {words(new)} throughout." for old, new in cast.renamed]
    if cast.added:
        told.append(f"New in the cast: {in_a_row([words(name) for name in cast.added])}.")
    if cast.gone:
        told.append(f"No longer heard: {in_a_row([words(name) for name in cast.gone])}.")
    rows = bullets(told)
    lines = _by_chapter(draft.scenes, lambda change: _lines(change, in_another_mouth))
    return [*rows, *([""] if rows and lines else []), *lines]


def wordings(draft: DraftChange) -> list[str]:
    """Every reworded line in both wordings; polish is left out."""
    return _by_chapter(
        draft.scenes,
        lambda change: _lines(change, lambda line: "" if is_small(line, draft.cast.renamed) else wording(line)),
    )


def polish(draft: DraftChange) -> int:
    """How many lines were only polished, or only carry a new name."""
    return sum(is_small(line, draft.cast.renamed) for change in draft.scenes for line in change.lines)


def _by_chapter(scenes: Iterable[SceneChange], tell: Callable[[SceneChange], list[str]]) -> list[str]:
    rows: list[str] = []
    chapter = ""
    for change in scenes:
        told = tell(change)
        if not told:
            continue
        here = (change.new or change.old)[0].chapter
        if here and here != chapter:
            rows += ["", f"### {words(here)}"]
            chapter = here
        rows += ["", *told]
    return rows[1:]


def _scene(change: SceneChange, scenes: Iterable[SceneChange], carried: Mapping[Line, LineChange]) -> list[str]:
    """What happened to one scene as a whole, then its lines."""
    if change.kind in ("cut", "new"):
        return _in_full(change, carried)
    told = [said for said in (_happened(change), _moved(change, scenes), _title(change)) if said]
    lines = [said for line in change.lines if (said := structural(line))]
    if not told and not lines:
        return []
    head = [" ".join(told)] if told else [f"**{name(change.new[0])}** ({_pages(change)})"]
    return [*head, *([""] if lines else []), *bullets([sentence(line) for line in lines])]


def _happened(change: SceneChange) -> str:
    if change.kind == "split":
        count = _NUMBERS.get(len(change.new), str(len(change.new)))
        return f"**{at(change.old[0])} was split in {count}:** {in_a_row([at(s) for s in change.new])}."
    if change.kind == "merged":
        return f"**{in_a_row([at(s) for s in change.old])} were merged** into {at(change.new[0])}."
    if change.kind == "rewritten":
        stayed = f"{change.similarity:.0%} of its words stayed"
        return f"**{name(change.new[0])} ({_pages(change)}) was rewritten:** {stayed}."
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
    return f"**{name(new)} ({way}) was moved**{chapter}{after}."


def _title(change: SceneChange) -> str:
    if not change.renamed or change.kind in ("split", "merged") or not change.old or not change.new:
        return ""
    return f"{name(change.old[0])} ({_pages(change)}) is now called {name(change.new[0])}."


def _in_full(change: SceneChange, carried: Mapping[Line, LineChange]) -> list[str]:
    """A new or cut scene with every line, action too; lines that live on elsewhere say where."""
    rows: list[str] = []
    for scene in change.old or change.new:
        lettered = sum(count_words(line.text) for line in scene.lines if line.lettered)
        size = f"{plural(len(scene.lines), 'line')}, {plural(lettered, 'lettered word')}"
        what = "was cut" if change.kind == "cut" else "is new"
        rows += [*([""] if rows else []), f"**{at(scene)} {what}** ({size}):", ""]
        rows += [row for line in scene.lines for row in (f"> {in_full(line)}{_elsewhere(line, change, carried)}", ">")]
        rows = rows[:-1]
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


def _lines(change: SceneChange, tell: Callable[[LineChange], str]) -> list[str]:
    if change.kind in ("cut", "new"):
        told = [said for line in change.lines if line.kind not in ("cut", "added") and (said := tell(line))]
    else:
        told = [said for line in change.lines if (said := tell(line))]
    if not told:
        return []
    scene = (change.new or change.old)[0]
    return [f"**{name(scene)}** ({_pages(change)})", "", *bullets([sentence(said) for said in told])]


def name(scene: Scene) -> str:
    """The scene's name in quotation marks."""
    return f"“{words(scene_name(scene))}”"


def at(scene: Scene) -> str:
    """The scene's name with its pages."""
    return f"{name(scene)} ({words(scene_ref([scene]))})"


def _pages(change: SceneChange) -> str:
    return words(scene_place(change))
