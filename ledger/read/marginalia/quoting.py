"""A mail's own words apart from the mail that it answers (RFC 3676, 4.3 and 4.5; else common practice, no source)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

#: Words with which mail programs head the mail that they quote below, in a few languages (common practice).
_HEADS = r"from|von|de|da|van"
_BELOW = r"sent|date|to|cc|subject|gesendet|datum|an|betreff|envoyé|à|objet|enviado|para|asunto|inviato|oggetto|a|aan"
_FIRST = re.compile(rf"[*_]*(?:{_HEADS})[*_]*\s?:[*_]*\s*(?P<words>\S.*)", re.IGNORECASE)
_FURTHER = re.compile(rf"[*_]*(?P<name>{_BELOW})[*_]*\s?:(?P<words>.*)", re.IGNORECASE)
_RULED = re.compile(r"\s*-{2,}\s*\S.{2,60}?\S\s*-{2,}\s*\Z")
_PASSED_ON = re.compile(
    r"\s*(?:-{2,}\s*)?(?:begin )?(?:forwarded message|original message)\s*:?\s*(?:-{2,})?\s*\Z", re.I
)
_WROTE = re.compile(r"(?:\d|@|\bwrote\b|\bschrieb\b|\bécrit\b|\bescribió\b|\bha scritto\b).*:\s*\Z", re.DOTALL)
_WHEN = ("date", "sent", "datum", "gesendet", "envoyé", "enviado", "inviato")
_MOST_HEAD = 4


class Own(NamedTuple):
    """A mail's own rows; `quoted` and `signature` count rows that were left out (empty ones don't count).

    `author` and `date` are those of a mail that was only passed on, as its head names them.
    """

    rows: list[str]
    quoted: int = 0
    signature: int = 0
    author: str = ""
    date: str = ""


def own_words(rows: Sequence[str]) -> Own:
    """Leaves out what was quoted and the signature. A mail that holds nothing but another one is that one."""
    author = date = ""
    quoted = signature = 0
    while True:
        at = next((at for at in range(len(rows)) if _begins_another(rows, at)), None)
        own = _unsigned(rows if at is None else rows[:at])
        quoted, signature = quoted + own.quoted, signature + own.signature
        if at is None:
            return Own(own.rows, quoted, signature, author, date)
        if _said(own.rows):
            return Own(own.rows, quoted + _said(rows[at:]), signature, author, date)
        head, rows = _head(rows, at)
        author, date = head.get("from", author), head.get("date", date)


def _unsigned(rows: Sequence[str]) -> Own:
    end = next((at for at, row in enumerate(rows) if row == "-- "), len(rows))
    own, below = _unquoted(rows[:end]), _unquoted(rows[end + 1 :])
    return Own(own.rows, own.quoted + below.quoted, _said(below.rows))


def _head(rows: Sequence[str], at: int) -> tuple[dict[str, str], Sequence[str]]:
    """The head of a mail that was passed on, as far as it is of use, and what stands below it."""
    while not (first := _FIRST.match(rows[at].strip())):
        at += 1
    head = {"from": first["words"].strip()}
    at += 1
    while at < len(rows) and (found := _FURTHER.match(rows[at].strip())):
        if found["name"].lower() in _WHEN:
            head["date"] = found["words"].strip()
        at += 1
    return head, rows[at:]


def _begins_another(rows: Sequence[str], at: int) -> bool:
    """Whether another mail's head begins here: a ruled line above it, or its `From:` with two more fields below."""
    row = rows[at].strip()
    if _FIRST.match(row):
        below = [each.strip() for each in rows[at + 1 : at + 6]]
        return sum(bool(_FURTHER.match(each)) for each in below) >= 2
    if _RULED.match(row) or _PASSED_ON.match(row):
        nearest = next((n for n in range(at + 1, min(at + 4, len(rows))) if rows[n].strip()), at)
        return nearest > at and bool(_FIRST.match(rows[nearest].strip())) and _begins_another(rows, nearest)
    return False


def _unquoted(rows: Sequence[str]) -> Own:
    """Rows without those that begin with `>`, and without the line that says who wrote them."""
    kept: list[str] = []
    quoted = 0
    for at, row in enumerate(rows):
        if not row.lstrip(" \t").startswith(">"):
            kept.append(row)
            continue
        if at == 0 or not rows[at - 1].lstrip(" \t").startswith(">"):
            quoted += _attribution(kept)
        quoted += bool(row.strip(" \t>"))
    return Own(kept, quoted)


def _attribution(kept: list[str]) -> int:
    """Takes the lines above a quote away that say whose it is; gives how many."""
    end = len(kept)
    while end and not kept[end - 1].strip():
        end -= 1
    start = end
    while start and kept[start - 1].strip() and end - start < _MOST_HEAD:
        start -= 1
    for first in range(end - 1, start - 1, -1):
        if _WROTE.search("\n".join(kept[first:end])):
            whole = start if _opens(kept[start]) else first
            del kept[whole:]
            return end - whole
    return 0


def _opens(row: str) -> bool:
    return bool(re.match(r"(?:on|am|le|el|il|op)\s", row.strip(), re.IGNORECASE))


def _said(rows: Sequence[str]) -> int:
    return sum(bool(row.strip()) for row in rows)
