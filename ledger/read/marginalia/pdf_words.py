"""The words under a stroke of a PDF, told by where its page sets them.

Widths of letters are those of the font where it gives them for single bytes (ISO 32000-1, 9.6.2), else half an em, and
fitted to where the next words of the row begin; so a stroke is read to whole words.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any, NamedTuple
from unicodedata import normalize

if TYPE_CHECKING:
    from pypdf import PageObject

#: A stroke takes a word in where it covers this much of it; one through a letter tells the word that is nearest.
_COVERED = 0.5
#: Where the font says the widths of fewer letters than this share, the room to the next words counts.
_KNOWN = 0.8
#: Fragments of one page; a page of more is none that anybody reads.
_MOST = 50_000


#: Letters that were set as one sign, as ﬁ.
_LIGATURES = re.compile("[\ufb00-\ufb06]")


class Fragment(NamedTuple):
    """Words set in one go: where their baseline begins, how large; the width of each letter in ems, and whether the
    font says it."""

    text: str
    x: float
    y: float
    size: float
    widths: tuple[float, ...]
    exact: bool = False


class _Word(NamedTuple):
    text: str
    left: float
    right: float
    size: float
    blank: bool


def fragments(page: PageObject) -> list[Fragment]:
    """What a page sets, in order; as far as it can be read."""
    found: list[Fragment] = []

    def met(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        if text.strip("\n") and len(found) < _MOST:
            x, y = tm[4] * cm[0] + tm[5] * cm[2] + cm[4], tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            scale = abs(tm[0] * cm[0]) or abs(tm[1]) or 1.0
            words = text.strip("\n")
            widths, exact = _widths(words, font)
            found.append(Fragment(words, x, y, abs(size) * scale, widths, exact))

    with suppress(Exception):
        page.extract_text(visitor_text=met)
    return found


def _widths(text: str, font: Any) -> tuple[tuple[float, ...], bool]:
    """The width of each letter in ems, and whether the font says those of most."""
    first, listed = 0, []
    with suppress(Exception):
        listed = [float(n) for n in font["/Widths"]]
        first = int(font["/FirstChar"])
    known = {sign: listed[ord(sign) - first] / 1000 for sign in set(text) if 0 <= ord(sign) - first < len(listed)}
    widths = tuple(known.get(sign) or (0.28 if sign in " ilj.,;:'!|" else 0.5) for sign in text)
    letters = text.replace(" ", "")
    return widths, sum(bool(known.get(sign)) for sign in letters) >= _KNOWN * len(letters)


class Fragments:
    """What a page sets, by how high the middle of its letters stands: a page may carry thousands of strokes."""

    def __init__(self, found: Sequence[Fragment]) -> None:
        self._sorted = sorted(found, key=_middle)
        self._middles = [_middle(each) for each in self._sorted]

    def __bool__(self) -> bool:
        return any(each.text.strip() for each in self._sorted)

    def between(self, low: float, high: float) -> list[Fragment]:
        """Those of a row, from left to right."""
        first, last = bisect_left(self._middles, low), bisect_right(self._middles, high)
        return sorted(self._sorted[first:last], key=lambda each: each.x)


def _middle(each: Fragment) -> float:
    return each.y + each.size * 0.3


def words_in(found: Fragments, quads: Sequence[float]) -> str:
    """The words of all fragments that lie under the quadrilaterals, each of which is four points."""
    rows = []
    for at in range(0, len(quads) - 7, 8):
        xs, ys = quads[at : at + 8 : 2], quads[at + 1 : at + 8 : 2]
        rows.append(_row(found, min(xs), max(xs), min(ys), max(ys)))
    return _LIGATURES.sub(lambda sign: normalize("NFKC", sign.group()), " ".join(filter(None, rows)))


def _row(found: Fragments, left: float, right: float, low: float, high: float) -> str:
    words = list(_joined(_words(found.between(low, high))))
    shares = [(min(w.right, right) - max(w.left, left)) / max(w.right - w.left, 1e-6) for w in words]
    if max(shares, default=1.0) < _COVERED:
        near = min(words, key=lambda word: max(word.left - right, left - word.right))
        return near.text if max(near.left - right, left - near.right) < near.size else ""
    return " ".join(word.text for word, share in zip(words, shares, strict=True) if share >= _COVERED)


def _words(on_row: Sequence[Fragment]) -> Iterator[_Word]:
    """Runs of letters and runs of blanks, with where they begin and end."""
    for at, each in enumerate(on_row):
        whole = sum(each.widths) * each.size
        room = on_row[at + 1].x - each.x if at + 1 < len(on_row) else whole
        fit = room / whole if whole and not each.exact and 0.7 < room / whole < 1.4 else 1.0
        x, start = each.x, 0
        for end in range(1, len(each.text) + 1):
            if end < len(each.text) and each.text[end].isspace() == each.text[start].isspace():
                continue
            length = sum(each.widths[start:end]) * each.size * fit
            yield _Word(each.text[start:end], x, x + length, each.size, each.text[start].isspace())
            x, start = x + length, end


def _joined(words: Iterator[_Word]) -> Iterator[_Word]:
    """Whole words: pieces of one that were set apart are put together again."""
    held: _Word | None = None
    for word in words:
        if word.blank:
            if held:
                yield held
            held = None
        elif held and word.left - held.right < 0.15 * max(held.right - held.left, 1.0) / max(len(held.text), 1):
            held = held._replace(text=held.text + word.text, right=word.right)
        else:
            if held:
                yield held
            held = word
    if held:
        yield held
