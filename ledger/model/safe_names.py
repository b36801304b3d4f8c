"""Names of files and folders that every system can hold, for what leaves the house."""

from __future__ import annotations

import re

from ledger.model.pages import page_numbers

#: Plain letters and digits with `.`, `_`, `-`: a name that every disk can hold and no manifest has to write otherwise.
_PLAIN = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,98}[A-Za-z0-9_-])?\Z")
#: Names that some systems keep for devices, whatever the ending.
_DEVICE = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?\Z", re.IGNORECASE)
#: Digits of a number at least.
DIGITS = 3


def fits_everywhere(name: str) -> bool:
    """Whether every system can hold a file or folder of this name."""
    return bool(_PLAIN.match(name)) and not _DEVICE.match(name)


def plain_name(label: str, wide: int = DIGITS) -> str:
    """The name of a page without its ending: `p001`, `p024-025`, `f001`, `cover`; numbers have at least `wide` digits.

    Labels are those of `ledger.model.pages`, so the name fits everywhere.
    """
    numbers = page_numbers(label)
    if numbers:
        return "p" + "-".join(f"{number:0{wide}d}" for number in sorted({numbers[0], numbers[-1]}))
    return f"{label[0]}{int(label[1:]):0{wide}d}" if label[1:].isdecimal() else label
