"""A notes file as blocks: its header, its notes with their replies, and what belongs to no note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from ledger.read import note_lines as lines_of


@dataclass
class Words:
    """Words that go on over several lines: the first line and the lines below it, from 0 in the file."""

    line: int
    indent: int
    rows: list[str]
    end: int = 0
    empty: int = 0

    def go_on(self, at: int, row: str) -> None:
        """Takes another line in, with the empty ones before it."""
        self.rows += [""] * self.empty + [row]
        self.end, self.empty = at, 0


@dataclass
class NoteBlock:
    """A note: its words begin after the box; `inner` is the column where what belongs to it begins."""

    words: Words
    ticked: bool
    inner: int
    replies: list[Words] = field(default_factory=list)

    @property
    def end(self) -> int:
        """Its last line, from 0."""
        return max(self.words.end, *(reply.end for reply in self.replies), self.words.line)


@dataclass(frozen=True, slots=True)
class Stray:
    """A line that can't be read: why, and what to do."""

    line: int
    message: str
    remedy: str


@dataclass
class Blocks:
    """Everything in a file: title, header fields (name -> words), the line of each, notes, what can't be read."""

    title: str = ""
    fields: dict[str, str] = field(default_factory=dict)
    field_lines: dict[str, int] = field(default_factory=dict)
    notes: list[NoteBlock] = field(default_factory=list)
    strays: list[Stray] = field(default_factory=list)
    prose: list[int] = field(default_factory=list)
    unclosed: lines_of.Span | None = None


BOX = "begin a note with '- [ ] '"


def read_blocks(lines: Sequence[str]) -> Blocks:
    """Takes the lines of a file apart. Never raises."""
    return _Reader(lines).read()


class _Reader:
    """Goes through the lines once; `note` is the note that is open, `gap` whether an empty line came last."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines, self.found = lines, Blocks()
        self.note: NoteBlock | None = None
        self.gap = True
        self.in_prose = False

    def read(self) -> Blocks:
        at = 0
        while at < len(self.lines):
            at = self.step(at)
        return self.found

    def step(self, at: int) -> int:
        """Reads what begins on this line; gives the line after it."""
        text = self.lines[at]
        if lines_of.blank(text):
            self.pause()
        elif self.note is not None and lines_of.indent_of(text) >= self.note.inner:
            self.inside(self.note, at, text)
        elif span := lines_of.block_at(self.lines, at):
            self.note, self.gap, self.in_prose = None, True, False
            if not span.closed:
                self.found.unclosed = span
            return span.end + 1
        else:
            self.outside(at, text)
        return at + 1

    def pause(self) -> None:
        """An empty line."""
        self.gap, self.in_prose = True, False
        if self.note is not None:
            (self.note.replies[-1] if self.note.replies else self.note.words).empty += 1

    def inside(self, note: NoteBlock, at: int, text: str) -> None:
        """A line indented under a note: a reply, or more words of the note or of its last reply."""
        indent = lines_of.indent_of(text)
        last = note.replies[-1] if note.replies else None
        item = lines_of.bullet(text)
        if item is not None and (last is None or indent < last.indent + 2):
            note.replies.append(Words(at, indent, [item], at))
            if lines_of.nearly_note(text) or lines_of.note_parts(text):
                self.stray(
                    at,
                    "a note stands indented under another one and is taken for its reply",
                    "begin a note at the margin",
                )
        elif last is not None and (indent >= last.indent + 2 or not self.gap):
            last.go_on(at, lines_of.without_indent(text, last.indent + 2))
        else:
            note.words.empty += last.empty if last else 0
            if last:
                last.empty = 0
            note.words.go_on(at, lines_of.without_indent(text, note.inner))
        self.gap = False

    def outside(self, at: int, text: str) -> None:
        """A line at the margin: a note, a heading, a field, or words that stand alone."""
        parts = lines_of.note_parts(text)
        title = lines_of.heading(text)
        if lines_of.indent_of(text) > 3:
            self.deep(at, text)
            return
        if parts:
            self.open_note(at, text, parts["tick"], parts["words"] or "")
        elif title is not None:
            self.found.title = self.found.title or title
            self.note = None
        elif lines_of.is_rule(text):
            self.note = None
        elif not self.field(at, text):
            self.words(at, text)
            return
        self.gap = self.in_prose = False

    def deep(self, at: int, text: str) -> None:
        """A line too deep for a note: it goes on with the words above it, or it is code (CommonMark 4.4)."""
        if self.note is not None and not self.gap:
            (self.note.replies[-1] if self.note.replies else self.note.words).go_on(at, text.strip(" \t"))
        elif not self.in_prose:
            self.note, self.gap = None, True

    def open_note(self, at: int, text: str, tick: str, words: str) -> None:
        inner = lines_of.indent_of(text) + 2
        self.note = NoteBlock(Words(at, inner, [words], at), tick in ("x", "X"), inner)
        self.found.notes.append(self.note)

    def field(self, at: int, text: str) -> bool:
        """Takes a header field: they stand before the first note."""
        named = None if self.found.notes else lines_of.field(text)
        if named is None or (self.in_prose and named[0] not in ("from", "on", "date", "read")):
            return False
        self.found.fields.setdefault(named[0], named[1])
        self.found.field_lines.setdefault(named[0], at)
        return True

    def words(self, at: int, text: str) -> None:
        """Words at the margin: a note meant but not written as one, a line that goes on, or prose."""
        if lines_of.nearly_note(text):
            self.note = None
            self.stray(at, "this looks like a note but is not written as one", BOX)
        elif lines_of.bullet(text) is not None:
            self.note = None
            self.stray(at, "a list item without a box is no note", BOX)
        elif self.note is not None and not self.gap and not lines_of.is_numbered(text):
            (self.note.replies[-1] if self.note.replies else self.note.words).go_on(at, text.strip(" \t"))
        else:
            self.note = None
            if not self.in_prose:
                self.found.prose.append(at)
            self.in_prose, self.gap = True, False
            return
        self.gap = self.in_prose = False

    def stray(self, at: int, message: str, remedy: str) -> None:
        self.found.strays.append(Stray(at, message, remedy))
