"""What a name on the command line means: an entry, a pass, a revision, the index, your files now, or a path.

What only a book needs is imported where it is needed: two plain files are compared without it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ledger.desk.contents import Contents, of_state, together
from ledger.desk.loose import of_path
from ledger.gitedge.outside import surely_outside
from ledger.model.book import Book, Pass
from ledger.model.errors import Refusal
from ledger.model.pages import PageSet, parse_pages

if TYPE_CHECKING:
    from ledger.desk.opening import OpenBook
    from ledger.gitedge.repository import Repository
    from ledger.model.entry import Entry
    from ledger.model.snapshot import Snapshot
    from ledger.read.state import BookState

WORKING, INDEX, ENTERED = ".", ":index", "entered"
KINDS = ("entry", "pass", "rev", "path")


class Reading(NamedTuple):
    """One thing that a name can mean; `words` say it to a person."""

    kind: str
    words: str
    entry: Entry | None = None
    commit: str | None = None
    path: Path | None = None


class Desk(NamedTuple):
    """Where a name is looked up: the folder one stands in and its book, if there is one."""

    here: Path
    book: OpenBook | None

    @property
    def top(self) -> Path | None:
        """The book's folder."""
        return Path(self.book.repo.top) if self.book else None

    @property
    def repo(self) -> Repository | None:
        """The book's repository."""
        return self.book.repo if self.book else None

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Every entry that is here, recorded or not."""
        if self.book is None:
            return ()
        recorded = self.book.head.entries if self.book.head else ()
        return tuple({e.name: e for e in (*self.book.working.entries, *recorded)}.values())

    @property
    def passes(self) -> tuple[Pass, ...]:
        """The passes of the book as it is now."""
        return self.book.book_now.passes if self.book else ()

    def entry(self, name: str) -> Entry | None:
        """The entry of a name; your files are looked through only where nothing recorded goes by it."""
        if self.book is None or not name.rpartition("-")[2].isdigit():
            return None
        recorded = self.book.head.entries if self.book.head else ()
        found = next((e for e in recorded if e.name == name), None)
        return found or next((e for e in self.book.working.entries if e.name == name), None)


def open_desk(here: Path) -> Desk:
    """The desk at a folder; without a repository or a `book.toml` there is no book on it."""
    if surely_outside(here):
        return Desk(here, None)
    from ledger.desk.opening import open_book

    try:
        book = open_book(here)
    except Refusal:
        return Desk(here, None)
    there = (Path(book.repo.top) / "book.toml").is_file() or "book.toml" in book.head_snapshot.files
    return Desk(here, book if there else None)


def contents_of(desk: Desk, name: str) -> Contents:
    """What a reference stands for. Raises Refusal where it is nothing, or could be two things."""
    if name in (WORKING, "") and desk.book is None:
        return _path_contents(desk, desk.here, WORKING)
    if name in (WORKING, ""):
        return of_state(_book(desk, name).working, WORKING)
    if name == INDEX:
        return of_state(_book(desk, name).staged, INDEX)
    reading = the_reading(desk, name)
    if reading.entry is not None:
        return entry_contents(_book(desk, name), reading.entry, name)
    if reading.commit is not None:
        return of_state(_commit_state(_book(desk, name), reading.commit), name)
    assert reading.path is not None
    return _path_contents(desk, reading.path, name)


def entered_contents(desk: Desk) -> Contents:
    """The newest round of every pass. Raises Refusal where no pass was ever entered."""
    from ledger.desk.numbers import newest_round

    book = _book(desk, ENTERED)
    newest = [found for p in desk.passes if (found := newest_round(desk.entries, p.name))]
    if not newest:
        raise Refusal(
            "no round of any pass has been entered yet, so there is nothing to compare with",
            remedy="enter the first one: inkledger enter script",
        )
    return together(ENTERED, book.head or book.working, [entry_contents(book, entry, ENTERED) for entry in newest])


def entry_contents(book: OpenBook, entry: Entry, name: str) -> Contents:
    """What an entry names: the files of its pass, read by the `book.toml` of its own commit."""
    from ledger.model.entry import Round

    below = _own_commit(book, entry)
    state = _with_entry(book, below, entry, name)
    passes = _passes_in(state.book, entry)
    found = of_state(state, name, passes)._replace(when=entry.date)
    if isinstance(entry, Round):
        return found._replace(named=entry.pass_name)
    return found._replace(pages=pages_of_entry(entry))


def state_of_reference(book: OpenBook, name: str) -> BookState:
    """The book with what a reference names laid over it: an entry over the newest commit, else the whole state.

    Raises Refusal where the name is nothing, two things, or a folder without a `book.toml`.
    """
    desk = Desk(Path(book.repo.top), book)
    if name in (WORKING, ""):
        return book.working
    if name == INDEX:
        return book.staged
    reading = the_reading(desk, name)
    if reading.entry is not None:
        return _with_entry(book, (book.head or book.working).snapshot, reading.entry, name)
    if reading.commit is not None:
        return _commit_state(book, reading.commit)
    assert reading.path is not None
    if not (reading.path / "book.toml").is_file():
        raise Refusal("this folder holds no book.toml", path=name, remedy="name an entry, a pass or a revision")
    return _folder_state(reading.path)


def the_reading(desk: Desk, name: str) -> Reading:
    """The one meaning of a name. Raises Refusal where there is none, or more than one."""
    prefix, _, rest = name.partition(":")
    if prefix in ("entry", "rev", "path") and rest:
        found = [r for r in _readings(desk, rest) if r.kind == prefix or (prefix == "entry" and r.kind == "pass")]
        name = rest
    else:
        found = _settled(desk, _readings(desk, name))
    if not found:
        what = "entry, pass, revision or file" if desk.book else "file or folder"
        raise Refusal(f"{name!r} is no {what} here", remedy=_nearest(desk, name))
    if len(found) > 1:
        both = " or ".join(reading.words for reading in found)
        ways = ", ".join(f"{'entry' if r.kind == 'pass' else r.kind}:{name}" for r in found)
        raise Refusal(f"{name!r} could be {both}", remedy=f"say which: {ways}")
    if found[0].kind == "pass" and found[0].entry is None:
        raise Refusal(f"no round of {name!r} has been entered yet", remedy=f"enter one: inkledger enter {name}")
    return found[0]


def _readings(desk: Desk, name: str) -> list[Reading]:
    """Everything that a name can mean here."""
    found = _readings_in(desk, desk.book, name) if desk.book else []
    path = desk.here / name
    if path.exists() or path.is_symlink():
        found.append(Reading("path", f"the {'folder' if path.is_dir() else 'file'} {name}", path=path))
    return found


def _readings_in(desk: Desk, book: OpenBook, name: str) -> list[Reading]:
    """What a name can mean in the book: an entry, a pass, a revision."""
    found = []
    entry = desk.entry(name)
    if entry is not None:
        found.append(Reading("entry", f"the entry {name}", entry=entry))
    if any(p.name == name for p in desk.passes):
        from ledger.desk.numbers import newest_round

        found.append(Reading("pass", f"the pass {name}", entry=newest_round(desk.entries, name)))
    commit = book.commit(name)
    if commit is not None:
        found.append(Reading("rev", f"the git revision {name}", commit=commit))
    return found


def _settled(desk: Desk, found: list[Reading]) -> list[Reading]:
    """Without the folder in which the files of the pass or entry named lie."""
    first = next((r for r in found if r.kind in ("entry", "pass")), None)
    if first is None:
        return found
    return [r for r in found if r.path is None or not _holds(desk, r.path, first)]


def _holds(desk: Desk, folder: Path, reading: Reading) -> bool:
    from ledger.model.entry import Round

    top = desk.top
    if top is None or not folder.is_dir() or not folder.resolve().is_relative_to(top.resolve()):
        return False
    inside = folder.resolve().relative_to(top.resolve()).as_posix() + "/"
    name = reading.entry.pass_name if isinstance(reading.entry, Round) else reading.words.removeprefix("the pass ")
    patterns = [pattern for p in desk.passes if p.name == name for pattern in p.files]
    return any(pattern.startswith(inside) for pattern in patterns)


def _nearest(desk: Desk, name: str) -> str:
    import difflib

    known = [*(e.name for e in desk.entries), *(p.name for p in desk.passes)]
    near = difflib.get_close_matches(name, known, 3)
    if near:
        return f"did you mean {' or '.join(near)}?"
    return "see the rounds: inkledger rounds" if desk.book else "name two files or two folders"


def _book(desk: Desk, name: str) -> OpenBook:
    if desk.book is None:
        from ledger.desk.opening import open_book

        open_book(desk.here).working  # raises with the reason  # noqa: B018
        raise Refusal(f"{name!r} needs a book, and this folder belongs to none")
    return desk.book


def _path_contents(desk: Desk, path: Path, name: str) -> Contents:
    if (path / "book.toml").is_file():
        return of_state(_folder_state(path), name)
    book = desk.book.working.book if desk.book else Book(title="", pages=0)
    found = of_path(path, name, book, desk.top)
    mapped = {_mapped(desk, path) or folder: exports for folder, exports in found.art.items()}
    text = _text_pass(desk, path)
    return found._replace(art=mapped, named=text)


def _mapped(desk: Desk, folder: Path) -> str | None:
    """The art pass whose files the book looks for in this folder."""
    for pass_ in desk.passes:
        if pass_.kind == "art" and _holds(desk, folder, Reading("pass", f"the pass {pass_.name}")):
            return pass_.name
    return None


def _text_pass(desk: Desk, path: Path) -> str | None:
    """The text pass that a file or folder of the book belongs to."""
    top = desk.top
    if top is None or not path.resolve().is_relative_to(top.resolve()):
        return None
    from ledger.read.patterns import matches

    inside = path.resolve().relative_to(top.resolve()).as_posix()
    texts = [p for p in desk.passes if p.kind == "text"]
    return next((p.name for p in texts if matches(inside, p) or any(f.startswith(inside + "/") for f in p.files)), None)


def _commit_state(book: OpenBook, commit: str) -> BookState:
    from ledger.gitedge import snapshots
    from ledger.read.state import read_state

    if commit == book.head_commit and book.head is not None:
        return book.head
    return read_state(snapshots.of_commit(book.repo, commit))


def _folder_state(folder: Path) -> BookState:
    from ledger.gitedge import snapshots
    from ledger.read.state import read_state

    return read_state(snapshots.of_folder(folder))


def pages_of_entry(entry: Entry) -> PageSet:
    """The pages an entry is about; all where what it says can't be read."""
    try:
        return parse_pages(entry.pages)
    except ValueError:
        return parse_pages(None)


