"""Which page a file of a foreign name is: `tide_012_v3.png`, `Page 7.tif`, `scan-0004.png`."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import PurePath

from ledger.model.pages import page_label
from ledger.read.patterns import composed

#: Endings of pictures that can be exports.
PICTURES = (".png", ".tif", ".tiff", ".jpg", ".jpeg", ".webp", ".bmp", ".gif", ".jp2", ".tga", ".ppm", ".pgm", ".pbm")

_SAID = re.compile(r"(?<![a-z])(?:pages?|pg|p)[ _.-]*0*(\d{1,4})(?:[-_+](?:p)?0*(\d{1,4}))?(?!\d)", re.IGNORECASE)
_MATTER = re.compile(r"(?<![a-z0-9])([fb])0*(\d{1,3})(?!\d)", re.IGNORECASE)
_COVER = re.compile(r"(?<![a-z])(?:front[ _-]?)?cover(?![a-z])", re.IGNORECASE)
_NUMBER = re.compile(r"(\d+)(?:-0*(\d+))?")
_DIGITS = re.compile(r"(\d+)")
#: No page has a larger number; more digits are a date or a scanner's own.
_MOST = 9999


def natural(name: str) -> list[tuple[int, int, str]]:
    """Sort key under which `scan2` stands before `scan10`, whatever the case."""
    parts = _DIGITS.split(composed(name).casefold())
    return [_in_count(part) if part.isdigit() and part.isascii() else (1, 0, part) for part in parts]


def _in_count(digits: str) -> tuple[int, int, str]:
    """Numbers of any length in order, without counting them."""
    plain = digits.lstrip("0")
    return 0, len(plain), f"{plain} {digits}"


def pages_by_name(names: Sequence[str]) -> dict[str, str | None]:
    """Name -> page label, None where it says none.

    A name that says `p12`, `page 12`, `f1` or `cover` is believed; of other numbers the place counts in which the
    names of the folder differ most, or the last number where they are not built alike.
    """
    labels = {name: _said(PurePath(name).stem) for name in names}
    others = {name: _numbers(PurePath(name).stem) for name, label in labels.items() if label is None}
    return labels | _by_numbers(others)


def pages_in_order(names: Iterable[str], first: int) -> dict[str, str | None]:
    """Name -> page label, counted on from `first` in the order of the names."""
    return {name: str(first + at) for at, name in enumerate(sorted(names, key=natural))}


def _said(stem: str) -> str | None:
    """The page that a name states."""
    label = page_label(stem)
    if label or _COVER.search(stem):
        return label or "cover"
    found = _SAID.search(stem)
    if found:
        first, last = int(found[1]), int(found[2] or found[1])
        return f"{first}-{last}" if last == first + 1 else str(first)
    matter = _MATTER.search(stem)
    return f"{matter[1].lower()}{int(matter[2])}" if matter else None


def _numbers(stem: str) -> list[str]:
    """Every number in a name as a label, a pair of neighbours as a spread; one too large for a page as ""."""
    found = []
    for match in _NUMBER.finditer(stem):
        first, last = int(match[1][:9]), int((match[2] or match[1])[:9])
        label = f"{first}-{last}" if last == first + 1 else str(first)
        found.append(label if len(match[1]) <= 9 and 0 < first <= _MOST else "")
    return found


def _by_numbers(others: Mapping[str, list[str]]) -> dict[str, str | None]:
    if not others:
        return {}
    most = max(len(numbers) for numbers in others.values())
    if any(len(numbers) != most for numbers in others.values()) or not most:
        return {name: next((n for n in reversed(numbers) if n), None) for name, numbers in others.items()}
    columns = [[numbers[place] for numbers in others.values()] for place in range(most)]
    place = max(range(most), key=lambda at: (all(columns[at]), len(set(columns[at])), -at))
    return {name: numbers[place] or None for name, numbers in others.items()}
