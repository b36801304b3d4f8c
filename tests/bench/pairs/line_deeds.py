"""What a writer does to lines: polish, rewrite, move, give to another mouth, put gags in and out."""

from __future__ import annotations

from tests.bench.pairs.revision import Revision
from tests.bench.pairs.story import Panel, Row, Scene, Sentence

#: Words a line needs before it can be told apart from others far away.
TELLING = 6


def polish(rev: Revision) -> None:
    """Words here and there."""
    scene = rev.pick()
    if scene is None:
        return
    least = 0.4 if rev.brutal else 0.25
    rows = _typed(scene)
    for row in rows:
        dice = rev.chance.random()
        if dice < least:
            rev.writer(scene).polish(row)
        elif dice < least + (0.1 if rev.brutal else 0.03):
            rev.writer(scene).rephrase(row, 0.15)
    if rev.chance.random() < 0.5:
        _take_out(scene, rev.chance.choice(scene.rows))
    if rev.chance.random() < 0.5:
        _put_in(rev, scene)
    rev.note("polish", "scene", [scene.id])


def rewrite(rev: Revision) -> None:
    """Most of a scene said in other words, part of it replaced; what it was about stays."""
    scene = rev.pick(lambda s: len(s.rows) >= 6 and s.id not in rev.written and (rev.brutal or s.id not in rev.shaped))
    if scene is None:
        return
    freely = rev.brutal and scene.id not in rev.shaped
    keep, say_again, replace = (0.15, 0.6, 0.82) if freely else (0.25, 0.68, 0.85)
    for row in scene.rows:
        dice = rev.chance.random()
        if dice < keep or row.role == "sfx":
            continue
        if dice < say_again:
            rev.writer(scene).rephrase(row, 0.25)
        else:
            if dice < replace:
                _put_in(rev, scene, beside=row)
            _take_out(scene, row)
    for _ in range(rev.chance.randint(0, 2)):
        _put_in(rev, scene)
    rev.shaped.add(scene.id)
    rev.written.add(scene.id)
    rev.note("rewrite", "scene", [scene.id])


def _typed(scene: Scene) -> list[Row]:
    """Rows that can be polished: more than a word or two."""
    return [row for row in scene.rows if row.size >= 4]


def _take_out(scene: Scene, row: Row) -> None:
    if len(scene.rows) > 3:
        for panel in scene.panels:
            if row in panel.rows:
                panel.rows.remove(row)
        scene.panels = [panel for panel in scene.panels if panel.rows]


def _put_in(rev: Revision, scene: Scene, beside: Row | None = None) -> Row:
    speakers = [row.who for row in scene.rows if row.who >= 0] or [0]
    row = rev.writer(scene).rows(1, speakers)[0]
    while _said_here(scene, row):
        row = rev.writer(scene).rows(1, speakers)[0]
    panel = next((p for p in scene.panels if beside in p.rows), None) or rev.chance.choice(scene.panels)
    at = panel.rows.index(beside) if beside is not None else rev.chance.randint(0, len(panel.rows))
    panel.rows.insert(at, row)
    return row


def _said_here(scene: Scene, row: Row) -> bool:
    return any((r.role, r.text) == (row.role, row.text) for r in scene.rows)


def move_inside(rev: Revision) -> None:
    """One to three lines in a row to another place in the scene, past more lines than they are."""
    scene = rev.pick(lambda s: len(s.rows) >= 9)
    if scene is None:
        return
    rows = scene.rows
    count = rev.chance.randint(1, 3)
    at = rev.chance.randint(0, len(rows) - count)
    block = rows[at : at + count]
    rest = rows[:at] + rows[at + count :]
    spots = [i for i in range(len(rest)) if abs(i - at) >= count + 2]
    if not spots or max(row.size for row in block) < TELLING:
        return
    beside = rest[rev.chance.choice(spots)]
    _lift(scene, block)
    _drop(scene, block, beside)
    rev.note("move lines inside", "row", [row.id for row in block])


def move_across(rev: Revision) -> None:
    """One to four lines in a row to another scene; both scenes stay mostly what they were."""
    count = rev.chance.randint(1, 5 if rev.brutal else 4)
    source = rev.pick(lambda s: len(s.rows) >= 3 * count + 2 and s.id not in rev.shaped)
    if source is None:
        return
    at = rev.chance.randint(0, len(source.rows) - count)
    block = source.rows[at : at + count]
    words = sum(row.size for row in block)
    other = rev.pick(
        lambda s: s is not source and s.id not in rev.shaped and s.size >= 3 * words
        and not any(_said_here(s, row) for row in block)
    )  # fmt: skip
    gags = {text for _, text in rev.story.gags}
    if other is None or block[0].size < TELLING or block[0].text in gags or words > 0.35 * source.size:
        return
    _lift(source, block)
    _drop(other, block, rev.chance.choice(other.rows))
    rev.shaped |= {source.id, other.id}
    if rev.brutal:
        for row in block:
            if row.size >= TELLING and rev.chance.random() < 0.35:
                rev.writer(other).polish(row)
    rev.note("move lines across", "row", [row.id for row in block])


