"""A comparison on a terminal: the totals and every weighty scene first, then line by line."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from ledger.model.change import Comparison, DraftChange, PictureChange, SceneChange, Side
from ledger.model.pages import label_order
from ledger.render.changes.document import in_page_order
from ledger.render.changes.page_runs import page_sentences, page_totals, panel_sentence
from ledger.render.changes.scene_lines import quoted, scene_text
from ledger.render.findings_text import findings_text
from ledger.render.places import ACROSS, ARROW, both, page_ref, pages_ref, scene_name, scene_place, side_text
from ledger.render.plain import WIDTH, beside, clip, columns, one_line, plural, wrapped

#: What has to stand on the first screen (lines of a terminal of 80 columns).
SCREEN = 24
#: Kinds in the order in which they weigh.
WEIGHTY = ("split", "merged", "cut", "new")
_LABEL = (*WEIGHTY, "moved")
_PICTURES = {
    "layout": "laid out anew",
    "redrawn": "redrawn",
    "touch-up": "touched up",
    "swapped": "holds another page's picture",
    "added": "new",
    "missing": "no longer there",
    "same": "saved again, same drawing",
}


def compare_text(comparison: Comparison, *, everything: bool = False, all_lines: bool = False) -> str:
    """The comparison in words. `everything` unfolds small polish, `all_lines` shows lines that stayed, too."""
    head = _head(comparison)
    if _nothing(comparison):
        head += ["", "No page is laid out anew." if comparison.across else "Nothing has changed."]
    if comparison.across:
        head += ["", ACROSS]
    rows = [*head, *_overview(comparison, SCREEN - len(head))]
    rows += _scenes(comparison.draft, everything or all_lines, all_lines)
    rows += _panels(comparison)
    rows += _picture_rows(comparison.pictures)
    return "\n".join([*rows, *_findings(comparison)])


def _nothing(comparison: Comparison) -> bool:
    draft = comparison.draft
    quiet = all(
        s.kind == "kept" and not s.moved and not s.renamed and all(line.kind == "same" for line in s.lines)
        for s in draft.scenes
    )
    cast = draft.cast
    return (
        quiet
        and not (cast.renamed or cast.added or cast.gone)
        and all(p.kind == "kept" for p in draft.pages)
        and all(p.kind == "same" for p in comparison.pictures)
    )


def _head(comparison: Comparison) -> list[str]:
    """The two sides, their numbers, how many scenes of each kind, the pages."""
    old, new = comparison.old, comparison.new
    rows = [clip(f"{side_text(old.name)}{ARROW}{side_text(new.name)}", WIDTH)]
    if comparison.draft.scenes:
        rows.append(_numbers(old, new))
        rows.append(wrapped("scenes: " + _scene_totals(comparison.draft.scenes)))
        totals = page_totals(comparison.draft.pages)
        rows += [wrapped(totals)] if totals else []
    rows += [wrapped(row) for row in _picture_totals(comparison.pictures)]
    return [line for row in rows for line in row.split("\n")]


def _numbers(old: Side, new: Side) -> str:
    """`words 4,210 → 4,388 (+178), scenes 21 → 22, pages 48, panels 231 → 240`."""
    told = []
    for noun in ("words", "scenes", "pages", "panels"):
        a, b = getattr(old, noun), getattr(new, noun)
        if noun == "words" and a != b:
            told.append(f"words {a:,}{ARROW}{b:,} ({b - a:+,})")
        elif a or b:
            told.append(f"{noun} {a:,}" if a == b else f"{noun} {a:,}{ARROW}{b:,}")
    return wrapped(", ".join(told))


def _scene_totals(scenes: Iterable[SceneChange]) -> str:
    kept = list(scenes)
    counts = Counter(change.kind for change in kept)
    told = [f"{counts[kind]} {kind}" for kind in (*WEIGHTY, "rewritten", "polished", "kept") if counts[kind]]
    moved = sum(change.moved for change in kept)
    renamed = sum(change.renamed for change in kept)
    told += [f"{moved} moved"] if moved else []
    told += [f"{renamed} with a new title"] if renamed else []
    return ", ".join(told)


def weighty(scenes: Iterable[SceneChange]) -> list[tuple[str, SceneChange]]:
    """Scenes that were split, merged, cut, written new or moved, in reading order, each with its word."""
    return [
        (change.kind if change.kind in WEIGHTY else "moved", change)
        for change in scenes
        if change.kind in WEIGHTY or change.moved
    ]


def _overview(comparison: Comparison, room: int) -> list[str]:
    """Every weighty scene in full where the screen has room, shorter where it has not; then cast and pages."""
    draft = comparison.draft
    listed = weighty(draft.scenes)
    rows = _listed(listed, room - 1)
    tail = [*_cast(comparison), *(f"{row[:1].upper()}{row[1:]}." for row in page_sentences(draft.pages))]
    return [*([""] if rows else []), *rows, *([""] if tail else []), *map(wrapped, tail)]


def _listed(listed: list[tuple[str, SceneChange]], room: int) -> list[str]:
    places = [scene_place(change) for _, change in listed]
    margin = min(max(map(columns, places), default=0), 24)
    told = [(f"{word:<7} {place:<{margin}}  ", _what(word, change))
            for (word, change), place in zip(listed, places, strict=True)]  # fmt: skip
    rows = [row for margin_text, what in told for row in beside(margin_text, what)]
    if len(rows) > room:
        rows = [clip(margin_text + what, WIDTH) for margin_text, what in told]
    return rows if len(rows) <= room else _packed(listed, room)


def _what(word: str, change: SceneChange) -> str:
    old, new = [quoted(s) for s in change.old], [quoted(s) for s in change.new]
    if word == "split":
        return f"{old[0]} into {' + '.join(new)}"
    if word == "merged":
        return f"{' + '.join(old)} into {new[0]}"
    if word == "moved":
        chapters = both(one_line(change.old[0].chapter), one_line(change.new[0].chapter))
        return new[0] + (f", {chapters}" if ARROW in chapters else "")
    scene = (change.old or change.new)[0]
    moved = ", moved" if change.moved else ""
    return " + ".join(old or new) + (f", {one_line(scene.chapter)}" if scene.chapter else "") + moved


def _packed(listed: list[tuple[str, SceneChange]], room: int) -> list[str]:
    """The same in a paragraph a kind; titles are shortened, at last left out, until it fits."""
    for width in (30, 20, 12, 0):
        rows = []
        for word in _LABEL:
            items = [_short(change, width) for kind, change in listed if kind == word]
            if items:
                rows += wrapped(f"{word + ':':<8}{', '.join(items)}").split("\n")
        if len(rows) <= room:
            return rows
    return [row for word in _LABEL for row in _in_one_row(word, [change for kind, change in listed if kind == word])]


def _in_one_row(word: str, changes: list[SceneChange]) -> list[str]:
    """`cut:    212 scenes, p1-160`: all that is left to say where there are hundreds."""
    labels = {line.page for change in changes for scene in (*change.old, *change.new) for line in scene.lines}
    pages = pages_ref(label for label in labels if label)
    told = plural(len(changes), "scene") + (f", {pages}" if pages else "")
    return [clip(f"{word + ':':<8}{told}", WIDTH)] if changes else []


def _short(change: SceneChange, width: int) -> str:
    place = scene_place(change).replace(" ", "")
    scene = (change.new or change.old)[0]
    return f'{place} "{clip(scene_name(scene), width)}"' if width else place


def _scenes(draft: DraftChange, polish: bool, same: bool) -> list[str]:
    """Scene by scene under the names of their chapters."""
    rows: list[str] = []
    chapter = ""
    for change in draft.scenes:
        text = scene_text(change, polish, same, draft.cast.renamed)
        if not text:
            continue
        here = one_line((change.new or change.old)[0].chapter)
        if here != chapter:
            rows += ["", clip(here, WIDTH), "-" * min(columns(here), WIDTH)]
            chapter = here
        rows += ["", text]
    return rows


def _cast(comparison: Comparison) -> list[str]:
    cast = comparison.draft.cast
    told = [f"Renamed throughout: {one_line(old)} is now {one_line(new)}." for old, new in cast.renamed]
    if cast.added:
        told.append(f"New in the cast: {', '.join(map(one_line, cast.added))}.")
    if cast.gone:
        told.append(f"No longer heard: {', '.join(map(one_line, cast.gone))}.")
    return told


def _panels(comparison: Comparison) -> list[str]:
    """Pages on which panels came or went."""
    rows = []
    for page in comparison.draft.pages:
        said = panel_sentence(page.panels) if page.old and page.new else ""
        if said and page.old and page.new:
            rows.append(wrapped(f"{both(page_ref(page.old), page_ref(page.new))}: {said}", indent="  "))
    return ["", "Panels", *rows] if rows else []


def _by_kind(pictures: Iterable[PictureChange]) -> dict[tuple[str, str], list[PictureChange]]:
    found: dict[tuple[str, str], list[PictureChange]] = {}
    for picture in in_page_order(pictures):
        found.setdefault((picture.pass_name, picture.kind), []).append(picture)
    return found


def _picture_totals(pictures: Iterable[PictureChange]) -> list[str]:
    """`inks: 2 redrawn, 1 touched up`."""
    groups = _by_kind(p for p in pictures if p.kind != "same")
    told = []
    for name in dict.fromkeys(name for name, _ in groups):
        counts = [f"{len(groups[name, kind])} {words}" for kind, words in _PICTURES.items() if (name, kind) in groups]
        told.append(f"{name}: {', '.join(counts)}")
    return told


def _picture_rows(pictures: Iterable[PictureChange]) -> list[str]:
    """`redrawn    p3 (panels 2, 4), p7`."""
    groups = _by_kind(pictures)
    rows = []
    for name in dict.fromkeys(name for name, _ in groups):
        rows += ["", f"Pictures of {name}"]
        for kind, words in _PICTURES.items():
            if (name, kind) in groups:
                listed = ", ".join(_picture(p) for p in groups[name, kind]) if kind not in ("added", "missing") else ""
                listed = listed or pages_ref(sorted((p.page for p in groups[name, kind]), key=label_order))
                rows.append(wrapped(f"{words}: {listed}", indent="  "))
    return rows


def _picture(picture: PictureChange) -> str:
    changed = [str(index) for index in picture.changed_panels]
    if not changed:
        return page_ref(picture.page)
    return f"{page_ref(picture.page)} (panel{'s' if len(changed) > 1 else ''} {', '.join(changed)})"


def _findings(comparison: Comparison) -> list[str]:
    return ["", findings_text(comparison.findings)] if comparison.findings else []
