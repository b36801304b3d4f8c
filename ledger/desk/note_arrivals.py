"""`notes import`: notes from outside become notes rounds, one for each reader; nothing else is touched or recorded."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ledger.desk.note_writing import named_round, newest_script, somebody, started_names
from ledger.desk.notes import BookShelf
from ledger.desk.opening import OpenBook, open_book
from ledger.gitedge.placing import put_files
from ledger.judge.note_places import find_place
from ledger.model.coming_in import Arrival, ArrivingRound, NoteIn, NotesIn
from ledger.model.errors import Refusal
from ledger.model.note import Anchor, NotesRound, Reply
from ledger.model.script import Draft
from ledger.read.anchors import read_anchor
from ledger.read.marginalia.keys import keyed, known_keys, mark_reply
from ledger.read.marginalia.plain import one_row
from ledger.read.notes import with_numbers
from ledger.read.notes_edit import Fresh, add_notes, new_round
from ledger.read.notes_rounds import FOLDER, notes_rounds

#: More notes than this come from no reader (own choice); a file that holds more is refused whole.
MOST_NOTES = 20_000


@dataclass(frozen=True)
class ImportWish:
    """What `notes import` was asked: the file's name as typed, its bytes, its options, and where it lies."""

    source: str
    data: bytes
    reader: str | None = None
    on: str | None = None
    place: Path | None = None


@dataclass(frozen=True)
class _Shelf:
    """The book, its rounds of notes, the key of every mark in them, and the names of rounds that are taken."""

    book: OpenBook
    rounds: tuple[NotesRound, ...]
    known: Mapping[str, tuple[NotesRound, int]]
    taken: set[str]


def read_arrival(here: Path, wish: ImportWish) -> Arrival:
    """Reads a file and says what it brings; nothing is written. Raises Refusal for what can't be read."""
    book = open_book(here)
    if own := _own_round(book, wish.place):
        return Arrival(wish.source, (own,))
    found = _read(book, wish)
    if len(found.notes) > MOST_NOTES:
        raise Refusal(
            f"it holds {len(found.notes):,} notes, more than {MOST_NOTES:,}; nothing was taken in", path=wish.source,
            remedy="split it, or look whether it is the file that was meant",
        )  # fmt: skip
    rounds = notes_rounds(book.working)
    shelf = _Shelf(book, rounds, known_keys(rounds), started_names(book))
    groups = _by_reader(found, wish.reader)
    arriving = tuple(_arriving(shelf, found, wish, reader, notes) for reader, notes in groups.items())
    return Arrival(wish.source, arriving, found.left)


def take_in(here: Path, arrival: Arrival) -> None:
    """Writes the rounds of an arrival, all or none. Raises Refusal where that can't be done."""
    put_files(open_book(here).repo, {each.path: each.data for each in arrival.rounds if each.notes})


def _own_round(book: OpenBook, place: Path | None) -> ArrivingRound | None:
    """The round that a file is already, where it lies among the notes of this book."""
    there = {Path(book.repo.top) / each.path: each for each in notes_rounds(book.working)}
    each = there.get(place.resolve()) if place else None
    return ArrivingRound(each.name, each.path, each.reader, each.on, known=len(each.notes)) if each else None


def source_bytes(place: Path, shown: str) -> bytes:
    """The bytes of a file. Raises Refusal for what is no plain file."""
    if not place.exists():
        raise Refusal("no such file", path=shown, remedy="name it as it lies on your disk")
    if not place.is_file():
        raise Refusal("this is no plain file", path=shown, remedy="name the file that holds the notes")
    return place.read_bytes()


# -- reading


def _read(book: OpenBook, wish: ImportWish) -> NotesIn:
    """The notes of a file, by what it is, not by its name alone. Raises Refusal."""
    data = wish.data
    if not data.strip(b"\0 \t\r\n"):
        raise Refusal("it is empty", path=wish.source, remedy="name the file that holds the notes")
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise Refusal("this is an old binary file of an office or a mail program", path=wish.source,
                      remedy="save a draft as .docx or .odt, a mail as .eml")  # fmt: skip
    from ledger.read.marginalia.letters import read_letter

    found = read_letter(wish.source, data, _is_place(book, wish.on))
    if not found.notes:
        raise Refusal("it holds no notes", path=wish.source, remedy="begin a row with its place: p12.3 too dark")
    return found


def _is_place(book: OpenBook, on: str | None) -> Callable[[Anchor], bool]:
    """Tells whether words in quotes stand in the script that was read."""
    draft = _draft(book, named_round(book, on) if on else newest_script(book))
    return lambda anchor: draft is not None and find_place(anchor, draft) is not None


def _draft(book: OpenBook, entry: str | None) -> Draft | None:
    """The script of a round, of an art pass the one it was made from; your files now where nothing is entered."""
    shelf = BookShelf(book, book.working)
    moment = shelf.moment(entry) if entry else None
    if moment and shelf.drawn(moment.pass_name):
        moment = shelf.script_under(moment)
    if moment:
        return shelf.draft(moment)
    script = book.working.book.main_script()
    return book.working.draft(script.name) if script else None


# -- one round for each reader


