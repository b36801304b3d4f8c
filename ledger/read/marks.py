"""Marks of pages and panels: `[page 12, panel 1]` and the trade's own headings, `PAGE TWELVE (5 panels)`."""

import re
from collections.abc import Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from ledger.read.numerals import NUMBERS, number, number_range

#: Pages that one mark may stand for; more is no fold-out but a slip.
_MOST = 8


class Mark(NamedTuple):
    """`kind` is "page", "panel", "reveal" or "omitted"; `first` and `last` are what was typed, None where nothing was.

    `pages` is how many pages a page mark stands for, `declared` the panel count it states.
    """

    kind: str
    first: int | None = None
    last: int | None = None
    pages: int = 1
    declared: int | None = None


# Patterns are compiled when first met: most drafts need few of them.
_BRACKET = r"(\*{1,3}|_{1,3})(\\?)\[([^\[\]]{1,80})\2\]"
#: Brackets as people type them, and as programs that write Markdown do.
_BRACKETS = (("[", "]"), ("\\[", "\\]"))
#: So many signs stand in the brackets of a mark at most.
_LONGEST = 80
_KINDS = ("page", "pages", "panel")
_COUNT = r"(?i)(\d{1,3}|[a-z]+(?:[\s-][a-z]+){0,4})\s+panels?"
_WRAPPED = r"(\*{1,3}|_{1,3})(.+?)\1([.:]?)"
_KNOWN = r"(?i)splash(?: page)?|full[- ]page|(?:double[- ])?(?:page )?spread|of \d+"
_SLIP = r"(?i)\[\s*([opr]\w{2,8})\b[^\[\]:]{0,30}\]"
_SIGNS = ("page", "pages", "panel", "reveal", "omitted")
#: `pge` is like `page` (0.86), `pause` is not (0.67): own choice.
_ALIKE = 0.8
_STOP = r"\s*[.:](?=\s|$)|\s*[–—](?=\s|$)|\s+-+(?=\s|$)|\s*,(?=\s)|\s*(?=\()"


def leading_marks(text: str) -> tuple[Sequence[Mark], str]:
    """The marks in brackets that a line begins with, and its words after them.

    Programs that write Markdown put a backslash before both brackets, and mean the mark: `\\[page 12\\]`. Before one
    bracket a person puts it, who means the words.
    """
    if text[:1] not in ("[", "*", "_", "\\"):
        return (), text
    return _remembered(text) if len(text) <= _LONGEST else _leading(text)


def _leading(text: str) -> tuple[Sequence[Mark], str]:
    marks: list[Mark] = []
    at = 0
    while bracket := _bracket(text, at):
        inside, end = bracket
        while text[end : end + 1].isspace():
            end += 1
        items = None if text[end : end + 1] in (":", "：") else _items(inside)
        if items is None:
            break
        marks.extend(items)
        at = end
    return tuple(marks), text[at:]


#: Two drafts of a script have most of their marks in common.
_remembered = lru_cache(maxsize=4096)(_leading)


def _bracket(text: str, at: int) -> tuple[str, int] | None:
    """What stands in the brackets that begin at a place, emphasised or not, and where they end."""
    for opens, closes in _BRACKETS:
        if text.startswith(opens, at):
            first, end = at + len(opens), text.find(closes, at, at + _LONGEST + 2)
            inside = text[first:end]
            return (inside, end + len(closes)) if end > first and "[" not in inside else None
    found = re.compile(_BRACKET).match(text, at) if text[at : at + 1] in ("*", "_") else None
    if found is None or not text.startswith(found[1], found.end()):
        return None
    return found[3], found.end() + len(found[1])


def like_a_mark(text: str) -> bool:
    """Whether brackets that fill a line look like a mark with a slip in it: `[pannel 3]`, `[pages 25-24]`."""
    found = re.fullmatch(_SLIP, text)
    if not found:
        return False
    word = found[1].lower()
    if word in _SIGNS:
        return True
    from difflib import SequenceMatcher

    return any(SequenceMatcher(None, word, sign).ratio() > _ALIKE for sign in _SIGNS)


def _items(inside: str) -> list[Mark] | None:
    """What stands in one pair of brackets; None where it is no mark."""
    marks: list[Mark] = []
    for part in inside.split(","):
        said = part.strip()
        declared = _declared(said)
        if declared and marks and marks[-1].kind == "page":
            marks[-1] = marks[-1]._replace(declared=declared)
            continue
        mark = _item(said)
        if mark is None:
            return None
        marks.append(mark)
    return marks


def _declared(said: str) -> int | None:
    """The panel count that a page's heading states: `5 panels`, `five panels`."""
    found = re.fullmatch(_COUNT, said) if said[-1:].casefold() in ("l", "s") else None
    return number(found[1]) if found else None


def _item(said: str) -> Mark | None:
    if said.lower() in ("reveal", "omitted"):
        return Mark(said.lower())
    kind, typed = _typed(said)
    return _numbered(kind, typed) if kind in _KINDS else None


def _typed(said: str) -> tuple[str, str | None]:
    """The first word, small, and what follows it."""
    kind, *typed = said.split(None, 1) or [""]
    return kind.lower(), typed[0] if typed else None


def _numbered(kind: str, typed: str | None) -> Mark | None:
    if typed is None:
        return Mark("page", pages=2) if kind == "pages" else Mark(kind)
    span = number_range(typed)
    if span is None or span[0] < 1:
        return None
    first, last = span
    if kind == "panel":
        return Mark("panel", first) if first == last else None
    return Mark("page", first, last, last - first + 1) if last - first < _MOST else None


def trade_heading(text: str, *, alone: bool = False) -> tuple[Sequence[Mark], str] | None:
    """The marks of a heading as the trade writes it, and words that follow it on the line; None where it is none.

    With `alone` the heading must fill the line.
    """
    if text[:1] in ("*", "_") and (wrapped := re.fullmatch(_WRAPPED, text)):
        text = wrapped[2] + wrapped[3]
    if text[:2].lower() != "pa":
        return None
    found = _trade().fullmatch(text)
    mark = _numbered(found[1].lower(), found[2]) if found else None
    if found is None or mark is None:
        return None
    notes = _notes(mark, found[3])
    if notes is not None:
        return notes, ""
    stop = re.match(_STOP, found[3])
    if alone or stop is None or (mark.kind == "page" and not found[1].isupper() and stop[0].strip() in (".", ",", "")):
        return None
    return [mark], found[3][stop.end() :].strip()


@cache
def _trade() -> re.Pattern[str]:
    """Made when first needed: the spelt numbers take long to compile, and most drafts use marks."""
    return re.compile(rf"(pages?|panel)\s+({NUMBERS})(?![\w'’])(.*)", re.IGNORECASE)


def _notes(mark: Mark, tail: str) -> list[Mark] | None:
    """The marks where all that follows the number is understood: a panel count, a splash, a panel."""
    marks = [mark]
    for part in re.split(r"[,;()\[\]–—]|(?:\A|\s)-+\s", tail.strip().rstrip(".:")):
        said = part.strip(" .:")
        if not said:
            continue
        declared, (kind, typed) = _declared(said), _typed(said)
        if mark.kind == "page" and declared:
            marks[0] = marks[0]._replace(declared=declared)
        elif mark.kind == "page" and kind == "panel" and typed:
            marks.append(Mark("panel", number(typed)))
        elif mark.kind == "page" and re.fullmatch(_KNOWN, said):
            if said.lower().startswith("splash"):
                marks[0] = marks[0]._replace(declared=1)
        else:
            return None
    return marks if not tail or not tail[0].isalnum() else None
