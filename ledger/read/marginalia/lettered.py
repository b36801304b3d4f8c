"""The words that the pages of a PDF carry as text, with where they stand; words in pictures are not read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ledger.model.errors import Refusal
from ledger.model.lettering import Run, TextSheet
from ledger.read.marginalia.apart import SECONDS, apart
from ledger.read.marginalia.pdf import MOST_BYTES, labelled, opened
from ledger.read.marginalia.pdf_page import View
from ledger.read.marginalia.pdf_words import Fragment, fragments
from ledger.read.marginalia.plain import one_row

if TYPE_CHECKING:
    from pypdf import PageObject, PdfReader

#: Pieces of one row are one run where the gap is less than this share of their size (own choice: a blank is about 0.3,
#: two balloons side by side stand further apart than their letters are high).
_GAP = 0.7
#: Baselines this near are one row; the same words as near as that are drawn twice, as an outline under its letters.
_LEVEL = 0.25


def read_lettered(path: str, data: bytes) -> tuple[TextSheet, ...]:
    """The sheets of a PDF, read in a process of its own. Raises Refusal for what is damaged, encrypted or too large."""
    if len(data) > MOST_BYTES:
        raise Refusal(f"it is larger than {MOST_BYTES >> 20} MiB", path=path, remedy="send fewer pages")
    import pypdf  # noqa: F401  (once, before the child is made)

    seconds = SECONDS + (len(data) >> 20)
    found = apart(lambda: opened(path, data, lambda reader: _sheets(path, reader)), path, seconds=seconds)
    return tuple(TextSheet(number, label, tuple(map(Run._make, runs))) for number, label, runs in found)


def _sheets(path: str, reader: PdfReader) -> list[TextSheet]:
    labels = labelled(path, reader)
    return [TextSheet(n, labels[n - 1], tuple(runs_of(_shown(page)))) for n, page in enumerate(reader.pages, 1)]


def _shown(page: PageObject) -> list[Run]:
    """What a page sets inside the part of it that is shown, as it is turned."""
    box = page.cropbox
    width, height = abs(float(box.width)) or 1.0, abs(float(box.height)) or 1.0
    view = View(page, float(box.left), float(box.bottom), width, height, int(page.rotation) % 360)
    across, down = (height, width) if view.turn in (90, 270) else (width, height)
    found = []
    for each in fragments(page):
        x, y = view.point(each.x, each.y)
        if each.text.strip() and -0.01 <= x <= 1.01 and -0.01 <= y <= 1.01:
            found.append(Run(each.text, x * across, y * down, _width(each), each.size or 1.0))
    return found


def _width(each: Fragment) -> float:
    return sum(each.widths) * each.size


def runs_of(pieces: Sequence[Run]) -> list[Run]:
    """Pieces put together to what stands in one row without a gap; what is drawn twice on one spot counts once."""
    found: list[Run] = []
    for piece in sorted(pieces, key=lambda each: (each.x, each.y)):
        near = [at for at, run in enumerate(found) if abs(run.y - piece.y) <= _LEVEL * min(run.size, piece.size)]
        if any(_again(found[at], piece) for at in near):
            continue
        fit = [at for at in near if _follows(found[at], piece)]
        if fit:
            at = max(fit, key=lambda each: found[each].x + found[each].width)
            found[at] = _joined(found[at], piece)
        else:
            found.append(piece._replace(text=one_row(piece.text)))
    return sorted(found, key=lambda run: (run.y, run.x))


def _again(run: Run, piece: Run) -> bool:
    return one_row(piece.text) == run.text and abs(run.x - piece.x) <= _LEVEL * run.size


def _follows(run: Run, piece: Run) -> bool:
    gap = piece.x - (run.x + run.width)
    same = 0.8 < run.size / piece.size < 1.25
    return same and -0.6 * run.width <= gap <= _GAP * min(run.size, piece.size)


def _joined(run: Run, piece: Run) -> Run:
    blank = " " if piece.x - (run.x + run.width) > 0.15 * run.size else ""
    width = piece.x + piece.width - run.x
    return run._replace(text=one_row(run.text + blank + piece.text), width=max(run.width, width))
