"""The script as it was agreed: the sign-off's, then each alteration slip's, as far as the slip is valid."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from ledger.judge.agreed.closed import Closing, is_text
from ledger.judge.agreed.differences import Difference
from ledger.judge.agreed.remembered import Remembered
from ledger.judge.agreed.scripts import Cast, Script, script_of, side_by_side
from ledger.judge.agreed.structure import structure_differences
from ledger.judge.agreed.verdicts import blocks
from ledger.judge.agreed.wording import wording_differences
from ledger.judge.pairing.collation import Collation
from ledger.model.book import Book, Pass
from ledger.model.entry import Alteration, Entry
from ledger.model.pages import PageSet, page_numbers
from ledger.model.snapshot import FileAt, Snapshot, Store
from ledger.read.patterns import matches
from ledger.read.state import BookState


class _ById:
    """Content by object id alone, whatever lies under its path now."""

    __slots__ = ("content",)

    def __init__(self, content: Store) -> None:
        self.content = content

    def read(self, file: FileAt) -> bytes:
        return self.content.blob(file.oid or "")

    def blob(self, oid: str) -> bytes:
        return self.content.blob(oid)

    def warm(self, files: list[FileAt]) -> None:
        self.content.warm([file for file in files if file.oid])


class Archive(NamedTuple):
    """Where agreed content is read from, and by which cast each entry's draft is read.

    `remembered` holds what was read and set side by side before.
    """

    content: Store
    cast_of: Callable[[Entry], Cast]
    growth: float
    remembered: Remembered

    def script(self, files: Mapping[str, str], entry: Entry, book: Book, script: Pass) -> Script:
        """The script that an entry names by ids. Raises ContentMissing."""
        there = {path: FileAt(path, oid) for path, oid in files.items() if oid}
        key = (tuple(files.items()), tuple(self.cast_of(entry)), script.name)
        return self.remembered.value("agreed", key, (), lambda: self._of_entry(there, entry, book, script))

    def _of_entry(self, there: Mapping[str, FileAt], entry: Entry, book: Book, script: Pass) -> Script:
        plain = script._replace(files=tuple(there))
        passes = tuple(plain if p.name == script.name else p for p in book.passes)
        then = book._replace(cast=tuple(self.cast_of(entry)), passes=passes)
        return script_of(BookState(Snapshot(entry.name, there, _ById(self.content)), then), script, self.remembered)


class Head:
    """A script that was agreed: its files, what they say (read when first asked for), and the entry that agreed it.

    `pages` are the pages on which slips moved it since it parted from the other heads, None before any slip.
    """

    __slots__ = ("_read", "entry", "files", "pages")

    def __init__(
        self, entry: Entry, files: Mapping[str, str], read: Callable[[], Script], pages: PageSet | None = None
    ) -> None:
        self.entry, self.files, self._read, self.pages = entry, files, read, pages

    @property
    def script(self) -> Script:
        """What it says. Raises ContentMissing."""
        return self._read()

    def on(self, pages: PageSet | None) -> Head:
        """The same, moved on these pages."""
        return Head(self.entry, self.files, self._read, pages)


class Baseline(NamedTuple):
    """What a sign-off's script is compared with: one head, or several where slips were written on two branches."""

    heads: tuple[Head, ...]
    closing: Closing
    refused: tuple[Alteration, ...] = ()

    def differences(
        self, script: Script, cast: Cast, growth: float, remembered: Remembered
    ) -> list[tuple[Difference, Collation]]:
        """What differs from the baseline in what the sign-off watches; of several heads each answers for its pages."""
        found: list[tuple[Difference, Collation]] = []
        for head in self.heads:
            told = {difference.identity for difference, _ in found}
            collation = side_by_side(head.script, script, cast, remembered)
            others = [other.pages for other in self.heads if other is not head and other.pages is not None]
            watched = _watched(collation, self.closing, growth, remembered)
            if len(self.heads) == 1:
                return [(difference, collation) for difference in watched]
            for difference in watched:
                if difference.identity not in told and _answers(head, others, difference):
                    found.append((difference, collation))
        return found


def _answers(head: Head, others: list[PageSet], difference: Difference) -> bool:
    """Whether a head answers for a difference: not where another branch's slip moved that page and its own did not."""
    mine = head.pages is not None and any(page in head.pages for page in difference.pages)
    return mine or not any(page in other for other in others for page in difference.pages)


def script_pass(book: Book, closing: Closing) -> Pass | None:
    """The text pass that a sign-off closes, known by the files it signed, then by what the signed pass is made from."""
    texts = [p for p in book.passes if p.kind == "text"]
    named = book.script_of(closing.lock.pass_name)
    counted = [(sum(matches(path, p) for path in closing.texts), p is named, -n) for n, p in enumerate(texts)]
    best = max(counted, default=(0, False, 0))
    return texts[-best[2]] if best[0] else named or book.main_script()


def with_script(state: BookState, closing: Closing) -> tuple[BookState, Pass]:
    """A state with the text pass that a sign-off closes; where `book.toml` has none, the signed files are it."""
    script = script_pass(state.book, closing)
    if script is not None:
        return state, script
    stand_in = Pass("signed", "text", tuple(closing.texts))
    return BookState(state.snapshot, state.book._replace(passes=(*state.book.passes, stand_in))), stand_in


def scripts_now(state: BookState, script: Pass, closing: Closing, remembered: Remembered) -> list[Script]:
    """The script of a state as it is held against a sign-off.

    Where `book.toml` no longer counts signed files that are still there, they are read as well: a decoy under another
    name opens nothing. Where it counts no others, they alone are read.
    """
    astray = tuple(path for path in closing.texts if path in state.snapshot.files and not matches(path, script))
    if not astray:
        return [script_of(state, script, remembered)]
    passes = tuple(p._replace(files=astray) if p.name == script.name else p for p in state.book.passes)
    signed = script_of(BookState(state.snapshot, state.book._replace(passes=passes)), script, remembered)
    return [signed, script_of(state, script, remembered)] if state.paths(script) else [signed]


