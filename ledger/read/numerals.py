"""Numbers as scripts spell them: 12, TWELVE, twenty-four, ONE HUNDRED AND SIXTY."""

from __future__ import annotations

import re

_UNITS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
    "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
_JOIN = r"\s*(?:-|–|—|/|&|\+|\bto\b|\band\b)\s*"
_BLANK = r"[\s-]+"

_WORD = "|".join(sorted([*_UNITS, *_TENS, "hundred", "a hundred"], key=len, reverse=True))
#: A number or a range of two, in digits or words, for use inside a larger expression without case.
NUMBERS = (
    r"(?:\d{1,4}(?:\s*(?:-|–|—|/|&|\+|to\b|and\b)\s*\d{1,4}\b(?!\s+panels?\b))?"
    rf"|(?:{_WORD})\b(?:(?:\s*(?:-|–|—|/|&|\+)\s*|\s+(?:and\s+|to\s+)?)(?:{_WORD})\b(?!\s+panels?\b))*)"
)


def number(text: str) -> int | None:
    """The number a text spells, from 1 to 9999 in digits and to 999 in words; None where it spells none."""
    text = text.strip().lower()
    if text.isdigit():
        return int(text) if text.isascii() and len(text) <= 4 else None
    return _spelled(re.split(_BLANK, text))


def number_range(text: str) -> tuple[int, int] | None:
    """A number, or the first and last of a range (`24-25`, `SIXTY AND SIXTY-ONE`); both the same for one number."""
    one = number(text)
    if one is not None:
        return one, one
    found = []
    for joint in re.finditer(_JOIN, text.lower()):
        first, last = number(text[: joint.start()]), number(text[joint.end() :])
        if first is not None and last is not None and last > first:
            found.append((first, last))
    return min(found, key=lambda pair: pair[1] - pair[0], default=None)


def _spelled(words: list[str]) -> int | None:
    if len(words) >= 2 and words[1] == "hundred":
        hundreds = 1 if words[0] == "a" else _UNITS.get(words[0], 0)
        rest = words[2:]
        if rest[:1] == ["and"]:
            rest = rest[1:]
            if not rest:
                return None
        below = _below_hundred(rest) if rest else 0
        return hundreds * 100 + below if 1 <= hundreds <= 9 and below is not None else None
    return _below_hundred(words)


def _below_hundred(words: list[str]) -> int | None:
    if len(words) == 1:
        return _UNITS.get(words[0]) or _TENS.get(words[0])
    if len(words) == 2 and words[0] in _TENS and 1 <= _UNITS.get(words[1], 0) <= 9:
        return _TENS[words[0]] + _UNITS[words[1]]
    return None
