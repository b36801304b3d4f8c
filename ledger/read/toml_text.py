"""TOML as it was typed: values by the parser, places of keys by a scan of the text."""

from __future__ import annotations

import re
from typing import Any

from ledger.model.errors import Refusal

KeyPath = tuple[str | int, ...]

_PART = r"(?:\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*'|[A-Za-z0-9_-]+)"
_KEY = re.compile(rf"[ \t]*({_PART}(?:[ \t]*\.[ \t]*{_PART})*)[ \t]*=")
_HEADER = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_PART}(?:[ \t]*\.[ \t]*{_PART})*)[ \t]*\]")
#: A piece of a value: strings and comments whole, then brackets, line ends and everything else sign by sign.
_PIECE = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|#[^\n]*|[\[{]|[\]}]|\n|[^"\'#\[\]{}\n]+',
    re.DOTALL,
)
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")


def load_toml(data: bytes, path: str) -> tuple[dict[str, Any], str]:
    """The values of a TOML file and its text; a leading byte order mark is no part of it.

    Raises Refusal with file and line where it is no UTF-8 or no TOML.
    """
    import tomllib

    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        raise Refusal("this file is not written in UTF-8", path=path, line=line,
                      remedy="save it again as UTF-8") from fault  # fmt: skip
    try:
        return tomllib.loads(text), text
    except (ValueError, RecursionError) as fault:
        raise Refusal(_sentence(fault), path=path, line=_line_of(fault, text),
                      remedy="mend that line; a string stands in quotes, a list in [ ]") from fault  # fmt: skip


def _sentence(fault: Exception) -> str:
    if isinstance(fault, RecursionError):
        return "this is no readable TOML: brackets are nested too deep"
    said = _PLACE.sub("", str(fault)).strip()
    return f"this is no readable TOML: {said[:1].lower()}{said[1:]}"


def _line_of(fault: Exception, text: str) -> int | None:
    found = _PLACE.search(str(fault))
    if not found:
        return None
    return int(found[1]) if found[1] else text.rstrip("\n").count("\n") + 1


def line_of_key(text: str, wanted: KeyPath) -> int | None:
    """The line, from 1, on which a key stands, or else the nearest table that holds it; None where there is none.

    Tables of an array are counted: `("pass", 1, "from")` is the key `from` of the second `[[pass]]`.
    """
    places = _places(text)
    while wanted:
        if wanted in places:
            return places[wanted]
        wanted = wanted[:-1]
    return None


def _places(text: str) -> dict[KeyPath, int]:
    """Key path -> line, for every table header and every key outside inline tables.

    A table that no header of its own opens stands where it is first named: `a` on the line of `[a.b]`.
    """
    text = text.replace("\r\n", "\n")
    places: dict[KeyPath, int] = {}
    named: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    at = 0
    while at < len(text):
        line = text.count("\n", 0, at) + 1
        if header := _HEADER.match(text, at):
            table = _opened(header, counts)
            places.setdefault(table, line)
            _name_above(table, line, named)
            at = _after_value(text, header.end() + len(header[1]) - 1)
        elif key := _KEY.match(text, at):
            path = table + tuple(_parts(key[1]))
            places.setdefault(path, line)
            _name_above(path, line, named)
            at = _after_value(text, key.end())
        else:
            at = text.find("\n", at) + 1 or len(text)
    return named | places


def _name_above(path: KeyPath, line: int, named: dict[KeyPath, int]) -> None:
    for length in range(1, len(path)):
        named.setdefault(path[:length], line)


def end_of_table(text: str, wanted: KeyPath) -> int | None:
    """Where a line more of a table belongs: after its last key, else after its header; None where there is no header.

    Gives an offset into the text as it is, whatever its line ends.
    """
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    at, end = 0, None
    while at < len(text):
        if header := _HEADER.match(text, at):
            table = _opened(header, counts)
            at = _after_value(text, header.end() + len(header[1]) - 1)
            end = at if table == wanted else end
        elif key := _KEY.match(text, at):
            at = _after_value(text, key.end())
            end = at if table == wanted else end
        else:
            at = text.find("\n", at) + 1 or len(text)
    return end


def _opened(header: re.Match[str], counts: dict[KeyPath, int]) -> KeyPath:
    """The path of the table that a header opens."""
    path: KeyPath = ()
    names = _parts(header[2])
    for index, name in enumerate(names):
        path = (*path, name)
        if header[1] == "[[" and index == len(names) - 1:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _after_value(text: str, at: int) -> int:
    """Where the next statement begins: after the line end that closes a value."""
    depth = 0
    while at < len(text):
        piece = _PIECE.match(text, at)
        if piece is None:
            at += 1
            continue
        at = piece.end()
        if piece[0] == "\n" and depth <= 0:
            return at
        depth += (piece[0] in "[{") - (piece[0] in "]}")
    return at


def _parts(key: str) -> list[str]:
    return [_plain(part) for part in re.findall(_PART, key)]


def _plain(part: str) -> str:
    if part[0] == "'":
        return part[1:-1]
    if part[0] != '"':
        return part
    import tomllib

    return str(tomllib.loads(f"key = {part}")["key"])
