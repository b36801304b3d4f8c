"""Edits of a notes file, bytes to bytes and line by line: every other byte stays as it was."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from ledger.model.errors import Refusal
from ledger.model.note import Note, Reply
from ledger.read import note_lines
from ledger.read.note_blocks import NoteBlock, read_blocks
from ledger.read.notes import UTF16, next_number, number_and_rest, read_notes

#: States that the tick mirrors: it is set for these and taken away for the others.
TICKED = ("done", "stet", "declined")

_END = re.compile(rb"(?:\r\n|\n|\r)\Z")


def new_round(title: str, *, reader: str = "", on: str = "", date: str = "", read: str = "") -> bytes:
    """A notes file without notes: heading and header fields, those that are empty left out."""
    rows = [f"# {_one_row(title)}"]
    fields = (("from", reader), ("on", on), ("date", date), ("read", read))
    rows += [f"{name}: {_one_row(words)}" for name, words in fields if words]
    return _bytes("\n".join(rows) + "\n\n")


def number_notes(data: bytes) -> bytes:
    """Gives every note typed without a number the next one; those that have one keep it."""
    lines = note_lines.split_lines(data)
    notes = read_blocks(note_lines.texts(lines)).notes
    taken = _numbers(notes)
    for note in notes:
        if number_and_rest(note.words.rows[0])[0] is None:
            taken.append(next_number(taken))
            lines[note.words.line] = _numbered(lines[note.words.line], taken[-1])
    return b"".join(lines)


def _numbers(notes: Sequence[NoteBlock]) -> list[int]:
    return [n for note in notes if (n := number_and_rest(note.words.rows[0])[0]) is not None]


def _numbered(raw: bytes, number: int) -> bytes:
    """A note's first line with a number put in after the box."""
    box = raw.index(b"]") + 1
    rest = raw[box:]
    gap = rest[: len(rest) - len(rest.lstrip(b" \t"))] or b" "
    words = rest.lstrip(b" \t")
    if not words.strip(b"\r\n"):
        return raw[:box] + b" %d" % number + rest
    return raw[:box] + gap + b"%d " % number + words


def add_note(data: bytes, text: str, *, anchor: str = "") -> tuple[bytes, int]:
    """Puts a note in after the last one; gives the new bytes and the note's number.

    Notes typed without a number are numbered first. `anchor` is the words between the brackets, in the
    notes' own spelling; `text` may have several lines. Raises Refusal where the file can't take a note.
    """
    written, numbers = add_notes(data, [Fresh(text, anchor)])
    return written, numbers[0]


class Fresh(NamedTuple):
    """A note to be put in: its words, its anchor in the notes' own spelling, whether it is ticked, its replies."""

    text: str
    anchor: str = ""
    replies: Sequence[Reply] = ()
    ticked: bool = False


def add_notes(data: bytes, fresh: Sequence[Fresh]) -> tuple[bytes, list[int]]:
    """Puts several notes in after the last one, as `add_note` does; gives the new bytes and their numbers."""
    numbered = number_notes(_utf8(data))
    lines = note_lines.split_lines(numbered)
    notes = read_blocks(note_lines.texts(lines)).notes
    taken = set(_numbers(notes))
    margin = _margin(lines, notes)
    numbers: list[int] = []
    rows: list[str] = []
    number = max(taken, default=0)
    for note in fresh:
        number = number + 1 if number + 1 < 10**9 else next_number(taken)
        taken.add(number)
        numbers.append(number)
        rows += _note_rows(note, number, margin)
    at = notes[-1].end + 1 if notes else len(lines)
    if not notes and lines and _END.sub(b"", lines[-1]).strip(b" \t"):
        rows = ["", *rows]
    written = _with_rows(lines, at, rows)
    _hold(numbered, written, numbers)
    return written, numbers


def _note_rows(note: Fresh, number: int, margin: str) -> list[str]:
    first, *others = _rows(note.text)
    place = f"({note.anchor}) " if note.anchor else ""
    box = "x" if note.ticked else " "
    rows = [f"{margin}- [{box}] {number} {place}{note_lines.escaped(first)}", *_further(others, margin + "  ")]
    for reply in note.replies:
        rows += _reply_rows(reply, margin + "  ")
    return rows


def add_replies(data: bytes, replies: Sequence[tuple[int, Reply]]) -> bytes:
    """Puts replies that are no states under notes, each by the note's number; ticks stay as they are."""
    lines = note_lines.split_lines(_utf8(data))
    blocks = {number_and_rest(block.words.rows[0])[0]: block for block in read_blocks(note_lines.texts(lines)).notes}
    under: dict[int, list[Reply]] = {}
    for number, reply in replies:
        under.setdefault(number, []).append(reply)
    whole = [(block, under[n]) for n, block in blocks.items() if n is not None and n in under]
    pieces: list[bytes] = []
    end = len(lines)
    for block, said in sorted(whole, key=lambda each: -each[0].end):
        indent = _reply_indent(lines, block)
        rows = [row for reply in said for row in _reply_rows(reply, indent)]
        part = lines[block.words.line : end]
        pieces.append(_with_rows(part, block.end + 1 - block.words.line, rows))
        end = block.words.line
    written = b"".join([*lines[:end], *reversed(pieces)])
    _hold(data, written, [])
    return written


