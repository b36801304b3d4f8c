"""Rows of plain words to notes: a row that begins with a place opens one, the rest is a note on the whole book."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from ledger.model.note import Anchor
from ledger.model.pages import page_label
from ledger.read.anchors import QUOTES, read_anchor, spell

#: Tells of a quoted phrase whether it is a place: whether those words stand in the script, on that page.
IsPlace = Callable[[Anchor], bool]

_ITEM = re.compile(r"[ \t]*(?:[-*+\u2022\u2013\u2014]|[0-9]{1,3}[.)])[ \t]+")
_PAGES = r"(?:pages?|pp?|pgs?)"
_PAGE = re.compile(
    rf"(?:{_PAGES}\.?[ \t]*(?P<page>[0-9]{{1,4}})(?:[ \t]*[-\u2013][ \t]*p?(?P<last>[0-9]{{1,4}}))?"
    r"|(?P<matter>[fb][0-9]{1,3}|cover)(?=[:.),@]|[ \t]*[-\u2013\u2014:@]|\Z))"
    r"(?:\.(?P<panel>[0-9]{1,3})(?!\w)|[ \t]*[,/.;]?[ \t]*(?:panel|pnl)\.?[ \t]*(?P<named>[0-9]{1,3})(?!\w))?"
    r"(?!\w)",
    re.IGNORECASE,
)
_CHAPTER = re.compile(r"(?:chapter|ch\.?)[ \t]*(?P<number>[0-9]{1,4})(?!\w)", re.IGNORECASE)
_SCENE = re.compile(r"scene[ \t]+(?=[\"\u201c\u201e\u00ab\u2018])", re.IGNORECASE)
_SPOT = re.compile(r"[ \t]*@[ \t]?(?P<across>[01]?\.?[0-9]{1,9})[ \t]?,[ \t]?(?P<down>[01]?\.?[0-9]{1,9})(?![\w.])")
_APART = re.compile(r"[ \t]*(?:[:\u2013\u2014]|-+(?=[ \t])|[.)\]](?=[ \t]|\Z))+[ \t]*")
#: A row as wide as this may have been broken by a mail program, and end in the middle of a sentence.
_WIDE = 50
_ENDED = re.compile(r"[.!?:;\u2026)\"\u201d\u2019][ \t]*\Z")


class Placed(NamedTuple):
    """What opens a note: the place in the notes' own spelling, the words after it on the row."""

    place: str
    words: str


class Note(NamedTuple):
    """A note's place ("" for the whole book) and its rows."""

    place: str
    rows: list[str]


def placed_notes(rows: Sequence[str], is_place: IsPlace) -> list[Note]:
    """The notes that rows say: those with a place in order, then the rest as one note where it holds any words.

    A note ends at an empty row, or where the place stood alone on its row, at the next place; rows indented by two
    blanks and more go on with it.
    """
    notes: list[Note] = []
    rest: list[str] = []
    current, alone, gap = None, False, True
    for at, row in enumerate(rows):
        if not row.strip():
            gap = True
            (current.rows if current else rest).append("")
            continue
        found = opening(row, is_place)
        if found and not _goes_on(rows, at, row):
            current, alone = Note(found.place, [found.words] if found.words else []), not found.words
            notes.append(current)
        elif current and (not gap or alone or row.startswith(("  ", "\t"))):
            current.rows.append(row.strip())
        else:
            current = None
            rest += [""] * gap + [row.strip()]
        gap = False
    told = [Note(note.place, _trimmed(note.rows)) for note in notes]
    kept = _trimmed(rest)
    return [*told, Note("", kept)] if kept else told


