"""How pages are called in a bundle: names that sort in page order on every system."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from pathlib import PurePosixPath

from ledger.model.pages import label_order, page_numbers
from ledger.model.safe_names import DIGITS, fits_everywhere, plain_name


def bundle_names(paths: Mapping[str, str]) -> dict[str, str]:
    """Page label -> name of its file, for the exports of a pass (label -> path in the book).

    The names are the book's own where they sort in page order; else the pages' plain names (`p001`, `p024-025`,
    `f001`); else those with the page's place among all of them before it (`001-cover`, `002-f001`, `003-p001`).
    """
    order = sorted(paths, key=label_order)
    own = {label: PurePosixPath(paths[label]).name for label in order}
    if _in_page_order(order, own):
        return own
    wide = max([DIGITS, *(len(str(number)) for label in order for number in page_numbers(label))])
    plain = {label: plain_name(label, wide) + _suffix(paths[label]) for label in order}
    if _in_page_order(order, plain):
        return plain
    wide = max(DIGITS, len(str(len(order))))
    return {label: f"{at:0{wide}d}-{plain[label]}" for at, label in enumerate(order, 1)}


def _in_page_order(order: Sequence[str], names: Mapping[str, str]) -> bool:
    """Whether the names sort as the pages do, with and without capitals; then no two are one file on any disk."""
    listed = [names[label] for label in order]
    rising = all(a < b and a.lower() < b.lower() for a, b in pairwise(listed))
    return rising and all(map(fits_everywhere, listed))


def _suffix(path: str) -> str:
    suffix = PurePosixPath(path).suffix.lower()
    return suffix if re.match(r"\.[a-z0-9]{1,8}\Z", suffix) else ""
