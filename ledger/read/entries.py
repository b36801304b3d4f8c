"""Entries of the ledger, bytes to values and back (convention §4)."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from datetime import date, datetime
from typing import Any

from ledger.model.book import SCOPES
from ledger.model.entry import CLASSES, Alteration, Delivery, Entry, Handoff, Lock, Reopen, Round
from ledger.model.errors import Refusal
from ledger.model.pages import parse_pages
from ledger.read.entry_lines import read_plain_layout
from ledger.read.entry_text import write_entry
from ledger.read.toml_text import line_of_key, load_toml
from ledger.read.toml_values import toml_value

__all__ = ["entry_name", "entry_of_tag", "numbered", "read_entry", "write_entry"]

_NAME = re.compile(
    r"ledger/(?:(lock)-([a-z0-9-]+)|(alteration|reopen|handoff|delivery)|([a-z0-9-]+))-([1-9][0-9]{0,8})\.toml\Z"
)
_OID = re.compile(r"(?:[0-9a-f]{40}|[0-9a-f]{64})?\Z")

Taken = dict[str, Any]


def entry_name(path: str) -> tuple[str, str | None, int] | None:
    """Kind, pass and number that a path of the ledger stands for; None for a file that is no entry.

    `ledger/lock-inks-2.toml` is `("lock", "inks", 2)`, `ledger/alteration-3.toml` is `("alteration", None, 3)`.
    Only files directly in `ledger/` are entries, all others there are free.
    """
    found = _NAME.match(path)
    if not found:
        return None
    lock, locked, plain, pass_name, number = found.groups()
    return lock or plain or "pass", locked or pass_name, int(number)


def entry_of_tag(tag: str) -> str | None:
    """Where the entry of a tag stands: `lock/inks/2` is that of `ledger/lock-inks-2.toml`; None for any other tag."""
    kind, *rest = tag.split("/")
    start = {"pass": "", "lock": "lock-", "alteration": "alteration-"}.get(kind)
    path = f"ledger/{start}{'-'.join(rest)}.toml"
    known = start is not None and len(rest) == (1 if kind == "alteration" else 2) and entry_name(path)
    return path if known else None


def read_entry(path: str, data: bytes) -> Entry:
    """Reads one entry. Raises Refusal with file and line where it is not what its name says, or can't be read."""
    named = entry_name(path)
    if named is None:
        raise Refusal("this is no name of an entry", path=path, remedy="entries are named like inks-1.toml")
    table = read_plain_layout(data)
    if table is not None:
        try:
            return _Reading(path, table, None).entry(*named)
        except Refusal:
            pass  # read again below, where the line is known
    table, text = load_toml(data, path)
    return _Reading(path, table, text).entry(*named)


def _all_oids(words: Collection[str]) -> bool:
    """Whether all are object ids or empty, asked of all at once."""
    together = "".join(words)
    sizes = set(map(len, words)) <= {0, 40, 64}
    return sizes and together.isascii() and not together.encode().translate(None, b"0123456789abcdef")


def numbered(path: str, data: bytes) -> bytes:
    """The bytes of an entry for another name: the same but for its number. Raises Refusal where that can't be done."""
    kind, _, number = entry_name(path) or ("", None, 0)
    key = b"round" if kind == "pass" else b"number"
    line = re.compile(rb"^(" + key + rb"[ \t]*=[ \t]*)\d+", re.MULTILINE)
    changed = line.sub(rb"\g<1>%d" % number, data, count=1)
    read_entry(path, changed)
    return changed


