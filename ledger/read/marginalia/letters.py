"""Mail, plain text and saved rounds, bytes to notes."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.model.coming_in import Left, NoteIn, NotesIn
from ledger.model.errors import Refusal
from ledger.model.note import Note, NotesRound
from ledger.read import note_lines
from ledger.read.marginalia.courtesies import is_courtesy
from ledger.read.marginalia.mail import Mail, is_mail, read_mail
from ledger.read.marginalia.placed_rows import IsPlace, placed_notes
from ledger.read.marginalia.plain import one_row, plain
from ledger.read.marginalia.quoting import own_words
from ledger.read.note_blocks import read_blocks
from ledger.read.notes import read_notes
from ledger.read.typed_text import decoded

#: More plain text than this is no notes (own choice: notes on every panel of a long book take less than 1 MiB).
MOST_TEXT = 16 << 20
#: Where more than one sign in so many is a control character it is no text.
_CONTROLS = 10


def read_letter(source: str, data: bytes, is_place: IsPlace, *, greetings: bool = True) -> NotesIn:
    """The notes of a mail, a plain text or a saved round, whichever it is. Raises Refusal where it is none of them.

    Without `greetings` a greeting or sign-off that stands alone beside notes is left out; either way it is told.
    """
    if source.lower().endswith(".eml") or (is_mail(data) and not _is_round(data)):
        mail = read_mail(source, data)
        return _of_rows(source, mail, is_place, "mail", greetings=greetings)
    if len(data) > MOST_TEXT:
        raise Refusal(f"it is larger than {MOST_TEXT >> 20} MiB, as no notes are", path=source,
                      remedy="save the notes alone as plain text")  # fmt: skip
    text, findings = decoded(source, data)
    if findings and not text:
        raise Refusal(findings[0].message, path=source, line=1, remedy="save it as plain text in UTF-8, or as .eml")
    clean = plain(text)
    shown = clean.count("\ufffd") - text.count("\ufffd")
    if shown > 20 and shown > len(clean) // _CONTROLS:
        raise Refusal("this file is no text: it is full of control characters", path=source, line=1,
                      remedy="save the notes as plain text in UTF-8, or as .eml")  # fmt: skip
    own = own_words(clean.split("\n"))
    left = [
        Left(kind, n) for kind, n in (("quoted", own.quoted), ("signature", own.signature), ("control", shown)) if n
    ]
    if findings:
        left.append(Left("encoding", name=findings[0].message))
    mail = Mail(own.rows, own.author.partition("<")[0].strip(), "", left)
    return _of_rows(source, mail, is_place, "text", greetings=greetings)


def _is_round(data: bytes) -> bool:
    """Whether it is a saved round that begins with its fields, as a mail does: it has notes, and says on what."""
    blocks = read_blocks(plain(data[: 1 << 16].decode("utf-8", "replace")).split("\n"))
    return bool(blocks.notes) and "on" in blocks.fields


def _of_rows(source: str, mail: Mail, is_place: IsPlace, kind: str, *, greetings: bool) -> NotesIn:
    """The notes that rows say: those of a round that stands in them, else those that begin with a place."""
    rows = [row.replace("\0", "\ufffd") for row in mail.rows]
    if any(note_lines.note_parts(row) and note_lines.indent_of(row) < 4 for row in rows):
        return _of_round(source, mail, rows, kind, greetings=greetings)
    left = list(mail.left)
    found = placed_notes(rows, is_place)
    if len(found) > 1 and not found[-1].place and is_courtesy(found[-1].rows, mail.author):
        left.append(_courtesy(found[-1].rows, taken=greetings))
        found = found if greetings else found[:-1]
    notes = [NoteIn("\n".join(n.rows), n.place, mail.author, mail.date, kind, where=n.place) for n in found]
    return NotesIn(source, tuple(notes), tuple(left))


def _courtesy(rows: Sequence[str], *, taken: bool) -> Left:
    """Greeting and sign-off, with all their words, that were taken for a note or left out."""
    return Left("greeting" if taken else "courtesy", sum(bool(row.strip()) for row in rows), one_row("\n".join(rows)))


def _of_round(source: str, mail: Mail, rows: Sequence[str], kind: str, *, greetings: bool) -> NotesIn:
    """The notes of a round, and what stands around it as a note on the whole book."""
    read = read_notes(source, "\n".join(rows).encode("utf-8", "surrogateescape"))
    blocks = read_blocks(rows)
    author = one_row(read.reader) or mail.author
    date = _day(read) or mail.date
    taken = [_note(note, author, date) for note in read.notes]
    rest = [row for at, row in enumerate(rows) if _stands_alone(row, at, read, set(blocks.field_lines.values()))]
    left = list(mail.left)
    courtesy = bool(taken) and is_courtesy(rest, author)
    if courtesy:
        left.append(_courtesy(rest, taken=greetings))
    if any(row.strip() for row in rest) and (greetings or not courtesy):
        taken.append(NoteIn("\n".join(rest).strip("\n"), "", author, date, kind))
    return NotesIn(source, tuple(taken), tuple(left), read.on or "", one_row(blocks.fields.get("read", "")))


def _day(read: NotesRound) -> str:
    typed = (read.date or "")[:10]
    return typed if len(typed) == 10 and typed[4] == typed[7] == "-" else ""


def _note(note: Note, author: str, date: str) -> NoteIn:
    """A note of a saved round. It is known by its place and words alone: a round saved again has another date."""
    mark = next((reply for reply in note.replies if reply.state == "mark"), None)
    name = mark.text.rpartition(", ")[2] if mark else ""
    return NoteIn(
        note.text, note.anchor.typed, author, date, "round", name, note.anchor.typed,
        tuple(reply for reply in note.replies if reply.state != "mark"), note.ticked,
    )  # fmt: skip


def _stands_alone(row: str, at: int, read: NotesRound, fields: set[int]) -> bool:
    """Whether a row belongs to no note, and is neither the title nor a field of the round."""
    if at in fields or any(note.line - 1 <= at < note.end_line for note in read.notes):
        return False
    title = note_lines.heading(row)
    return not (title is not None and title == read.title) and not note_lines.is_rule(row)