def _lift(scene: Scene, block: list[Row]) -> None:
    for panel in scene.panels:
        panel.rows = [row for row in panel.rows if row not in block]
    scene.panels = [panel for panel in scene.panels if panel.rows]


def _drop(scene: Scene, block: list[Row], beside: Row) -> None:
    panel = next(p for p in scene.panels if beside in p.rows)
    at = panel.rows.index(beside)
    panel.rows[at:at] = block


def reassign(rev: Revision) -> None:
    """A line goes to somebody else in the scene, word for word."""
    scene = rev.pick(lambda s: len({row.who for row in s.rows if row.who >= 0}) > 1)
    if scene is None:
        return
    row = rev.chance.choice([row for row in scene.rows if row.who >= 0])
    others = sorted({r.who for r in scene.rows} - {row.who, -1})
    if row.who in rev.busy or row.size < 2:
        return
    row.who = rev.chance.choice(others)
    rev.note("reassign", "row", [row.id])


def gag(rev: Revision) -> None:
    """A running gag is taken from one scene or put into another."""
    gags = {text: who for who, text in rev.story.gags}
    if rev.chance.random() < 0.5:
        scene = rev.pick(lambda s: any(row.text in gags for row in s.rows))
        if scene is not None:
            row = rev.chance.choice([row for row in scene.rows if row.text in gags])
            _take_out(scene, row)
            rev.note("gag", "row", [row.id])
        return
    text = rev.chance.choice(sorted(gags))
    scene = rev.pick(lambda s: all(row.text != text for row in s.rows))
    if scene is not None:
        row = Row(rev.story.fresh(), "dialogue", gags[text], [Sentence(text)])
        _drop(scene, [row], rev.chance.choice(scene.rows))
        rev.note("gag", "row", [row.id])


def insert_page(rev: Revision) -> None:
    """A page is put in between two pages of a scene."""
    scene = rev.pick(lambda s: len({panel.page for panel in s.panels}) > 1)
    if scene is None or not rev.story.paged:
        return
    starts = [i for i, (a, b) in enumerate(zip(scene.panels, scene.panels[1:], strict=False), 1) if a.page != b.page]
    speakers = [row.who for row in scene.rows if row.who >= 0] or [0]
    rows = [row for row in rev.writer(scene).rows(rev.chance.randint(2, 5), speakers) if not _said_here(scene, row)]
    page = rev.story.fresh()
    panels = [Panel(page, [row]) for row in rows]
    at = rev.chance.choice(starts)
    scene.panels[at:at] = panels
    if rows:
        rev.note("insert page", "page", [rows[0].id])


def cut_page(rev: Revision) -> None:
    """A page of a scene goes with everything on it."""
    scene = rev.pick(lambda s: len({panel.page for panel in s.panels}) > (2 if s.id not in rev.shaped else 3))
    if scene is None or not rev.story.paged:
        return
    pages = list(dict.fromkeys(panel.page for panel in scene.panels))[1:-1]
    page = rev.chance.choice(pages)
    row = next(panel.rows[0] for panel in scene.panels if panel.page == page)
    scene.panels = [panel for panel in scene.panels if panel.page != page]
    rev.note("cut page", "page", [row.id])


def insert_panel(rev: Revision) -> None:
    """A panel is put in."""
    scene = rev.pick()
    if scene is None or not rev.story.paged:
        return
    speakers = [row.who for row in scene.rows if row.who >= 0] or [0]
    rows = [row for row in rev.writer(scene).rows(2, speakers) if row.size > 2 and not _said_here(scene, row)]
    at = rev.chance.randrange(len(scene.panels))
    if rows:
        scene.panels.insert(at, Panel(scene.panels[at].page, rows))
        rev.note("insert panel", "panel", [rows[0].id])


def cut_panel(rev: Revision) -> None:
    """A panel goes with what was in it."""
    scene = rev.pick(lambda s: len(s.panels) > 3)
    if scene is not None and rev.story.paged:
        panel = rev.chance.choice(scene.panels)
        scene.panels.remove(panel)
        rev.note("cut panel", "panel", [panel.rows[0].id])


def split_panel(rev: Revision) -> None:
    """A panel becomes two."""
    scene = rev.pick(lambda s: any(len(panel.rows) > 1 for panel in s.panels))
    if scene is not None and rev.story.paged:
        panel = rev.chance.choice([panel for panel in scene.panels if len(panel.rows) > 1])
        rest = panel.rows[1:]
        del panel.rows[1:]
        scene.panels.insert(scene.panels.index(panel) + 1, Panel(panel.page, rest))
        rev.note("split panel", "panel", [rest[0].id])