class _Reading:
    """One entry on the way from its table to a value; keys are taken one by one, what is left over is unknown."""

    def __init__(self, path: str, table: Mapping[str, Any], text: str | None) -> None:
        self.path, self.table, self.text = path, dict(table), text

    def entry(self, kind: str, pass_name: str | None, number: int) -> Entry:
        said = self.take("entry", str)
        if said != kind:
            self.wrong("entry", f"its name says that this is a {kind} entry, the entry itself says {said!r}")
        shared = self.shared(number, "round" if kind == "pass" else "number")
        if kind in ("pass", "lock"):
            shared["pass_name"] = self.named_pass(pass_name)
        made = _KINDS[kind](self, shared)
        if self.table:
            key = next(iter(self.table))
            self.wrong(key, f"{key!r} is no key of this entry")
        return made

    def shared(self, number: int, key: str) -> Taken:
        """What every entry says."""
        said = self.take(key, int)
        if said != number:
            self.wrong(key, f"its name says number {number}, the entry itself says {said}")
        return {
            "path": self.path, "number": number, "date": self.when(), "by": self.take("by", str),
            "message": self.take("message", str, ""), "pages": self.pages(), "files": self.files(),
        }  # fmt: skip

    def take(self, key: str, kind: type, default: Any = ...) -> Any:
        """The value of a key, of this type; a default makes it optional. Raises Refusal."""
        if key not in self.table:
            if default is ...:
                raise Refusal(f"the key {key!r} is missing", path=self.path, line=1, remedy=_REMEDY)
            return default
        value = self.table[key]
        if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
            self.wrong(key, f"{key!r} is of the wrong kind: {toml_value(value)}")
        del self.table[key]
        return value

    def wrong(self, key: str, message: str, *inner: str) -> None:
        line = line_of_key(self.text, (key, *inner)) if self.text is not None else None
        raise Refusal(message, path=self.path, line=line, remedy=_REMEDY)

    def named_pass(self, expected: str | None) -> str:
        said = self.take("pass", str)
        if expected is not None and said != expected:
            self.wrong("pass", f"its name says the pass {expected!r}, the entry itself says {said!r}")
        return str(said)

    def when(self) -> datetime | date:
        value = self.table.get("date")
        if isinstance(value, datetime) and value.tzinfo is None:
            self.wrong("date", "'date' has no offset from universal time")
        found: datetime | date = self.take("date", date)
        return found

    def count(self, key: str) -> int | None:
        value: int | None = self.take(key, int, None)
        if value is not None and value < 1:
            self.wrong(key, f"{key!r} counts from 1, this is {value}")
        return value

    def pages(self) -> str | None:
        value: str | None = self.take("pages", str, None)
        try:
            parse_pages(value)
        except ValueError as fault:
            self.wrong("pages", str(fault))
        return value

    def names(self, key: str, allowed: tuple[str, ...] = (), *, needed: bool = False) -> tuple[str, ...]:
        value = self.take(key, list, ... if needed else [])
        for name in value:
            if not isinstance(name, str) or (allowed and name not in allowed):
                self.wrong(key, f"{toml_value(name)} can't stand in {key!r}")
        return tuple(value)

    def strings(self, key: str, value: Mapping[str, Any]) -> dict[str, str]:
        """A table of strings; in the written layout nothing else can stand in it."""
        for name, said in value.items() if self.text is not None else ():
            if not isinstance(said, str):
                self.wrong(key, f"{name!r} in {key!r} is no string", name)
        return dict(value)

    def files(self) -> dict[str, str]:
        files = self.strings("files", self.take("files", dict, {}))
        for path, oid in files.items() if not _all_oids(files.values()) else ():
            if not _OID.match(oid):
                self.wrong("files", f"{oid!r} is no object id of git", path)
        return files

    def made_from(self) -> dict[str, dict[str, str]]:
        pages = self.take("made_from", dict, {})
        for page, sources in pages.items() if self.text is not None else ():
            if not isinstance(sources, dict) or not all(isinstance(v, str) for v in sources.values()):
                self.wrong("made_from", f"page {page!r} in 'made_from' is no table of strings", page)
        return dict(pages)

    def one_of(self, key: str, allowed: tuple[str, ...], default: str | None) -> Any:
        value = self.take(key, str, default)
        if value is not None and value not in allowed:
            self.wrong(key, f"{key!r} is {value!r}; it can be {', '.join(allowed)}")
        return value


_REMEDY = (
    "a recorded entry is never edited: put it back as it was (git restore); one that you are typing now: mend that line"
)


def _round(r: _Reading, shared: Taken) -> Entry:
    return Round(
        **shared, basis=r.strings("basis", r.take("basis", dict, {})), made_from=r.made_from(),
        dated=r.one_of("dated", ("stated",), None), stands=r.take("stands", str, None),
    )  # fmt: skip


def _lock(r: _Reading, shared: Taken) -> Entry:
    return Lock(
        **shared, scopes=r.names("scopes", SCOPES, needed=True), round=r.count("round"),
        approved_by=r.take("approved_by", str, None), how=r.take("how", str, None),
    )  # fmt: skip


def _slip(r: _Reading) -> Taken:
    return {
        "alteration_class": r.one_of("class", tuple(CLASSES), "AA"), "reason": r.take("reason", str, ""),
        "asked_by": r.take("asked_by", str, None), "scopes": r.names("scopes", SCOPES), "passes": r.names("passes"),
    }  # fmt: skip


def _handoff(r: _Reading, shared: Taken) -> Entry:
    return Handoff(
        **shared, pass_name=r.named_pass(None), to=r.take("to", str, ""), round=r.count("round"),
        returns=r.count("returns"), packet=r.take("packet", bool, False), delivery=r.count("delivery"),
    )  # fmt: skip


_KINDS: dict[str, Callable[[_Reading, Taken], Entry]] = {
    "pass": _round,
    "lock": _lock,
    "alteration": lambda r, shared: Alteration(**shared, **_slip(r)),
    "reopen": lambda r, shared: Reopen(**shared, **_slip(r)),
    "handoff": _handoff,
    "delivery": lambda r, shared: Delivery(**shared, passes=r.names("passes")),
}
