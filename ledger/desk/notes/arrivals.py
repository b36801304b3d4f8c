"""`notes import`: notes from outside become notes rounds, one for each reader; nothing else is touched or recorded."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from ledger.desk.notes.gathered import BookShelf
from ledger.desk.notes.sources import ImportWish, draft_read, read_source
from ledger.desk.notes.writing import named_round, newest_script, somebody, started_names
from ledger.desk.opening import OpenBook, open_book
from ledger.gitedge.placing import put_files
from ledger.judge.notes.places import find_place
from ledger.model.coming_in import Arrival, ArrivingRound, NoteIn, NotesIn
from ledger.model.errors import Refusal
from ledger.model.note import NotesRound, Reply
from ledger.read.anchors import read_anchor
from ledger.read.marginalia.keys import keyed, known_keys, mark_reply
from ledger.read.marginalia.plain import one_row
from ledger.read.notes import round_name, with_numbers
from ledger.read.notes_edit import Fresh, add_notes, add_replies, new_round, number_notes
from ledger.read.notes_rounds import FOLDER, notes_rounds

#: What word processors write for the author where nobody told them a name, or where names were taken out, in the
#: languages that their makers speak most (from memory).
_NO_NAMES = frozenset(
    ("author", "autor", "auteur", "autore", "unknown author", "unbekannter autor", "auteur inconnu",
     "autor desconocido", "autore sconosciuto", "autor desconhecido", "onbekende auteur", "unknown", "user")
)  # fmt: skip
#: More notes than this come from no reader (own choice); a file that holds more is refused whole.
MOST_NOTES = 50_000


@dataclass(frozen=True)
class _Shelf:
    """The book, its notes files as they were before anything was made of them, its rounds of notes, the key of every
    mark in them, the names of rounds that are taken, and rounds as they will be: several readers may have marks in one.
    """

    book: OpenBook
    held: Mapping[str, bytes]
    rounds: tuple[NotesRound, ...]
    known: Mapping[str, tuple[NotesRound, int]]
    taken: set[str]
    pending: dict[str, bytes] = field(default_factory=dict)

    def data(self, path: str) -> bytes | None:
        """What a round will hold as far as it is known, else what it holds; None where it is not there."""
        return self.pending.get(path) or self.held.get(path)


def read_arrival(here: Path, wish: ImportWish) -> Arrival:
    """Reads a file and says what it brings; nothing is written. Raises Refusal for what can't be read."""
    book = open_book(here)
    if own := _own_round(book, wish.place):
        return Arrival(wish.source, (own,))
    found = read_source(book, wish)
    if len(found.notes) > MOST_NOTES:
        raise Refusal(
            f"it holds {len(found.notes):,} notes, more than {MOST_NOTES:,}; nothing was taken in", path=wish.source,
            remedy="split it, or look whether it is the file that was meant",
        )  # fmt: skip
    # Read before the rounds are: what somebody else writes in between then stands in the way of taking these in.
    there = book.working.snapshot
    held = {path: there.read(path) for path in there.under(FOLDER) if round_name(path) and there.files[path].regular}
    rounds = notes_rounds(book.working)
    shelf = _Shelf(book, held, rounds, known_keys(rounds), started_names(book))
    groups = _by_reader(found, wish.reader)
    arriving = [each for reader, notes in groups.items() for each in _arriving(shelf, found, wish, reader, notes)]
    return Arrival(wish.source, tuple(arriving), found.left)


def take_in(here: Path, arrival: Arrival) -> None:
    """Writes the rounds of an arrival, all or none. Raises Refusal where that can't be done."""
    rounds = [each for each in arrival.rounds if each.data]
    was = {each.path: each.was for each in rounds if each.was is not None}
    put_files(open_book(here).repo, {each.path: each.data for each in rounds}, was)


def _own_round(book: OpenBook, place: Path | None) -> ArrivingRound | None:
    """The round that a file is already, where it lies among the notes of this book."""
    there = {Path(book.repo.top) / each.path: each for each in notes_rounds(book.working)}
    each = there.get(place.resolve()) if place else None
    return ArrivingRound(each.name, each.path, each.reader, each.on, known=len(each.notes)) if each else None


# -- one round for each reader