def _by_reader(found: NotesIn, asked: str | None) -> dict[str, list[tuple[NoteIn, str]]]:
    """Reader -> notes with their keys. `asked` stands in for a reader that the file does not name; a letter is from
    whoever it is said to be from."""
    letter = all(note.kind in ("mail", "text", "round") for note in found.notes)
    groups: dict[str, list[tuple[NoteIn, str]]] = {}
    for note, key in keyed(found.notes):
        author = one_row(note.author)
        reader = one_row(asked) if asked and (letter or not author) else author
        groups.setdefault(reader, []).append((note._replace(author=reader), key))
    return groups


def _arriving(
    shelf: _Shelf, found: NotesIn, wish: ImportWish, reader: str, notes: Sequence[tuple[NoteIn, str]]
) -> ArrivingRound:
    """The round that one reader's notes go to, with the bytes it will have."""
    fresh = [(note, key) for note, key in notes if key not in shelf.known]
    back = [(note, shelf.known[key]) for note, key in notes if key in shelf.known]
    there, on = _round_for(shelf, found, wish, reader, [place[0] for _, place in back])
    name = there.name if there else _free_name(shelf, reader, wish.source)
    path = there.path if there else f"{FOLDER}/{name}.md"
    arriving = ArrivingRound(
        name, path, there.reader if there else reader, on, begun=there is None, known=len(back),
        reworded=tuple(_reworded(back)),
    )  # fmt: skip
    if not fresh:
        return arriving
    data = shelf.book.working.snapshot.read(path) if there else _begun(shelf, found, reader, on, fresh)
    data, numbers = add_notes(data, [_fresh(note, key) for note, key in fresh])
    told = tuple(note for note, _ in fresh)
    missing = _unplaced(shelf.book, on, name, list(zip(told, numbers, strict=True)))
    return replace(arriving, notes=told, numbers=tuple(numbers), unplaced=missing, data=data)


def _round_for(
    shelf: _Shelf, found: NotesIn, wish: ImportWish, reader: str, back: Sequence[NotesRound]
) -> tuple[NotesRound | None, str | None]:
    """The round that takes the notes where one is there, and the entry it is on.

    That is the round that holds other marks of the same file, else one of the same reader's marks on the same entry.
    """
    asked = named_round(shelf.book, wish.on) if wish.on else None
    same = next((each for each in back if each.reader.lower() == reader.lower()), back[0] if back else None)
    if same and asked in (None, same.on):
        return same, same.on
    on = asked or (_said_on(shelf.book, found) if found.on else newest_script(shelf.book))
    marked = {id(each) for each, _ in shelf.known.values()}
    for each in shelf.rounds:
        if id(each) in marked and each.reader.lower() == reader.lower() and (each.on or None) == on:
            return each, on
    return None, on


def _said_on(book: OpenBook, found: NotesIn) -> str:
    try:
        return named_round(book, found.on)
    except Refusal as refused:
        raise Refusal(
            f"it says it is on {found.on!r}, which is no round that was entered in this book", path=found.source,
            remedy="say what was read: --on script-3; see the rounds: inkledger rounds",
        ) from refused  # fmt: skip


def _free_name(shelf: _Shelf, reader: str, source: str) -> str:
    """A name for a new round: its reader's, with the next free number."""
    base = _slug(reader) or _slug(Path(source).stem) or "mail"
    number = next(n for n in range(1, len(shelf.taken) + 2) if f"{base}-{n}" not in shelf.taken)
    shelf.taken.add(f"{base}-{number}")
    return f"{base}-{number}"


def _slug(words: str) -> str:
    """`e-marsh` of `E. Marsh`; letters of any script stay, 60 bytes at most."""
    slug = "-".join(re.findall(r"[^\W_]+", words.lower()))
    return slug.encode("utf-8")[:60].decode("utf-8", "ignore").strip("-")


def _begun(shelf: _Shelf, found: NotesIn, reader: str, on: str | None, fresh: Sequence[tuple[NoteIn, str]]) -> bytes:
    day = max((note.date for note, _ in fresh if note.date), default="") or somebody(shelf.book)[1].isoformat()
    title = f"{reader or Path(found.source).name} on {on}" if on else reader or Path(found.source).name
    return new_round(title, reader=reader, on=on or "", date=day, read=found.read)


def _fresh(note: NoteIn, key: str) -> Fresh:
    replies: list[Reply] = [mark_reply(note, key), *note.replies]
    return Fresh(note.text, note.place, replies, note.ticked)


def _reworded(back: Sequence[tuple[NoteIn, tuple[NotesRound, int]]]) -> list[str]:
    """Ids of notes that are here already and came with other words this time."""
    ids = []
    for note, (round_, at) in back:
        there = with_numbers(round_).notes[at]
        if "".join(there.text.split()) != "".join(note.text.split()):
            ids.append(there.id)
    return ids


def _unplaced(book: OpenBook, on: str | None, name: str, notes: Sequence[tuple[NoteIn, int]]) -> tuple[str, ...]:
    """Ids of the notes whose place is not there in the script they are on, or whose page has no export."""
    shelf = BookShelf(book, book.working)
    moment = shelf.moment(on) if on else None
    draft = _draft(book, on)
    pictures = shelf.pictures(moment) if moment and shelf.drawn(moment.pass_name) else None
    missing = []
    for note, number in notes:
        anchor = read_anchor(note.place)
        if anchor is None or (pictures is not None and anchor.page in pictures.files and not anchor.quote):
            continue
        if draft is None or find_place(anchor, draft) is None:
            missing.append(f"{name}/{number}")
    return tuple(missing)