def _own_commit(book: OpenBook, entry: Entry) -> Snapshot:
    """The commit an entry was made in, by its tag, else by history; where neither knows it the newest commit."""
    from ledger.gitedge import snapshots

    tag = str(getattr(entry, "tag", ""))
    tagged = snapshots.resolve_commit(book.repo, f"refs/tags/{tag}") if tag else None
    for commit in chain([tagged], _first_with(book, entry)):
        own = snapshots.at_commit(book.repo, commit) if commit is not None else None
        if own is not None and entry.path in own.files and "book.toml" in own.files:
            return own
    return (book.head or book.working).snapshot


def _first_with(book: OpenBook, entry: Entry) -> Iterator[str]:
    """The oldest commit that holds the entry as it is; asked for only when the tag does not say."""
    from ledger.gitedge.history import first_with

    there = book.head_snapshot.files.get(entry.path)
    if there is not None and there.oid is not None:
        yield from first_with(book.repo, {entry.path: there.oid}).values()


def _with_entry(book: OpenBook, below: Snapshot, entry: Entry, name: str) -> BookState:
    """A snapshot with the files an entry names in place of those of its passes. Raises Refusal where it names none."""
    from ledger.model.entry import Reopen
    from ledger.model.overlay import overlaid
    from ledger.model.snapshot import FileAt
    from ledger.read.patterns import matches
    from ledger.read.state import read_state

    if isinstance(entry, Reopen) or not entry.files:
        raise Refusal(f"{entry.name} holds no files to look at", remedy="name a round, such as script-2")
    read_by = read_state(below).book
    named = [p for p in read_by.passes if p.name in _passes_in(read_by, entry)]
    gone = frozenset(path for path in below.files if any(matches(path, p) for p in named) and path not in entry.files)
    taken = {path: FileAt(path, oid) for path, oid in entry.files.items() if oid}
    dropped = frozenset(path for path, oid in entry.files.items() if not oid)
    recorded = book.head_snapshot.store
    return read_state(overlaid(below, taken=taken, source=recorded, removed=gone | dropped, name=name))


def _passes_in(book: Book, entry: Entry) -> tuple[str, ...]:
    """The passes whose files an entry names."""
    from ledger.model.entry import Round

    if isinstance(entry, Round):
        return (entry.pass_name,)
    return tuple(p.name for p in book.passes if _any_match(entry.files, p))


def _any_match(paths: Iterable[str], pass_: Pass) -> bool:
    from ledger.read.patterns import matches

    return any(matches(path, pass_) for path in paths)
