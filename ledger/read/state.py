"""The book at one moment, read: its configuration, its entries, its drafts and where its exports lie."""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache

from ledger.model.book import Book, Pass, Person
from ledger.model.entry import Entry
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.script import Draft
from ledger.model.snapshot import FileAt, Snapshot, Store, byte_order
from ledger.read.config import read_book
from ledger.read.entries import entry_name, read_entry
from ledger.read.patterns import among, in_reading_order, label_of

#: The text pass that is read by the rules of an outline.
OUTLINE = "outline"
#: Under this the paths of entries are kept, beside those of passes.
_ENTRIES = ("entry",)


class BookState:
    """A snapshot of a book with what its files say.

    `entries` holds every entry that could be read, by name and number, `findings` what could not. Drafts
    are read when first asked for and kept. `supposed` are drafts, by pass, that stand in the place of what its files
    say, as a "what if" has them.
    """

    __slots__ = ("_drafts", "_paths", "book", "entries", "findings", "snapshot", "supposed")

    def __init__(
        self, snapshot: Snapshot, book: Book, entries: tuple[Entry, ...] = (), findings: tuple[Finding, ...] = (),
        supposed: Mapping[str, Draft] | None = None, *, entry_paths: tuple[str, ...] | None = None,
    ) -> None:  # fmt: skip
        self.snapshot, self.book, self.entries, self.findings = snapshot, book, entries, findings
        self.supposed: Mapping[str, Draft] = supposed or {}
        self._drafts: dict[str, Draft] = {}
        self._paths: dict[tuple[str, ...], tuple[str, ...]] = {} if entry_paths is None else {_ENTRIES: entry_paths}

    def draft(self, pass_name: str) -> Draft:
        """The draft of a text pass (an outline is read by its own rules when its pass is `outline`).

        Empty for a pass that is not there or is drawn. Raises ContentMissing.
        """
        if pass_name in self.supposed:
            return self.supposed[pass_name]
        if pass_name not in self._drafts:
            self._drafts[pass_name] = self._read(pass_name)
        return self._drafts[pass_name]

    def texts(self, pass_name: str) -> tuple[tuple[str, bytes], ...]:
        """Path and bytes of what is read of a text pass, in reading order; links are not. Raises ContentMissing."""
        plain = [file for file in self._text_files(pass_name) if file.regular]
        self.snapshot.store.warm(plain)
        return tuple((file.path, self.snapshot.store.read(file)) for file in plain)

    def _text_files(self, pass_name: str) -> list[FileAt]:
        pass_ = self.book.pass_named(pass_name)
        if pass_ is None or pass_.kind != "text":
            return []
        return [self.snapshot.files[path] for path in self.paths(pass_)]

    def _read(self, pass_name: str) -> Draft:
        draft = _draft_of(self.texts(pass_name), self.book.cast, pass_name == OUTLINE)
        links = tuple(_not_read(file) for file in self._text_files(pass_name) if not file.regular)
        return draft._replace(findings=(*draft.findings, *links)) if links else draft

    def paths(self, pass_: Pass) -> tuple[str, ...]:
        """Paths of a pass's files that are there, links too, in byte order (NFC)."""
        known = (pass_.kind, *pass_.files)
        if known not in self._paths:
            self._paths[known] = tuple(in_reading_order(among(self.snapshot.files, pass_)))
        return self._paths[known]

    def entry_paths(self) -> tuple[str, ...]:
        """Paths of every file that is an entry by its name, readable or not, in byte order."""
        if _ENTRIES not in self._paths:
            self._paths[_ENTRIES] = tuple(path for path in self.snapshot.under("ledger") if entry_name(path))
        return self._paths[_ENTRIES]

    def with_files(self, snapshot: Snapshot) -> BookState:
        """The same ledger and book with other files beside them."""
        return BookState(snapshot, self.book, self.entries, self.findings, entry_paths=self.entry_paths())

    def script_draft(self) -> Draft:
        """The draft of the book's script; empty where it has none."""
        script = self.book.main_script()
        return self.draft(script.name) if script else Draft()

    def exports(self, pass_: Pass) -> Mapping[str, tuple[FileAt, ...]]:
        """Page label -> the export files of an art pass that stand for it (more than one is `page-number`)."""
        found: dict[str, tuple[FileAt, ...]] = {}
        for path in self.paths(pass_):
            label = label_of(path, pass_)
            if label is not None:
                found[label] = (*found.get(label, ()), self.snapshot.files[path])
        return found


