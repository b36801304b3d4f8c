"""What a writer does to whole scenes: split, merge, cut, add, twin, move, retitle."""

from __future__ import annotations

from tests.bench.pairs.revision import Revision
from tests.bench.pairs.story import Chapter, Panel, Row, Scene

#: Words that each part of a split or merged scene has at least, so that it can be told where it came from.
PART = 40


def retitle(rev: Revision) -> None:
    """Another heading."""
    scene = rev.pick()
    if scene is not None and rev.story.titled:
        scene.title = rev.writer(scene).title()
        rev.note("rename heading", "scene", [scene.id])


def split(rev: Revision) -> None:
    """One scene becomes two, now and then far apart."""
    scene = rev.pick(lambda s: len(s.rows) >= 8 and s.size >= 3 * PART, shape=True)
    if scene is None:
        return
    rows, at = scene.rows, rev.chance.randint(3, len(scene.rows) - 3)
    if min(sum(r.size for r in rows[:at]), sum(r.size for r in rows[at:])) < PART:
        return
    keeps = rev.chance.random() < 0.7
    first, second = _parted(scene, at)
    one = Scene(
        rev.story.fresh(), scene.title if keeps else rev.writer(scene).title(), scene.sources, first, scene.topic
    )
    other = Scene(rev.story.fresh(), rev.writer(scene).title(), scene.sources, second, scene.topic)
    chapter = rev.story.chapter_of(scene)
    place = chapter.scenes.index(scene)
    apart = rev.chance.random() < (0.4 if rev.brutal else 0.15)
    chapter.scenes[place : place + 1] = [one] if apart else [one, other]
    if apart:
        _put(rev, other, away_from=rev.story.scenes.index(one))
    rev.shaped |= {one.id, other.id}
    rev.note("split", "scene", [one.id])


def _parted(scene: Scene, at: int) -> tuple[list[Panel], list[Panel]]:
    first: list[Panel] = []
    second: list[Panel] = []
    for panel in scene.panels:
        head, tail = panel.rows[:at], panel.rows[at:] if at > 0 else panel.rows
        head = head if at > 0 else []
        first += [Panel(panel.page, head)] if head else []
        second += [Panel(panel.page, tail)] if tail else []
        at -= len(panel.rows)
    return first, second


def merge(rev: Revision) -> None:
    """Two or three scenes become one, mostly neighbours; in brutal revisions sometimes interleaved."""
    scene = rev.pick(lambda s: s.size >= PART and len(s.rows) >= 5, shape=True)
    if scene is None:
        return
    chapter = rev.story.chapter_of(scene)
    at = chapter.scenes.index(scene)
    count = 3 if rev.chance.random() < 0.2 else 2
    parts = chapter.scenes[at : at + count]
    if rev.chance.random() < (0.4 if rev.brutal else 0.15):
        other = rev.pick(lambda s: s is not scene, shape=True)
        parts = [scene, other] if other else parts
    sizes = [part.size for part in parts]
    if len(parts) < 2 or any(p.id in rev.shaped for p in parts) or min(sizes) < max(PART, max(sizes) / 3):
        return
    whole = Scene(rev.story.fresh(), rev.chance.choice([scene.title, rev.writer(scene).title()]),
                  frozenset().union(*(p.sources for p in parts)), _joined(rev, parts), scene.topic)  # fmt: skip
    chapter.scenes[at] = whole
    for part in parts[1:]:
        rev.story.chapter_of(part).scenes.remove(part)
    rev.shaped.add(whole.id)
    rev.note("merge", "scene", [whole.id])


def _joined(rev: Revision, parts: list[Scene]) -> list[Panel]:
    said: set[tuple[str, int, str]] = set()
    for part in parts:
        for panel in part.panels:
            panel.rows = [row for row in panel.rows if _first_time(row, said)]
    lists = [list(part.panels) for part in parts]
    if not rev.brutal or rev.chance.random() < 0.6:
        return [panel for panels in lists for panel in panels]
    cut = max(1, len(lists[0]) - 1)
    return lists[0][:cut] + [p for panels in lists[1:] for p in panels] + lists[0][cut:]


