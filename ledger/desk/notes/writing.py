"""`notes add` and `notes answer`: a line put into a notes file, nothing else touched, nothing recorded."""

from __future__ import annotations

import difflib
import re
from datetime import date
from pathlib import Path

from ledger.desk.notes.gathered import BookShelf, followed_notes
from ledger.desk.numbers import newest_round, rounds_of
from ledger.desk.opening import OpenBook, open_book
from ledger.gitedge.placing import put_files
from ledger.gitedge.repository import committer
from ledger.judge.notes.evidence import RESTING
from ledger.model.entry import Round
from ledger.model.errors import Refusal
from ledger.model.note import Anchor, Followed, Note, NotesRound, Reply
from ledger.model.outcome import Outcome
from ledger.read.anchors import read_anchor
from ledger.read.notes import ANCHORS, round_name
from ledger.read.notes_edit import add_note, add_reply, new_round
from ledger.read.notes_rounds import FOLDER, notes_rounds
from ledger.render.notes.words import became, place_words

#: What `notes answer` can say, and whether it needs words.
ANSWERS = {"done": False, "query": True, "stet": True, "declined": True, "seen": False, "answer": True, "carried": True}

_NAME = re.compile(r"[^\s/\\:*?\"<>|.\x00-\x1f-][^\s/\\:*?\"<>|\x00-\x1f]{0,99}\Z")


def add(here: Path, round_: str, text: str, *, at: str | None, reader: str | None, on: str | None) -> Outcome:
    """Puts a note into a round, which is made where it is not there yet.

    Raises Refusal for a name that is no round's, empty words, a place or a round that can't be understood,
    and where the file says another reader or round than asked for.
    """
    book = open_book(here)
    name = _round_name(round_)
    if not text.strip():
        raise Refusal("a note needs words", remedy=f'inkledger notes add {name} "what you want to say"')
    anchor = _place(at)
    path = f"{FOLDER}/{name}.md"
    there = next((each for each in notes_rounds(book.working) if each.name == name), None)
    was = _kept(book, there, reader, on) if there else None
    started = _started(book, path, name, reader, on) if was is None else was
    data, number = add_note(started, text, anchor=anchor.typed if anchor else "")
    _put(book, path, data, was)
    found = _followed(here, path, number)
    said = [f"Note {name}/{number} is in {path}" + (f", on {place_words(found)}." if found.place_then else ".")]
    if found.evidence == "unplaced":
        said.append(
            f"({anchor.typed if anchor else ''}) is not there in the round these notes are on; the note is kept."
        )
    return Outcome(True, tuple(said), paths=(path,))


def answer(here: Path, note_id: str, state: str, words: tuple[str, ...], *, in_: str | None, at: str | None) -> Outcome:
    """Puts a reply under a note and makes its tick mirror it. Raises Refusal where there is no such note."""
    book = open_book(here)
    reply = _reply(book, state, words, in_, at)
    notes = notes_rounds(book.working)
    round_, note = _the_note(notes, note_id)
    if state == "seen" and reply.where is None:
        reply = Reply(reply.state, reply.text, 0, _newest(book, round_), reply.at)
    was = book.working.snapshot.read(round_.path)
    data = add_reply(was, note.number or 0, reply, line=note.line)
    _put(book, round_.path, data, was)
    found = _followed(here, round_.path, note.number or 0)
    said = [
        f"{note.id} {_now(state, words)}." + (f" {place_words(found)}: {became(found)}." if found.place_then else "")
    ]
    if state == "seen" and reply.where and set(found.standing) & set(RESTING):
        said.append(
            f"Your files now differ from {reply.where} there, so it will still be shown. To let it rest, enter a round "
            "first, then answer seen again."
        )
    return Outcome(True, tuple(said), paths=(round_.path,))


def _now(state: str, words: tuple[str, ...]) -> str:
    return {
        "query": "waits for an answer now",
        "answer": "is answered and open again",
        "seen": "is seen, its state is as it was",
        "stet": "is stet now",
        "carried": f"is carried to {words[0] if words else ''} now",
    }.get(state, f"is {state} now")


# -- rounds and notes by name


def _round_name(typed: str) -> str:
    """The name of a round as typed: `marsh-1`, or the path of its file."""
    name = round_name(typed) or typed
    if not _NAME.match(name) or round_name(f"{FOLDER}/{name}.md") != name:
        raise Refusal(
            f"{typed!r} is no name for a notes round", remedy="name it after its reader, as in marsh-1, without blanks"
        )
    return name


def _the_note(rounds: tuple[NotesRound, ...], note_id: str) -> tuple[NotesRound, Note]:
    every = [(each, note) for each in rounds for note in each.notes]
    found = [(each, note) for each, note in every if note.id == note_id]
    if not found:
        near = difflib.get_close_matches(note_id, [note.id for _, note in every], 1)
        hint = f"did you mean {near[0]}? " if near else ""
        raise Refusal(f"there is no note {note_id!r}", remedy=f"{hint}see them all: inkledger notes list")
    if len(found) > 1:
        lines = [str(note.line) for _, note in found]
        more = [f"{len(lines) - 3:,} more"] if len(lines) > 4 else lines[3:]
        second = found[1][1]
        raise Refusal(
            f"{note_id} is used for {len(found):,} notes, on lines {' and '.join([*lines[:3], *more])}",
            path=second.path, line=second.line, remedy="give the later note a number of its own, then answer it",
        )  # fmt: skip
    return found[0]