def read_state(
    snapshot: Snapshot,
    known: dict[FileAt, Entry | Refusal] | None = None,
    unread: Callable[[FileAt], bool] | None = None,
) -> BookState:
    """Reads `book.toml` and `ledger/` of a snapshot. Raises Refusal for a broken or missing `book.toml`.

    `known` are entries that were read before; those read now are added. `unread` tells of an entry's file whether it is
    left unread.
    """
    if "book.toml" not in snapshot.files:
        raise Refusal("there is no book.toml here", path="book.toml", remedy="lay out a book here: inkledger init")
    files = [snapshot.files[path] for path in snapshot.under("ledger") if entry_name(path)]
    files = [file for file in files if not unread(file)] if unread else files
    snapshot.store.warm([snapshot.files["book.toml"], *(file for file in files if not known or file not in known)])
    book = book_of(snapshot.read("book.toml"))
    entries, findings = _entries(snapshot, files, known if known is not None else {})
    return BookState(snapshot, book, tuple(sorted(entries, key=_by_name)), tuple(findings))


def followed(
    state: BookState,
    snapshot: Snapshot,
    changes: Iterable[tuple[str, FileAt | None]],
    known: dict[FileAt, Entry | Refusal],
) -> BookState:
    """A state after changes of entries alone, None for one that is gone; `snapshot` holds the files after them."""
    changed = dict(changes)
    # Nearly all stays as it was, and where it was: sorted anew, a long ledger would take longer than judging it.
    entries = [entry for entry in state.entries if entry.path not in changed]
    findings = [finding for finding in state.findings if finding.path not in changed]
    paths = [path for path in state.entry_paths() if path not in changed]
    for path, file in changed.items():
        if file is None:
            continue
        insort(paths, path, key=byte_order)
        read = entry_at(file, snapshot.store, known)
        if isinstance(read, Refusal):
            insort(findings, _broken(read), key=lambda finding: byte_order(finding.path or ""))
        else:
            insort(entries, read, key=_by_name)
    return BookState(snapshot, state.book, tuple(entries), tuple(findings), entry_paths=tuple(paths))


def _entries(
    snapshot: Snapshot, files: Sequence[FileAt], known: dict[FileAt, Entry | Refusal]
) -> tuple[list[Entry], list[Finding]]:
    entries: list[Entry] = []
    findings: list[Finding] = []
    for file in files:
        read = entry_at(file, snapshot.store, known)
        if isinstance(read, Refusal):
            findings.append(_broken(read))
        else:
            entries.append(read)
    return entries, findings


def entry_at(file: FileAt, store: Store, known: dict[FileAt, Entry | Refusal]) -> Entry | Refusal:
    """An entry, or why it can't be read; `known` holds those read before. Raises ContentMissing."""
    if not file.regular:
        return Refusal("an entry is a plain file, this is a link", path=file.path)
    if file.oid is None:
        return _entry_of(file.path, store.read(file))
    if file not in known:
        known[file] = _entry_of(file.path, store.read(file))
    return known[file]


@lru_cache(maxsize=4096)
def _entry_of(path: str, data: bytes) -> Entry | Refusal:
    """An entry, or why it can't be read; the same bytes are met again in every state of the book."""
    try:
        return read_entry(path, data)
    except Refusal as refused:
        return refused


@lru_cache(maxsize=16)
def book_of(data: bytes) -> Book:
    """The book that these bytes of a `book.toml` describe, read once. Raises Refusal, naming the line."""
    return read_book(data)


@lru_cache(maxsize=8)
def _draft_of(files: tuple[tuple[str, bytes], ...], cast: tuple[Person, ...], outline: bool) -> Draft:
    if outline:
        from ledger.read.outline import read_outline

        return read_outline(files, cast)
    from ledger.read.script import read_script

    return read_script(files, cast)


def _broken(refused: Refusal) -> Finding:
    return Finding(
        "entry-changed", "block", f"this entry can't be read: {refused.message}", refused.path, refused.line,
        remedy=refused.remedy or "put back the file as it was recorded: git restore",
    )  # fmt: skip


def _not_read(file: FileAt) -> Finding:
    return Finding(
        "text-dropped", "query", "this is a link or another repository, so nothing of it was read", file.path,
        remedy="put the file itself there",
    )  # fmt: skip


def _by_name(entry: Entry) -> tuple[str, int]:
    return entry.name.rstrip("0123456789"), entry.number
