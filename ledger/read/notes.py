"""Notes rounds: a Markdown task list as a person types it, read to values (convention §5)."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

from ledger.model.finding import Finding
from ledger.model.note import Anchor, Note, NotesRound, Reply
from ledger.read import note_lines
from ledger.read.anchors import bracket_end, read_anchor
from ledger.read.note_blocks import BOX, Blocks, NoteBlock, read_blocks
from ledger.read.note_replies import read_reply, state_of

#: How to write an anchor, for those who wrote one that can't be read.
ANCHORS = 'places are written p12, p12.3, p24-25, ch 2, scene "...", "a phrase" or p12 @0.42,0.31'

#: How a file begins that an editor saved as UTF-16.
UTF16 = (b"\xff\xfe", b"\xfe\xff")

_NUMBER = re.compile(r"(?P<number>[0-9]{1,9})[.):]?(?:[ \t]+|\Z)")
_ON = re.compile(r"[`'\"(]*(?P<name>[\w.-]*\w)(?:[ \t]+#?(?P<number>[0-9]{1,6})\b)?")


def round_name(path: str) -> str | None:
    """`notes/marsh-1.md` is the round `marsh-1`; None for a file that is none."""
    folder, _, name = path.rpartition("/")
    stem = name.removesuffix(".md")
    return stem if folder == "notes" and stem not in ("", name) and stem.lower() != "readme" else None


def read_notes(path: str, data: bytes) -> NotesRound:
    """Reads one notes round. Never raises: what can't be read is a finding, and every other note is there."""
    name = round_name(path) or path.rpartition("/")[2].removesuffix(".md")
    if data.startswith(UTF16):
        whole = Finding("note-unread", "query", "this file is UTF-16, not UTF-8; no note in it was read", path, 1,
                        remedy="save it as UTF-8 (plain text)")  # fmt: skip
        return NotesRound(name, path, findings=(whole,))
    lines = note_lines.texts(note_lines.split_lines(data))
    blocks = read_blocks(lines)
    findings: list[Finding] = []
    notes = tuple(_note(name, path, block, findings) for block in blocks.notes)
    findings += [*_bad_bytes(path, lines), *_strays(path, blocks), *_twice(path, notes)]
    on = _on(blocks.fields.get("on", ""))
    return NotesRound(
        name, path, blocks.title, blocks.fields.get("from", ""), on,
        blocks.fields.get("date") or None, notes, tuple(sorted(findings, key=lambda f: (f.line or 0, f.rule))),
        blocks.field_lines["on"] + 1 if on else None,
    )  # fmt: skip


def _on(typed: str) -> str | None:
    """The round that `on:` names: `script-3`, also typed `script 3`."""
    found = _ON.match(typed)
    if found is None:
        return None
    return f"{found['name']}-{found['number']}" if found["number"] else found["name"]


def next_number(taken: Collection[int]) -> int:
    """The number after the highest; where that would be too long to read as one, the lowest free."""
    after = max(taken, default=0) + 1
    return after if after < 10**9 else next(n for n in range(1, len(taken) + 2) if n not in taken)


def with_numbers(notes: NotesRound) -> NotesRound:
    """The round with every note under the number it has, or will get when its file is next written to."""
    taken = {note.number for note in notes.notes if note.number is not None}
    numbered = []
    for note in notes.notes:
        number = next_number(taken) if note.number is None else note.number
        taken.add(number)
        numbered.append(note._replace(number=number))
    return notes._replace(notes=tuple(numbered))


def _note(name: str, path: str, block: NoteBlock, findings: list[Finding]) -> Note:
    number, rest = number_and_rest(block.words.rows[0])
    anchor, first, wrong = _anchored(rest)
    if wrong:
        findings.append(_unread(path, block.words.line, wrong, ANCHORS))
    replies = tuple(_replies(path, block, findings))
    rows = [note_lines.unescaped(row).rstrip(" \t") for row in (first, *block.words.rows[1:])]
    return Note(
        name, number, state_of(replies, block.ticked), "\n".join(rows).strip("\n"), anchor, path,
        block.words.line + 1, block.end + 1, block.ticked, replies,
    )  # fmt: skip


def number_and_rest(words: str) -> tuple[int | None, str]:
    """The number a note's first line begins with, and what follows it."""
    found = _NUMBER.match(words)
    return (int(found["number"]), words[found.end() :]) if found else (None, words)


def _anchored(rest: str) -> tuple[Anchor, str, str | None]:
    """The anchor in the first bracket, the words after it, and what is wrong with it in a sentence."""
    if not rest.startswith("("):
        return Anchor(), rest, None
    end = bracket_end(rest)
    if end is None:
        return Anchor(), rest, "the bracket of the place is not closed on its line"
    typed = rest[1:end].strip(" \t")
    anchor = read_anchor(typed)
    wrong = (
        None if anchor else f"({typed}) is no place that can be read" if typed else "the bracket of the place is empty"
    )
    return anchor or Anchor(typed), rest[end + 1 :].lstrip(" \t"), wrong


def _replies(path: str, block: NoteBlock, findings: list[Finding]) -> Iterator[Reply]:
    for words in block.replies:
        rows = [words.rows[0], *(note_lines.unescaped(row) for row in words.rows[1:])]
        reply, wrong = read_reply(rows, words.line + 1)
        if wrong:
            findings.append(_unread(path, words.line, wrong, "write 'done in script-4 at p30.2: what was done'"))
        yield reply


def _unread(path: str, line: int, message: str, remedy: str) -> Finding:
    return Finding("note-unread", "query", message, path, line + 1, remedy=remedy)


def _bad_bytes(path: str, lines: Sequence[str]) -> Iterator[Finding]:
    for at, text in enumerate(lines):
        if any("\udc80" <= sign <= "\udcff" for sign in text):
            yield _unread(path, at, "this line holds bytes that are no UTF-8; they are kept", "save the file as UTF-8")


def _strays(path: str, blocks: Blocks) -> Iterator[Finding]:
    for stray in blocks.strays:
        yield _unread(path, stray.line, stray.message, stray.remedy)
    first = blocks.notes[0].words.line if blocks.notes else -1
    for at in blocks.prose:
        if at > first:
            yield _unread(
                path, at, "these words belong to no note", f"{BOX}, or indent its further lines by two blanks"
            )
    if blocks.unclosed:
        span = blocks.unclosed
        yield _unread(path, span.start, f"this {span.kind} is never closed, so what follows holds no notes", "close it")


def _twice(path: str, notes: Sequence[Note]) -> Iterator[Finding]:
    seen: dict[int, Note] = {}
    for note in notes:
        if note.number is None:
            continue
        first = seen.setdefault(note.number, note)
        if first is not note:
            yield Finding(
                "note-number", "query", f"number {note.number} is used twice, on lines {first.line} and {note.line}",
                path, note.line, remedy="give the later note a number of its own",
            )  # fmt: skip
