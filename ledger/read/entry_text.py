"""Entries written: one value always gives the same bytes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import Any

from ledger.model.entry import Alteration, Delivery, Entry, Handoff, Lock, Reopen, Round
from ledger.model.errors import Refusal
from ledger.model.pages import label_order

_ESCAPED = re.compile(r'["\\\x00-\x1f\x7f]')
_SHORT = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r", "\b": "\\b", "\f": "\\f"}
_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")
#: Keys are set out to the width of `message`, the longest that every round has.
_WIDTH = 7
_MAY_BE_EMPTY = ("message", "reason", "to")


def write_entry(entry: Entry) -> bytes:
    """The bytes of an entry, in the layout of convention §4: UTF-8, line feeds.

    Raises Refusal where a name in it is not valid Unicode, which TOML can't hold.
    """
    said = [
        (key, value) for key, value in _keys(entry) if value is not None and (value != "" or key not in _MAY_BE_EMPTY)
    ]
    blocks = ["".join(f"{key:<{_WIDTH}} = {_value(value)}\n" for key, value in said)]
    if not isinstance(entry, Reopen):
        blocks.append("[files]\n" + _lines(sorted(entry.files.items(), key=_by_bytes)))
    if isinstance(entry, Round) and entry.made_from:
        pages = sorted(entry.made_from.items(), key=lambda item: label_order(item[0]))
        blocks.append("[made_from]\n" + _lines(pages))
    try:
        return "\n".join(blocks).encode()
    except UnicodeEncodeError as fault:
        raise Refusal("the name of a file is not valid UTF-8, so an entry can't name it", path=entry.path,
                      remedy="give the file another name") from fault  # fmt: skip


def _keys(entry: Entry) -> Iterator[tuple[str, Any]]:
    """The keys of an entry in the order of convention §4; those without a value are left out later."""
    match entry:
        case Round():
            yield from (("entry", "pass"), ("pass", entry.pass_name), ("round", entry.number), *_signed(entry))
            yield from (("message", entry.message), ("pages", entry.pages), ("basis", dict(entry.basis) or None))
            yield from (("dated", entry.dated), ("stands", entry.stands))
        case Lock():
            yield from (("entry", "lock"), ("pass", entry.pass_name), ("number", entry.number), *_signed(entry))
            yield from (("message", entry.message), ("pages", entry.pages), ("scopes", entry.scopes))
            yield from (("round", entry.round), ("approved_by", entry.approved_by), ("how", entry.how))
        case Alteration():
            kind = "reopen" if isinstance(entry, Reopen) else "alteration"
            yield from (("entry", kind), ("number", entry.number), *_signed(entry), ("message", entry.message))
            yield from (("class", entry.alteration_class), ("reason", entry.reason), ("asked_by", entry.asked_by))
            yield from (("pages", entry.pages), ("scopes", entry.scopes), ("passes", entry.passes))
        case Handoff():
            yield from (("entry", "handoff"), ("number", entry.number), *_signed(entry), ("message", entry.message))
            yield from (("pass", entry.pass_name), ("pages", entry.pages), ("to", entry.to), ("round", entry.round))
            yield from (("returns", entry.returns), ("packet", entry.packet or None))
        case Delivery():
            yield from (("entry", "delivery"), ("number", entry.number), *_signed(entry), ("message", entry.message))
            yield from (("passes", entry.passes), ("pages", entry.pages))


def _signed(entry: Entry) -> tuple[tuple[str, Any], ...]:
    return (("date", entry.date), ("by", entry.by))


def _by_bytes(item: tuple[str, str]) -> bytes:
    return item[0].encode("utf-8", "surrogatepass")


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, str):
        return _string(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {_value(said)}" for key, said in value.items()) + " }"
    return "[" + ", ".join(_value(item) for item in value) + "]"


def _lines(items: Iterable[tuple[str, Any]]) -> str:
    return "".join(f"{_string(key)} = {_value(value)}\n" for key, value in items)


def _key(key: str) -> str:
    return key if _BARE.match(key) else _string(key)


def _string(text: str) -> str:
    return '"' + _ESCAPED.sub(lambda sign: _SHORT.get(sign[0], f"\\u{ord(sign[0]):04X}"), text) + '"'
