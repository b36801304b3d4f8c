"""The lines of a notes file: where they end, how deep they stand, what each of them is taken for by itself."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

BOM = "\ufeff"

_LINE = re.compile(rb"[^\r\n]*(?:\r\n|\n|\r)|[^\r\n]+\Z")
_NOTE = re.compile(
    r"(?P<before>[ \t]*[-*+][ \t]+\[)(?P<tick>[ xX]?)\](?:(?P<gap>[ \t]+)(?P<words>.*)|[ \t]*)\Z", re.DOTALL
)
_NEARLY = re.compile(r"[ \t]*(?:[-*+\u2022\u2013\u2014]|[0-9]{1,9}[.)])?[ \t]*\[(?:.?|[ xX]{2,3})\](?!\()", re.DOTALL)
_BULLET = re.compile(r"[ \t]*(?P<sign>[-*+])(?:[ \t]+(?P<words>.*)|)\Z", re.DOTALL)
_HEADING = re.compile(r" {0,3}#{1,6}(?=[ \t]|\Z)")
_RULE = re.compile(r" {0,3}(?:(?:-[ \t]*){3,}|(?:\*[ \t]*){3,}|(?:_[ \t]*){3,}|=+[ \t]*)\Z")
_FIELD = re.compile(r"(?P<name>[A-Za-z][A-Za-z -]{0,20}?)[ \t]*:(?:[ \t]+(?P<words>.*))?\Z", re.DOTALL)
_FENCE = re.compile(r" {0,3}(?P<fence>`{3,}(?=[^`]*\Z)|~{3,})", re.DOTALL)
_NUMBERED = re.compile(r"[ \t]*[0-9]{1,9}[.)](?:[ \t]|\Z)")
#: What makes a line something else than words when it stands first on it.
_TELLING = re.compile(
    r"[-*+#(\[<>`~=|\u2022\u2013\u2014]|[0-9]{1,9}[.)]?(?:[ \t:]|\Z)|[A-Za-z][A-Za-z -]{0,20}?[ \t]*:"
)


@dataclass(frozen=True, slots=True)
class Span:
    """A top-level block that holds no notes: a comment or a code block, `end` its last line (both from 0)."""

    start: int
    end: int
    kind: str
    closed: bool = True


def split_lines(data: bytes) -> list[bytes]:
    """The lines with their ends; a line ends only at CR LF, LF or CR."""
    return _LINE.findall(data)


def line_text(raw: bytes, first: bool = False) -> str:
    """The words of a line without its end (and, on the first, without BOM); bytes that are no UTF-8 are kept."""
    text = raw.rstrip(b"\r\n").decode("utf-8", "surrogateescape")
    return text.removeprefix(BOM) if first else text


def texts(lines: Sequence[bytes]) -> list[str]:
    """The words of every line."""
    return [line_text(raw, first=not at) for at, raw in enumerate(lines)]


def indent_of(text: str) -> int:
    """How many columns a line is indented; a tab goes on to the next multiple of four (CommonMark 2.2)."""
    width = 0
    for sign in text:
        if sign == "\t":
            width += 4 - width % 4
        elif sign == " ":
            width += 1
        else:
            break
    return width


def without_indent(text: str, columns: int) -> str:
    """The line without so many columns of its indent; what a tab leaves over comes back as blanks."""
    width = at = 0
    while at < len(text) and text[at] in " \t" and width < columns:
        width += 4 - width % 4 if text[at] == "\t" else 1
        at += 1
    return " " * max(0, width - columns) + text[at:]


def blank(text: str) -> bool:
    """Whether nothing stands on the line."""
    return not text.strip(" \t")


def note_parts(text: str) -> re.Match[str] | None:
    """A note's first line: groups `before` (up to the box), `tick`, `gap`, `words`."""
    return _NOTE.match(text)


def nearly_note(text: str) -> bool:
    """Whether somebody meant a note here: a box, but not written as one is."""
    return bool(_NEARLY.match(text)) and not _NOTE.match(text)


def bullet(text: str) -> str | None:
    """The words of a list item; None where it is none. A rule (`---`) is none."""
    found = _BULLET.match(text)
    return None if found is None or _RULE.match(text.strip(" \t")) else found["words"] or ""


def heading(text: str) -> str | None:
    """The words of a heading; None where it is none."""
    found = _HEADING.match(text)
    if found is None:
        return None
    words = text[found.end() :].strip(" \t")
    bare = words.rstrip("#")
    return bare.rstrip(" \t") if not bare or bare[-1] in " \t" else words


def is_rule(text: str) -> bool:
    """A line drawn across: `---`, `***`, or the underline of a heading."""
    return bool(_RULE.match(text))


def is_numbered(text: str) -> bool:
    """An item of a numbered list: `1. words`."""
    return bool(_NUMBERED.match(text))


def field(text: str) -> tuple[str, str] | None:
    """`from: E. Marsh` as name (small letters) and words."""
    found = _FIELD.match(text.strip(" \t"))
    return None if found is None else (found["name"].lower(), (found["words"] or "").strip(" \t"))


def block_at(lines: Sequence[str], start: int) -> Span | None:
    """The comment or fenced code block that begins on this line (CommonMark 4.5, 4.6); None where none does.

    One that is never closed goes on to the end of the file.
    """
    text = lines[start]
    if indent_of(text) < 4 and text.lstrip(" ").startswith("<!--"):
        return _until(lines, start, start, "comment", re.compile(r".*-->", re.DOTALL))
    found = _FENCE.match(text)
    if not found:
        return None
    sign, length = found["fence"][0], len(found["fence"])
    return _until(lines, start, start + 1, "code block", re.compile(rf" {{0,3}}{sign}{{{length},}}[ \t]*\Z"))


def _until(lines: Sequence[str], start: int, first: int, kind: str, closing: re.Pattern[str]) -> Span:
    for at in range(first, len(lines)):
        if closing.match(lines[at]):
            return Span(start, at, kind)
    return Span(start, len(lines) - 1, kind, closed=False)


def escaped(line: str) -> str:
    """A line of words with a backslash in front where it would read as something else."""
    return f"\\{line}" if line.startswith("\\") or _TELLING.match(line.lstrip(" \t")) else line


def unescaped(line: str) -> str:
    """The words of such a line: the backslash goes away where it kept the line from reading as something else."""
    if not line.startswith("\\"):
        return line
    rest = line[1:]
    return rest if rest.startswith("\\") or _TELLING.match(rest.lstrip(" \t")) else line
