"""The picture that every page of a PDF carries, as a printer's proof has them; words and drawn lines are not read."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from ledger.model.errors import Refusal
from ledger.read.marginalia.apart import SECONDS, apart
from ledger.read.marginalia.pdf import MOST_BYTES, labelled, opened
from ledger.read.marginalia.pdf_page import View

if TYPE_CHECKING:
    from pypdf import PdfReader

#: Tells of a picture's bytes what it is known by, as two strings; raises for what is no picture.
Look = Callable[[bytes], tuple[str, str]]


class PdfSheet(NamedTuple):
    """A page of a PDF, from 1, and what its picture is known by: both "" where it carries none, the first `?` where
    that can't be unpacked. `bare` says that the page draws nothing at all, `lies` how the picture lies on it: whether
    on its side, then whether what is shown runs from right to left, and from below upwards."""

    number: int
    known: str
    small: str
    bare: bool = False
    lies: tuple[bool, bool, bool] = (False, False, False)


def read_sheets(path: str, data: bytes, look: Look) -> list[PdfSheet]:
    """Every page, read in a process of its own; `look` looks at pictures there.

    Raises Refusal for a file that is damaged, encrypted or too large.
    """
    if len(data) > MOST_BYTES:
        raise Refusal(f"it is larger than {MOST_BYTES >> 20} MiB", path=path, remedy="ask for it in parts")
    import pypdf  # noqa: F401  (once, before the child is made)

    seconds = SECONDS + (len(data) >> 20)
    found = apart(lambda: opened(path, data, lambda reader: _sheets(path, reader, look)), path, seconds=seconds)
    return [PdfSheet._make(each)._replace(lies=tuple(each[4])) for each in found]


def _sheets(path: str, reader: PdfReader, look: Look) -> list[PdfSheet]:
    count = len(labelled(path, reader))
    return [_sheet(number, View.of(reader.pages[number - 1]), look) for number in range(1, count + 1)]


def _sheet(number: int, view: View, look: Look) -> PdfSheet:
    if view.picture is None:
        return PdfSheet(number, "", "", not view.draws)
    return PdfSheet(number, *view.looked_at(look), False, view.lies)