def opening(row: str, is_place: IsPlace) -> Placed | None:
    """The place that a row begins with; None where it begins with none."""
    item = _ITEM.match(row)
    words = row[item.end() :] if item else row.strip(" \t")
    bracket = re.match(r"[(\[]", words)
    inner = words[1:] if bracket else words
    for anchor, length in _anchors(inner):
        place = spell(anchor.page, anchor.panel, scene=anchor.scene, quote=anchor.quote, chapter=anchor.chapter,
                      spot=anchor.spot)  # fmt: skip
        if place is None or read_anchor(place) is None or ((anchor.quote or anchor.scene) and not is_place(anchor)):
            continue
        after = inner[length:]
        if bracket and not re.match(r"[ \t]*[)\]]", after):
            return None
        return Placed(place, _after(words, after))
    return None


def _after(words: str, after: str) -> str:
    """The words behind a place; the whole row where it goes on with further places or in the middle of a sentence."""
    apart = _APART.match(after)
    if apart:
        return after[apart.end() :].strip()
    return words.strip() if after[:1] in (",", ";", "/", "+", "&", "'", "\u2019") else after.strip()


def _anchors(words: str) -> Iterator[tuple[Anchor, int]]:
    """What the words may begin with and how long it is, the longest reading first."""
    chapter = _CHAPTER.match(words)
    if chapter:
        yield Anchor(chapter=int(chapter["number"])), chapter.end()
        return
    page = _PAGE.match(words)
    if page and (label := _label(page)):
        panel = int(page["panel"] or page["named"] or 0) or None
        spot = _SPOT.match(words, page.end())
        if spot and (found := _spot(spot)):
            yield Anchor(page=label, panel=panel, spot=found), spot.end()
            return
        yield from _quoted(words, page.end(), label, panel)
        yield Anchor(page=label, panel=panel), page.end()
        return
    yield from _quoted(words, 0, None, None)


def _label(page: re.Match[str]) -> str | None:
    """The page's label; of a longer range, which is no spread, the first page."""
    if page["matter"]:
        return page_label(page["matter"].lower())
    first, last = int(page["page"]), int(page["last"] or 0)
    if not first:
        return None
    return f"{first}-{last}" if last == first + 1 else str(first)


def _spot(found: re.Match[str]) -> tuple[float, float] | None:
    try:
        across, down = float(found["across"]), float(found["down"])
    except ValueError:
        return None
    return (round(across, 4), round(down, 4)) if across <= 1 and down <= 1 else None


def _quoted(words: str, at: int, page: str | None, panel: int | None) -> Iterator[tuple[Anchor, int]]:
    """A scene or a phrase in quotes, which stands at `at` behind a blank or a colon."""
    at += len(words[at:]) - len(words[at:].lstrip(" \t:,"))
    scene = _SCENE.match(words, at)
    start = scene.end() if scene else at
    closing = QUOTES.get(words[start : start + 1])
    if closing is None or words[start : start + 1] == "\u2018":
        return
    end = next((n for n in range(start + 1, len(words)) if words[n] in closing), None)
    said = words[start + 1 : end].strip() if end else ""
    if end and said:
        found = Anchor(page=page, panel=panel, scene=said) if scene else Anchor(page=page, panel=panel, quote=said)
        yield found, end + 1


def _goes_on(rows: Sequence[str], at: int, row: str) -> bool:
    """Whether a row only goes on with a sentence that the row above was too narrow for.

    So it is where the row above is wide and ends no sentence, and this one begins with a place as prose spells it.
    """
    above = rows[at - 1].rstrip() if at else ""
    prose = re.match(r"(?:pages?|chapter|scene)[ \t]|[\"\u201c\u201e\u00ab]", row.strip(" \t"))
    return bool(prose and len(above) >= _WIDE and not _ENDED.search(above) and not _ITEM.match(row))


def _trimmed(rows: Sequence[str]) -> list[str]:
    """Rows without empty ones at their ends, and never two empty ones in a row."""
    kept: list[str] = []
    for row in rows:
        if row or (kept and kept[-1]):
            kept.append(row)
    while kept and not kept[-1]:
        del kept[-1]
    return kept
