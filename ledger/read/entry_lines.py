"""The layout in which entries are written, read line by line: a long ledger has many lines of one simple form."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Any

_SAID = r'"[^"\\\x00-\x1f\x7f]*"'
_STRING = r'"([^"\\\x00-\x1f\x7f]*)"'
_INLINE = rf"((?:[a-z0-9-]+ = {_SAID}(?:, [a-z0-9-]+ = {_SAID})*)?)"
_PAIR = re.compile(rf"{_STRING} = {_STRING}")
_FILES = re.compile(rf"(?:{_STRING} = {_STRING}\n)*")
_ORIGIN = re.compile(rf"{_STRING} = \{{ {_INLINE} \}}\n")
_ORIGINS = re.compile(rf"(?:{_SAID} = \{{ {_INLINE} \}}\n)*")
_TOP = re.compile(
    rf"([a-z_]+) *= (?:{_STRING}|([1-9][0-9]{{0,8}})|(true|false)"
    rf"|(\d\d\d\d-\d\d-\d\d(?:T\d\d:\d\d:\d\d(?:\.\d{{6}})?[+-]\d\d:[0-5]\d)?)"
    rf"|\[((?:{_SAID}(?:, {_SAID})*)?)\]|\{{ {_INLINE} \}})"
)
_ITEM = re.compile(_STRING)
_KEY = re.compile(r"[a-z0-9-]+")
_PLAIN = bytes((10, *range(32, 127)))


def read_plain_layout(data: bytes) -> dict[str, Any] | None:
    """The values of an entry in the written layout, as a TOML parser would give them; None where any line differs."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return None
    top, _, tail = text.partition("\n[files]\n")
    files, _, origins = tail.partition("\n[made_from]\n")
    table = _top_lines(top)
    if table is None:
        return None
    if tail or text.endswith("\n[files]\n"):
        pairs = _pairs(files)
        if pairs is None:
            return None
        table["files"] = pairs
    if origins:
        made = _origins(origins)
        if made is None:
            return None
        table["made_from"] = made
    return table


def _top_lines(text: str) -> dict[str, Any] | None:
    table: dict[str, Any] = {}
    for line in text.removesuffix("\n").split("\n"):
        found = _TOP.fullmatch(line)
        if not found or found[1] in table:
            return None
        try:
            table[found[1]] = _value(found)
        except ValueError:
            return None
    return table


def _value(found: re.Match[str]) -> Any:
    _, string, number, truth, day, listed, inline = found.groups()
    if string is not None:
        return string
    if number is not None:
        return int(number)
    if truth is not None:
        return truth == "true"
    if day is not None:
        return datetime.fromisoformat(day) if "T" in day else date.fromisoformat(day)
    if listed is not None:
        return _ITEM.findall(listed)
    return _inner(inline)


def _inner(text: str) -> dict[str, str]:
    """`key = "value", key = "value"`, known to be well formed."""
    parts = text.split('"')
    if len(parts) == 3:
        return {parts[0][:-3]: parts[1]}
    table = dict(zip([key.strip(" ,=") for key in parts[:-1:2]], parts[1::2], strict=True))
    if 2 * len(table) + 1 != len(parts):
        raise ValueError("a key stands twice")
    return table


def _pairs(text: str) -> dict[str, str] | None:
    """The lines `"path" = "object id"` of a block."""
    text = text if text.endswith("\n") or not text else text + "\n"
    parts = _cut(text, 4)
    if parts and set(parts[2::4]) == {" = "} and set(parts[4::4]) == {"\n"}:
        table = dict(zip(parts[1::4], parts[3::4], strict=True))
        return table if 4 * len(table) + 1 == len(parts) else None
    if not _FILES.fullmatch(text):
        return None
    found = _PAIR.findall(text)
    table = dict(found)
    return table if len(table) == len(found) else None


def _origins(text: str) -> dict[str, dict[str, str]] | None:
    text = text if text.endswith("\n") else text + "\n"
    alike = _alike(text)
    if alike is not None:
        return alike
    if not _ORIGINS.fullmatch(text):
        return None
    found = _ORIGIN.findall(text)
    try:
        table = {page: _inner(said) for page, said in found}
    except ValueError:
        return None
    return table if len(table) == len(found) else None


def _cut(text: str, step: int) -> list[str] | None:
    """A block of lines of so many quotes cut at them, words at odd places; None where a sign needs a closer look."""
    if "\\" in text or not text.startswith('"') or not _is_printable(text):
        return None
    parts = text.split('"')
    return parts if len(parts) == step * text.count("\n") + 1 else None


def _is_printable(text: str) -> bool:
    """Whether nothing but line ends is no printable sign; of plain signs that takes a third of the time."""
    return not text.encode().translate(None, _PLAIN) if text.isascii() else text.replace("\n", "").isprintable()


def _alike(text: str) -> dict[str, dict[str, str]] | None:
    """Lines `"page" = { pass = "content", ... }` that all name the same passes; None for any others.

    What stands between the quotes is then the same on every line, and so known from the first.
    """
    line = text.partition("\n")[0].split('"')
    step = len(line) - 1
    keys = [line[2].removeprefix(" = { ")[:-3], *(each[2:-3] for each in line[4:-1:2])] if step > 3 else []
    parts = _cut(text, step) if all(map(_KEY.fullmatch, keys)) and len(set(keys)) == len(keys) else None
    if not parts or not keys:
        return None
    said = [f" = {{ {keys[0]} = ", *(f", {key} = " for key in keys[1:]), " }\n"]
    if any(set(parts[2 * n + 2 :: step]) != {between} for n, between in enumerate(said)):
        return None
    pages = parts[1::step]
    columns = [parts[2 * n + 3 :: step] for n in range(len(keys))]
    table = dict(zip(pages, _rows(keys, columns), strict=True))
    return table if len(table) == len(pages) else None


def _rows(keys: list[str], columns: list[list[str]]) -> list[dict[str, str]]:
    """A row a line. Most pages are made from one or two passes, and a row written out takes a third of the time."""
    if len(keys) == 1:
        (key,) = keys
        return [{key: value} for value in columns[0]]
    if len(keys) == 2:
        first, second = keys
        return [{first: one, second: two} for one, two in zip(*columns, strict=True)]
    return [dict(zip(keys, row, strict=True)) for row in zip(*columns, strict=True)]