def _place(typed: str | None) -> Anchor | None:
    if typed is None:
        return None
    anchor = read_anchor(typed)
    if anchor is None or "\n" in typed or "\r" in typed:
        raise Refusal(f"{typed!r} is no place", remedy=ANCHORS)
    return anchor


# -- new rounds


def _kept(book: OpenBook, there: NotesRound, reader: str | None, on: str | None) -> bytes:
    """The bytes of a round that is there, which says what was asked for."""
    for asked, said, word in ((reader, there.reader, "from"), (on, there.on or "", "on")):
        if asked is not None and asked.lower() != said.lower():
            raise Refusal(
                f"this round is {word} {said}" if said else f"this round has no '{word}:' line", path=there.path,
                remedy="start a round of its own under another name" if said else f"type '{word}: {asked}' at its top",
            )  # fmt: skip
    return book.working.snapshot.read(there.path)


def _started(book: OpenBook, path: str, name: str, reader: str | None, on: str | None) -> bytes:
    if path in book.working.snapshot.files:
        raise Refusal("this is a link or another repository, not a notes round", path=path, remedy="name another round")
    who, day = somebody(book)
    reader = reader or who
    entry = named_round(book, on) if on else newest_script(book)
    title = f"{reader or name} on {entry}" if entry else reader or name
    return new_round(title, reader=reader or "", on=entry or "", date=day.isoformat())


def somebody(book: OpenBook) -> tuple[str | None, date]:
    """Who sits here, and the day, as git knows them."""
    try:
        name, _, when = committer(book.repo)
    except Refusal:
        return None, date.today()
    return name, when.date()


def newest_script(book: OpenBook) -> str | None:
    """The name of the newest round of the book's script that was entered."""
    script = book.working.book.main_script()
    newest = newest_round(BookShelf(book, book.working).rounds.values(), script.name) if script else None
    return newest.name if newest else None


def started_names(book: OpenBook) -> set[str]:
    """Names that no new notes round may have, in small letters: those of every file under notes/."""
    return {path.rpartition("/")[2].removesuffix(".md").lower() for path in book.working.snapshot.under(FOLDER)}


def named_round(book: OpenBook, name: str) -> str:
    """The name of a round that was entered. Raises Refusal."""
    known = {entry.name: entry for entry in BookShelf(book, book.working).rounds.values()}
    if name.lower() in known:
        return name.lower()
    raise _unknown(name, list(known))


def _unknown(name: str, known: list[str]) -> Refusal:
    near = difflib.get_close_matches(name, known, 1)
    remedy = f"did you mean {near[0]}?" if near else "see the rounds: inkledger rounds"
    return Refusal(f"{name!r} is no round that was entered", remedy=remedy)


# -- replies


def _reply(book: OpenBook, state: str, words: tuple[str, ...], in_: str | None, at: str | None) -> Reply:
    """The reply as asked for. Raises Refusal where it is not whole."""
    if state not in ANSWERS:
        near = difflib.get_close_matches(state, list(ANSWERS), 1)
        remedy = f"did you mean {near[0]}?" if near else f"one of: {', '.join(ANSWERS)}"
        raise Refusal(f"{state!r} is no answer to a note", remedy=remedy)
    target = in_
    if state == "carried":
        if not words or in_:
            raise Refusal("say where the note is carried to", remedy='as in: notes answer marsh-1/4 carried inks "why"')
        target, words = words[0], words[1:]
    if len(words) > 1:
        raise Refusal(f"{words[1]!r} is one word too many", remedy="put the words of the answer in quotes")
    text = words[0] if words else ""
    if ANSWERS[state] and not text.strip():
        raise Refusal(f"{state!r} needs words", remedy=f'say why: notes answer ... {state} "why"')
    return Reply(state, text, 0, _where(book, state, target), _place(at))


def _where(book: OpenBook, state: str, name: str | None) -> str | None:
    """A round that was entered, or is the next to be; a note may also be carried to a pass or a notes round."""
    if name is None:
        return None
    entries = BookShelf(book, book.working).rounds.values()
    known = {entry.name for entry in entries}
    known |= {f"{p.name}-{_next(list(entries), p.name)}" for p in book.working.book.passes}
    if state == "carried":
        known |= {p.name for p in book.working.book.passes} | {each.name for each in notes_rounds(book.working)}
    if name in known or name.lower() in known:
        return name if name in known else name.lower()
    raise _unknown(name, sorted(known))


def _next(entries: list[Round], pass_name: str) -> int:
    rounds = rounds_of(entries, pass_name)
    return rounds[-1].number + 1 if rounds else 1


def _newest(book: OpenBook, round_: NotesRound) -> str | None:
    """The newest round of the pass that a notes round is about."""
    shelf = BookShelf(book, book.working)
    about = shelf.about(round_)
    newest = newest_round(shelf.rounds.values(), about.pass_name) if about else None
    return newest.name if newest else None


# -- files


def _put(book: OpenBook, path: str, data: bytes, was: bytes | None) -> None:
    """Writes a notes file whole or not at all; its mode stays.

    Raises Refusal where that can't be done, and where the file is no longer what it `was`.
    """
    place = Path(book.repo.top) / path
    if place.parent.is_symlink() or place.is_symlink():
        raise Refusal(
            "this is a link, and a notes round is a plain file", path=path, remedy="put the file itself there"
        )
    put_files(book.repo, {path: data}, {} if was is None else {path: was})


def _followed(here: Path, path: str, number: int) -> Followed:
    """The note as it is followed now, read again from the file."""
    book = open_book(here)
    every = followed_notes(book, book.working)
    return next(each for each in every if each.note.path == path and each.note.number == number)