def baseline_of(closing: Closing, book: Book, script: Pass, archive: Archive) -> Baseline:
    """The baseline of a sign-off's script. Raises ContentMissing."""
    return _states(closing, book, script, archive)[-1]


def _states(closing: Closing, book: Book, script: Pass, archive: Archive) -> tuple[Baseline, ...]:
    """The baseline after each slip; those of a row of slips that is one shorter are taken over, where known."""

    def key(slips: Sequence[Alteration]) -> tuple[object, ...]:
        entries = (closing.lock, *closing.later, *closing.reopens, *slips)
        casts = tuple(tuple(archive.cast_of(entry)) for entry in (closing.lock, *slips))
        places = (len(closing.later), len(closing.reopens), *map(id, entries))
        return (places, casts, closing.pages, script.name, archive.growth)

    def made() -> tuple[Baseline, ...]:
        known: tuple[Baseline, ...] | None = archive.remembered.known("states", key(closing.slips[:-1]))
        slips = closing.slips[-1:] if known is not None else closing.slips
        states = known if known is not None else (_at_sign_off(closing, book, script, archive),)
        for slip in slips:
            states = (*states, *_after(states, slip, book, script, archive))
        return states

    entries = (closing.lock, *closing.later, *closing.reopens, *closing.slips)
    return archive.remembered.value("states", key(closing.slips), entries, made)


def _at_sign_off(closing: Closing, book: Book, script: Pass, archive: Archive) -> Baseline:
    files = closing.texts
    head = Head(closing.lock, files, partial(archive.script, files, closing.lock, book, script))
    return Baseline((head,), closing)


def _after(
    states: Sequence[Baseline], slip: Alteration, book: Book, script: Pass, archive: Archive
) -> Iterator[Baseline]:
    """The baseline after one more slip; none for a slip that is not about the script."""
    texts = {path: oid for path, oid in slip.files.items() if is_text(path)}
    if texts and {"structure", "wording"} & set(slip.scopes):
        read = partial(archive.script, texts, slip, book, script)
        yield _moved(states, Head(slip, texts, read, slip.page_set), slip, archive)


def _moved(states: Sequence[Baseline], head: Head, slip: Alteration, archive: Archive) -> Baseline:
    """The baseline after a slip: it goes on from the newest state from which the slip is valid."""
    now = states[-1]
    for back, before in enumerate(reversed(states)):
        found = before.differences(head.script, archive.cast_of(slip), archive.growth, archive.remembered)
        if not _valid(slip, before.closing, [difference for difference, _ in found]):
            continue
        closing = _renumbered(before.closing, found)
        if back == 0:
            return Baseline((head.on(_joined(now.heads, head)),), closing)
        pages = PageSet(now.closing.pages.labels | closing.pages.labels, now.closing.pages.everything)
        return Baseline((*now.heads, head), now.closing._replace(pages=pages))
    return now._replace(refused=(*now.refused, slip))


def _joined(heads: Iterable[Head], head: Head) -> PageSet | None:
    sets = [each.pages for each in (*heads, head) if each.pages is not None]
    return PageSet(frozenset().union(*(s.labels for s in sets)), any(s.everything for s in sets))


def _valid(slip: Alteration, closing: Closing, found: list[Difference]) -> bool:
    """Every difference lies on the slip's pages and in its scopes, renumbering that follows included."""
    return all(_admitted(difference, slip, found) for difference in found if blocks(difference, closing))


def _admitted(difference: Difference, slip: Alteration, found: list[Difference]) -> bool:
    pages = slip.page_set
    if difference.scope not in (*slip.scopes, "balloon"):
        return False
    if any(page in pages for page in difference.pages) or pages.everything:
        return True
    if not difference.renumbered:
        return difference.scope == "balloon"
    causes = [d for d in found if d.rule in ("page-added", "page-cut") and any(p in pages for p in d.pages)]
    return bool(causes) or any(d.renumbered and any(p in pages for p in d.pages) for d in found)


def _renumbered(closing: Closing, found: list[tuple[Difference, Collation]]) -> Closing:
    """The closed pages by the numbers of the slip's script."""
    if closing.pages.everything or not found:
        return closing
    labels: set[str] = {label for label in closing.pages.labels if not page_numbers(label)}
    for old, new in found[0][1].labels:
        if new is not None and (old in closing.pages if old is not None else new in closing.pages):
            labels.update(str(number) for number in page_numbers(new))
    return closing._replace(pages=PageSet(frozenset(labels)))


def _watched(collation: Collation, closing: Closing, growth: float, remembered: Remembered) -> list[Difference]:
    """Differences of the scopes that a sign-off closes."""
    scopes = closing.lock.scopes
    key = (id(collation), frozenset(scopes), growth)
    return remembered.value("watched", key, (collation,), lambda: _of_scopes(collation, scopes, growth))


def _of_scopes(collation: Collation, scopes: Collection[str], growth: float) -> list[Difference]:
    found = structure_differences(collation) if "structure" in scopes else []
    words = partial(_of_wording, both="structure" in scopes and "wording" in scopes)
    # Words that nothing closes matter as a sign that the script is another one; where structure shows that, not at all.
    told = wording_differences(collation, growth, every_word="wording" in scopes or not found)
    return found + [d for d in told if words(d)]


def _of_wording(difference: Difference, *, both: bool) -> bool:
    """Where structure is closed too, a line cut or added is told once, by its structure rule."""
    return not (both and difference.rule == "wording-changed" and "" in difference.identity[2:])
