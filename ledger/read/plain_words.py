"""The words of a line as they are spoken: emphasis, escapes, entities and formatting tags of CommonMark gone."""

from __future__ import annotations

import re
import unicodedata

#: Signs that may mean more than themselves.
SIGNS_OF_WORDS = ("*", "_", "\\", "&", "<", "`")
#: Compiled when first met: many drafts have none of this.
_TOKEN = (
    r"(?i)\\(?P<escaped>[!-/:-@\[-`{-~])"
    r"|(?P<tick>`+)"
    r"|(?P<entity>&(?:#[0-9]{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{0,31});)"
    r"|(?P<tag></?(?:b|i|u|s|em|strong|small|big|sub|sup|br|span|font|center|p|div)\s*/?>)"
    r"|(?P<run>\*+|_+)"
)


class _Run:
    """A run of emphasis signs: how many are left, and whether it may open or close."""

    __slots__ = ("closes", "left", "length", "opens", "sign")

    def __init__(self, run: str, before: str, after: str) -> None:
        self.sign, self.length, self.left = run[0], len(run), len(run)
        left = _flanks(before, after)
        right = _flanks(after, before)
        self.opens = left and (self.sign == "*" or not right or _is_mark(before))
        self.closes = right and (self.sign == "*" or not left or _is_mark(after))


def plain_words(text: str) -> str:
    """The words without their signs, blanks folded to one. Links and unknown tags stay as they were typed.

    Emphasis is paired as CommonMark 0.31.2 §6.2 says.
    """
    if signs_in(text):
        parts = _parts(text)
        _pair([part for part in parts if isinstance(part, _Run)])
        text = "".join(part if isinstance(part, str) else part.sign * part.left for part in parts)
    return " ".join(text.split())


def signs_in(text: str) -> bool:
    """Whether any sign is there that may mean more than itself; asked one by one, which is twice as quick as a set."""
    return any(map(text.__contains__, SIGNS_OF_WORDS))


def _parts(text: str) -> list[str | _Run]:
    parts: list[str | _Run] = []
    at = 0
    token = re.compile(_TOKEN)
    while found := token.search(text, at):
        parts.append(text[at : found.start()])
        at = found.end()
        if found["escaped"]:
            parts.append(found["escaped"])
        elif found["entity"]:
            parts.append(_entity(found["entity"]))
        elif found["tag"]:
            parts.append(" " if found["tag"].lower().startswith("<br") else "")
        elif found["tick"]:
            inside, at = _code(text, found["tick"], at)
            parts.append(inside)
        else:
            parts.append(_Run(found["run"], text[found.start() - 1 : found.start()], text[at : at + 1]))
    parts.append(text[at:])
    return parts


def _code(text: str, ticks: str, at: int) -> tuple[str, int]:
    """The words between two equal runs of backticks, and where they end; the signs themselves where no second is."""
    for found in re.finditer("`+", text[at:]):
        if found[0] == ticks:
            inside = text[at : at + found.start()]
            padded = inside[0] == inside[-1] == " " and inside.strip(" ")
            return inside[1:-1] if padded else inside, at + found.end()
    return ticks, at


def _entity(typed: str) -> str:
    """The sign that an entity stands for; an unknown name stays as it was typed (CommonMark 0.31.2 §2.5)."""
    if typed[1] != "#":
        from html.entities import html5

        return html5.get(typed[1:], typed)
    code = int(typed[3:-1], 16) if typed[2] in "xX" else int(typed[2:-1])
    return chr(code) if 0 < code < 0x110000 and not 0xD800 <= code < 0xE000 else "\ufffd"


def _flanks(before: str, after: str) -> bool:
    """Whether a run stands close to what comes after it (left-flanking; swap the two for right-flanking)."""
    if not after or after.isspace():
        return False
    return not _is_mark(after) or not before or before.isspace() or _is_mark(before)


def _is_mark(sign: str) -> bool:
    return bool(sign) and unicodedata.category(sign)[0] in "PS"


def _pair(runs: list[_Run]) -> None:
    """Takes the signs of every pair away."""
    bottom: dict[tuple[str, int, bool], int] = {}
    at = 0
    while at < len(runs):
        closer = runs[at]
        if not closer.closes or not closer.left:
            at += 1
            continue
        key = (closer.sign, closer.length % 3, closer.opens)
        back = at - 1
        while back >= bottom.get(key, 0) and not _matches(runs[back], closer):
            back -= 1
        if back < bottom.get(key, 0):
            bottom[key] = at
            at += 1
            continue
        taken = 2 if min(runs[back].left, closer.left) >= 2 else 1
        runs[back].left -= taken
        closer.left -= taken
        for between in runs[back + 1 : at]:
            between.opens = False
            between.closes = False
        if not closer.left:
            at += 1


def _matches(opener: _Run, closer: _Run) -> bool:
    if opener.sign != closer.sign or not opener.opens or not opener.left:
        return False
    odd = (opener.closes or closer.opens) and (opener.length + closer.length) % 3 == 0
    return not odd or (opener.length % 3 == 0 and closer.length % 3 == 0)