def _first_time(row: Row, said: set[tuple[str, int, str]]) -> bool:
    mark = (row.role, row.who, row.text)
    new = mark not in said
    said.add(mark)
    return new


def cut(rev: Revision) -> None:
    """A scene goes."""
    scene = rev.pick(shape=True)
    if scene is not None and len(rev.story.scenes) > 5:
        rev.story.chapter_of(scene).scenes.remove(scene)
        rev.note("cut", "scene", [scene.id])


def add(rev: Revision) -> None:
    """A scene is written; now and then under the heading of one that is there."""
    scene = rev.writer().scene()
    if rev.chance.random() < 0.25:
        scene.title = rev.chance.choice(rev.story.scenes).title
    _put(rev, scene)
    rev.shaped.add(scene.id)
    rev.written.add(scene.id)
    rev.note("add", "scene", [scene.id])


def twin(rev: Revision) -> None:
    """A scene is written that resembles one that stays as it is."""
    scene = rev.pick(shape=True)
    if scene is not None:
        other = rev.writer(scene).twin(scene)
        _put(rev, other)
        rev.shaped |= {scene.id, other.id}
        rev.written |= {scene.id, other.id}
        rev.note("near-twin", "scene", [scene.id, other.id])


def move_scene(rev: Revision) -> None:
    """A scene goes elsewhere in the book."""
    scene = rev.pick()
    if scene is not None and len(rev.story.scenes) > 5:
        chapter = rev.story.chapter_of(scene)
        place = rev.story.scenes.index(scene)
        chapter.scenes.remove(scene)
        _put(rev, scene, away_from=place)
        rev.note("move scene", "scene", [scene.id])


def move_block(rev: Revision) -> None:
    """Two to four scenes in a row go elsewhere together."""
    chapters = [c for c in rev.story.chapters if len(c.scenes) >= 5]
    if not chapters or len(rev.story.scenes) < 12:
        return
    chapter = rev.chance.choice(chapters)
    at, count = rev.chance.randint(0, len(chapter.scenes) - 4), rev.chance.randint(2, 4)
    block = chapter.scenes[at : at + count]
    place = rev.story.scenes.index(block[0])
    del chapter.scenes[at : at + count]
    first = block[0]
    _put(rev, first, away_from=place)
    there = rev.story.chapter_of(first)
    spot = there.scenes.index(first)
    there.scenes[spot + 1 : spot + 1] = block[1:]
    rev.note("move block", "scene", [s.id for s in block])


def move_chapter(rev: Revision) -> None:
    """A chapter goes elsewhere whole."""
    chapters = rev.story.chapters
    if len(chapters) >= 3:
        chapter = chapters.pop(rev.chance.randrange(len(chapters)))
        chapters.insert(rev.chance.randint(0, len(chapters)), chapter)
        rev.note("move chapter", "scene", [s.id for s in chapter.scenes])


def new_chapter(rev: Revision) -> None:
    """A chapter is begun in the middle of another, or two become one."""
    chapters = rev.story.chapters
    at = rev.chance.randrange(len(chapters))
    if rev.chance.random() < 0.5 and at + 1 < len(chapters):
        chapters[at].scenes += chapters.pop(at + 1).scenes
    elif len(chapters[at].scenes) > 3:
        rest = chapters[at].scenes[2:]
        del chapters[at].scenes[2:]
        chapters.insert(at + 1, Chapter(f"Interlude: {rev.writer(rest[0]).title()}", rest))


def _put(rev: Revision, scene: Scene, away_from: int | None = None) -> None:
    """Puts a scene anywhere, at least two scenes from where it was."""
    size = len(rev.story.scenes)
    spots = [i for i in range(size + 1) if away_from is None or abs(i - away_from) > 1]
    at = rev.chance.choice(spots or [size])
    for chapter in rev.story.chapters:
        if at <= len(chapter.scenes):
            chapter.scenes.insert(at, scene)
            return
        at -= len(chapter.scenes)
    rev.story.chapters[-1].scenes.append(scene)
