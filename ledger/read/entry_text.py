"""Entries written: one value always gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from ledger.model.entry import Alteration, Delivery, Entry, Handoff, Lock, Reopen, Round
from ledger.model.errors import Refusal
from ledger.model.pages import label_order
from ledger.read.toml_values import toml_string, toml_value

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
    blocks = ["".join(f"{key:<{_WIDTH}} = {toml_value(value)}\n" for key, value in said)]
    if not isinstance(entry, Reopen):
        blocks.append("[files]\n" + _lines(sorted(entry.files.items(), key=_by_bytes)))
    if isinstance(entry, Round) and entry.made_from:
        pages = sorted(entry.made_from.items(), key=lambda item: label_order(item[0]))
        blocks.append("[made_from]\n" + _lines(pages))
    try:
        return "\n".join(blocks).encode()
    except UnicodeEncodeError as fault:
        raise _unwritable(entry) from fault


def _unwritable(entry: Entry) -> Refusal:
    """Which name or words of an entry are no Unicode."""
    odd = next((path for path in ({} if isinstance(entry, Reopen) else entry.files) if not _is_unicode(path)), None)
    if odd is not None:
        return Refusal("the name of this file is not valid UTF-8, so an entry can't name it", path=odd,
                       remedy="give the file another name")  # fmt: skip
    return Refusal("words of it are not valid UTF-8, so it can't hold them", path=entry.path,
                   remedy="give them again, typed in UTF-8")  # fmt: skip


def _is_unicode(text: str) -> bool:
    return not any("\ud800" <= sign <= "\udfff" for sign in text)


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
            yield from (("returns", entry.returns), ("packet", entry.packet or None), ("delivery", entry.delivery))
        case Delivery():
            yield from (("entry", "delivery"), ("number", entry.number), *_signed(entry), ("message", entry.message))
            yield from (("passes", entry.passes), ("pages", entry.pages))


def _signed(entry: Entry) -> tuple[tuple[str, Any], ...]:
    return (("date", entry.date), ("by", entry.by))


def _by_bytes(item: tuple[str, str]) -> bytes:
    return item[0].encode("utf-8", "surrogatepass")


def _lines(items: Iterable[tuple[str, Any]]) -> str:
    return "".join(f"{toml_string(key)} = {toml_value(value)}\n" for key, value in items)