def _utf8(data: bytes) -> bytes:
    """The bytes of a file that a line of UTF-8 can be put into. Raises Refusal."""
    if data.startswith(UTF16):
        raise Refusal("this notes file is UTF-16, not UTF-8", remedy="save it as UTF-8 (plain text) first")
    return data


def _margin(lines: Sequence[bytes], notes: Sequence[NoteBlock]) -> str:
    """The blanks before the last note's list sign: a new note stands in line with it."""
    if not notes:
        return ""
    text = note_lines.line_text(lines[notes[-1].words.line], first=not notes[-1].words.line)
    return " " * note_lines.indent_of(text)


def add_reply(data: bytes, number: int, reply: Reply, *, line: int | None = None) -> bytes:
    """Puts a reply under a note and makes the tick mirror it; notes without a number are numbered first.

    `number` is the note's, `line` (from 1) tells two notes with one number apart. Raises Refusal where
    no such note is there.
    """
    numbered = number_notes(_utf8(data))
    lines = note_lines.split_lines(numbered)
    block = _block(read_blocks(note_lines.texts(lines)).notes, number, line)
    indent = _reply_indent(lines, block)
    rows = _reply_rows(reply, indent)
    lines[block.words.line] = _ticked(lines[block.words.line], reply.state)
    written = _with_rows(lines, block.end + 1, rows)
    _hold(numbered, written, [])
    return written


def _reply_rows(reply: Reply, indent: str) -> list[str]:
    """A reply as it is typed; one without a state is plain words."""
    first, *others = _rows(reply.text)
    head = " ".join(filter(None, (reply.state, reply_link(reply), f"at {reply.at.typed}" if reply.at else "")))
    row = f"{head}: {first}" if head else first
    return [f"{indent}- {row}".rstrip(" "), *_further(others, indent + "  ")]


def reply_link(reply: Reply) -> str:
    """`in script-4`, or `to inks` for what was carried; "" where nothing is named."""
    if not reply.where:
        return ""
    return f"{'to' if reply.state == 'carried' else 'in'} {reply.where}"


def _block(notes: Sequence[NoteBlock], number: int, line: int | None) -> NoteBlock:
    for note in notes:
        if number_and_rest(note.words.rows[0])[0] == number and line in (None, note.words.line + 1):
            return note
    raise Refusal(
        f"there is no note with number {number}", remedy="see the notes and their numbers: inkledger notes list"
    )


def _reply_indent(lines: Sequence[bytes], block: NoteBlock) -> str:
    """The blanks or tabs before the note's last reply; two columns more than the note has where there is none."""
    if not block.replies:
        return " " * block.inner
    text = note_lines.line_text(lines[block.replies[-1].line])
    return text[: len(text) - len(text.lstrip(" \t"))]


def _ticked(raw: bytes, state: str) -> bytes:
    """The line with its box ticked or not, as the state asks; a reply that is no state but an answer leaves it."""
    if state in ("seen", "mark", ""):
        return raw
    opening, closing = raw.index(b"[") + 1, raw.index(b"]")
    tick = raw[opening:closing]
    if (tick in (b"x", b"X")) == (state in TICKED):
        return raw
    return raw[:opening] + (b"x" if state in TICKED else b" ") + raw[closing:]


def _further(rows: Sequence[str], indent: str) -> list[str]:
    """Further lines of a text: indented, an empty line empty, what would read as something else escaped."""
    return [indent + note_lines.escaped(row) if row else "" for row in rows]


def _rows(text: str) -> list[str]:
    """A text's lines without blanks at their ends, and without empty lines around them."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    rows = [row.rstrip(" \t") for row in plain.split("\n")]
    while len(rows) > 1 and not rows[0]:
        del rows[0]
    while len(rows) > 1 and not rows[-1]:
        del rows[-1]
    return [rows[0].lstrip(" \t"), *rows[1:]]


def _with_rows(lines: list[bytes], at: int, rows: Sequence[str]) -> bytes:
    """The file with rows put in before line `at`, ended as the file's own lines are."""
    before, after = lines[:at], lines[at:]
    end = _line_end(before, after)
    put = end.join(map(_bytes, rows))
    if before and not _END.search(before[-1]):
        return b"".join(before) + end + put
    return b"".join(before) + put + end + b"".join(after)


def _line_end(before: Sequence[bytes], after: Sequence[bytes]) -> bytes:
    """The end of the line above, else of the nearest line that has one; LF in a file of one line."""
    for raw in (*reversed(before), *after):
        found = _END.search(raw)
        if found:
            return found.group()
    return b"\n"


def _hold(before: bytes, after: bytes, numbers: Sequence[int]) -> None:
    """Raises Refusal where the written file does not read as it should: nothing of the old hidden, the new there."""
    old, new = read_notes("notes/x.md", before).notes, read_notes("notes/x.md", after).notes
    known = [_telling(note) for note in old]
    found = [_telling(note) for note in new]
    if found[: len(known)] != known or [note.number for note in new[len(known) :]] != list(numbers):
        raise Refusal(
            "this notes file can't take another line where it belongs",
            remedy="look for a comment or a code block in it that is never closed",
        )


def _telling(note: Note) -> tuple[int | None, str, str]:
    return note.number, note.anchor.typed, note.text


def _one_row(words: str) -> str:
    return " ".join(words.split())


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogateescape")
