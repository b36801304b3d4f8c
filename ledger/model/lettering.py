"""A script set against the text of the pages that were lettered from it."""

from __future__ import annotations

from typing import NamedTuple

from ledger.model.change import LineChange
from ledger.model.finding import Finding

#: What can be said of a page of the script; "not read" is never "right".
STATES = ("same", "changed", "not read", "not there")


class Run(NamedTuple):
    """Words that stand in one row of a sheet; `x` and `y` from its left and top, `size` of the letters, in points."""

    text: str
    x: float
    y: float
    width: float
    size: float


class TextSheet(NamedTuple):
    """A page of a PDF: its number in the file from 1, its label ("" where it has none), the words on it."""

    number: int
    label: str = ""
    runs: tuple[Run, ...] = ()


class LetteredPage(NamedTuple):
    """What became of a page of the script (`page` is its label) on a sheet (its number, None where there is none).

    Of `lines` a missing one is "cut", one that stands there twice or is in no script "added" (the line of the script it
    repeats is its `old`), a changed one "reworded", one out of order "moved".
    """

    page: str
    sheet: int | None
    state: str
    lines: tuple[LineChange, ...] = ()


class LetteringCheck(NamedTuple):
    """The whole answer: both names, the pages of the script in order, sheets that no page of the script stands on.

    `beyond` are (sheet, page it repeats or "", its first words).
    """

    old: str
    new: str
    words: tuple[int, int]
    sheets: int
    pages: tuple[LetteredPage, ...]
    beyond: tuple[tuple[int, str, str], ...] = ()
    findings: tuple[Finding, ...] = ()