def _by_reader(found: NotesIn, asked: str | None) -> dict[str, list[tuple[NoteIn, str]]]:
    """Reader -> notes with their keys. `asked` stands in for a reader that the file does not name, or by no name of
    theirs; a letter is from whoever it is said to be from."""
    letter = all(note.kind in ("mail", "text", "round") for note in found.notes)
    groups: dict[str, list[tuple[NoteIn, str]]] = {}
    for note, key in keyed(found.notes):
        author = one_row(note.author)
        nobody = not author or author.lower() in _NO_NAMES
        reader = one_row(asked) if asked and (letter or nobody) else author
        groups.setdefault(reader, []).append((note._replace(author=reader), key))
    return groups


def _arriving(
    shelf: _Shelf, found: NotesIn, wish: ImportWish, reader: str, notes: Sequence[tuple[NoteIn, str]]
) -> list[ArrivingRound]:
    """The rounds that one reader's notes touch, with the bytes they will have: the new ones go into the first."""
    fresh = [(note, key) for note, key in notes if key not in shelf.known]
    back: dict[str, list[tuple[NoteIn, int]]] = {}
    homes: dict[str, NotesRound] = {}
    for note, key in notes:
        if key in shelf.known:
            home, at = shelf.known[key]
            homes[home.path] = home
            back.setdefault(home.path, []).append((note, at))
    there, on = _round_for(shelf, found, wish, reader, list(homes.values()))
    others = [home for path, home in homes.items() if there is None or path != there.path]
    arriving = [_back_again(shelf, home, back[home.path]) for home in others]
    first = _back_again(shelf, there, back.get(there.path, [])) if there else None
    if not fresh:
        return [*([first] if first else []), *arriving]
    if first is None:
        name = _free_name(shelf, reader, wish.source)
        data = _begun(shelf, found, reader, on, fresh)
        first = ArrivingRound(name, f"{FOLDER}/{name}.md", reader, on, begun=True, data=data)
    before = first.data or shelf.data(first.path) or b""
    data, numbers = add_notes(before, [_fresh(note, key) for note, key in fresh])
    shelf.pending[first.path] = data
    told = tuple(note for note, _ in fresh)
    missing = _unplaced(shelf.book, on, first.name, list(zip(told, numbers, strict=True)))
    was = shelf.held.get(first.path)
    first = replace(first, notes=told, numbers=tuple(numbers), unplaced=missing, data=data, was=was)
    return [first, *arriving]


def _back_again(shelf: _Shelf, home: NotesRound, back: Sequence[tuple[NoteIn, int]]) -> ArrivingRound:
    """A round that holds marks which came again: replies that are new to them are put under them."""
    numbered = with_numbers(home)
    new = [
        (numbered.notes[at].number or 0, reply)
        for note, at in back
        for reply in _new_replies(numbered.notes[at].replies, note.replies)
    ]
    data = add_replies(number_notes(shelf.data(home.path) or b""), new) if new else b""
    if data:
        shelf.pending[home.path] = data
    pairs = [(numbered.notes[at], note) for note, at in back]
    reworded = tuple(there.id for there, note in pairs if _bare(note.own or note.text) not in _bare(there.text))
    return ArrivingRound(
        home.name, home.path, home.reader, home.on, known=len(back), answered=len(new), reworded=reworded, data=data,
        was=shelf.held.get(home.path),
    )  # fmt: skip


def _new_replies(there: Iterable[Reply], came: Iterable[Reply]) -> list[Reply]:
    """Replies in plain words that a note does not have yet; an answer that a saved round gave is never put in twice."""
    known = {_bare(reply.text) for reply in there}
    return [reply for reply in came if not reply.state and _bare(reply.text) not in known]


def _bare(words: str) -> str:
    return "".join(words.split())


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


def _unplaced(book: OpenBook, on: str | None, name: str, notes: Sequence[tuple[NoteIn, int]]) -> tuple[str, ...]:
    """Ids of the notes whose place is not there in the script they are on, or whose page has no export."""
    shelf = BookShelf(book, book.working)
    moment = shelf.moment(on) if on else None
    draft = draft_read(book, on)
    pictures = shelf.pictures(moment) if moment and shelf.drawn(moment.pass_name) else None
    missing = []
    for note, number in notes:
        anchor = read_anchor(note.place)
        if anchor is None or (pictures is not None and anchor.page in pictures.files and not anchor.quote):
            continue
        if draft is None or find_place(anchor, draft) is None:
            missing.append(f"{name}/{number}")
    return tuple(missing)
