"""`page`: the life of a page: its script through all rounds, what was drawn of it, its sign-offs, slips and notes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from ledger.desk.history.rounds import in_order
from ledger.desk.notes.finding import PlacedNote, placed_notes
from ledger.desk.notes.gathered import followed_notes
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.script_states import ScriptStates, script_states
from ledger.desk.stale_pages import stale_now
from ledger.judge.notes.places import Place, page_of
from ledger.model.book import Book
from ledger.model.change import DraftChange, LineChange, PageChange
from ledger.model.entry import Entry, Round
from ledger.model.errors import Refusal
from ledger.model.life import PageEvent, PageLife, PageTurn
from ledger.model.note import Followed
from ledger.model.pages import page_label, page_name, page_numbers
from ledger.model.stale import StalePage
from ledger.read.patterns import label_of


def page_life(here: Path, page: str, *, pictures: bool = False) -> PageLife:
    """The life of a page, named by its number now. Raises Refusal for a name that is no page of the book.

    A page that is gone is named by the number it had when it was last there. With `pictures` every picture of it is
    made ready to be shown.
    """
    wanted = page_label(page)
    if wanted is None:
        raise Refusal(f"{page!r} is no page", remedy="write it as 12, 24-25, f1 or cover")
    book = open_book(here)
    script = script_states(book)
    changes = script.changes()
    labels = _labels(wanted, script, changes)
    label = next((each for each in reversed(labels) if each), wanted)
    path = _Path(script, labels, label)
    events = tuple(_events(book, path))
    if not any(labels) and not any(event.picture for event in events) and not _exported(book, label):
        raise Refusal(f"nothing is known here of {page_name(wanted)}", remedy=_ways_out(script))
    life = PageLife(
        book.working.book.title, label, script.states, tuple(labels), tuple(_turns(labels, changes)), events,
        _undrawn(book.working.book, events), tuple(_notes(book, script, path)), script.unread, _stale(book, label),
    )  # fmt: skip
    if not pictures:
        return life
    from ledger.desk.pictures.life_pictures import life_pictures

    return replace(life, pictures=life_pictures(book.working, life))


def _stale(book: OpenBook, label: str) -> tuple[StalePage, ...]:
    """The passes in which the page rests on older content."""
    return tuple(each for each in stale_now(book, book.working).pages if is_of(each.page, label))


@dataclass(frozen=True)
class _Path:
    """What the page was called in every state of the script; `label` is its name now, or when it was last there."""

    script: ScriptStates
    labels: Sequence[str | None]
    label: str

    def in_state(self, at: int) -> str | None:
        """Its name in a state; where it was not in it yet the one it got, unless another page was called so."""
        if self.labels[at] or not any(self.labels):
            return self.labels[at] or self.label
        later = next((each for each in self.labels[at:] if each), None)
        return None if later is None or page_of(self.script.states[at].draft, later) else later

    def of_entry(self, entry: Entry | None, at: int) -> str | None:
        """Its name in the script that an entry was made from; where that is not known in the state `at`."""
        basis = entry.basis.get(self.script.script.name, "") if isinstance(entry, Round) else ""
        made_from = self.script.at(basis)
        return self.in_state(at if made_from is None else made_from)


def _labels(wanted: str, script: ScriptStates, changes: Sequence[DraftChange | None]) -> list[str | None]:
    """The page's label in every state: followed back and on from the newest state that has it."""
    found: list[str | None] = [None] * len(script.states)
    pages = [page_of(state.draft, wanted) for state in script.states]
    start = next((at for at in reversed(range(len(pages))) if pages[at]), None)
    if start is None:
        return found
    page = pages[start]
    found[start] = page.label if page else None
    for at in range(start, 0, -1):
        found[at - 1] = _partner(changes[at - 1], found[at], back=True)
    return found


def _partner(change: DraftChange | None, label: str | None, *, back: bool) -> str | None:
    """The page's label on the other side of a change."""
    if change is None or label is None:
        return label
    pair = next((p for p in change.pages if (p.new if back else p.old) == label), None)
    return (pair.old if back else pair.new) if pair else None


def _turns(labels: Sequence[str | None], changes: Sequence[DraftChange | None]) -> Iterator[PageTurn]:
    """What became of the page from state to state; states in which it is as it was are left out."""
    if labels and labels[0]:
        yield PageTurn(0, "added", None, labels[0])
    for at, change in enumerate(changes, 1):
        old, new = labels[at - 1], labels[at]
        if change is None or not (old or new):
            continue
        pair = next((p for p in change.pages if (p.old, p.new) == (old, new)), PageChange("kept", old, new))
        if pair.kind != "kept":
            lines = tuple(_on_page(change, old, new)) if old and new else ()
            yield PageTurn(at, pair.kind, old, new, pair.panels, lines)


def _on_page(change: DraftChange, old: str | None, new: str | None) -> Iterator[LineChange]:
    """Lines of the page that changed, on either side."""
    for scene in change.scenes:
        for line in scene.lines:
            there = (line.old and line.old.page == old) or (line.new and line.new.page == new)
            if there and line.kind != "same":
                yield line


# -- what the ledger says of it


@dataclass
class _Drawn:
    """What was last seen of a page in every art pass: object ids by the name of the pass."""

    seen: dict[str, str] = field(default_factory=dict)

    def picture(self, entry: Round, book: Book, label: str) -> str:
        """What a round brought of the page; "" where the round has nothing to do with it."""
        pass_ = book.pass_named(entry.pass_name)
        before = self.seen.get(entry.pass_name, "")
        now = next((oid for path, oid in entry.files.items() if pass_ and is_of(label_of(path, pass_), label)), "")
        self.seen[entry.pass_name] = now
        if now == before:
            return "same" if now and entry.pages is not None and label in entry.page_set else ""
        return "first" if not before else "another" if now else "gone"


def is_of(found: str | None, label: str) -> bool:
    """Whether an export is of this page, or of the spread it is a half of."""
    return found is not None and (found == label or (set(page_numbers(label)) & set(page_numbers(found)) != set()))


def _events(book: OpenBook, path: _Path) -> Iterator[PageEvent]:
    """Entries about the page in the order of history, each under the page's number of its own day."""
    state, drawn, at = book.working, _Drawn(), 0
    for entry in in_order(book, state.entries):
        at = path.script.at(entry.name) or at
        label = path.of_entry(entry, at)
        if label is None:
            continue
        picture = drawn.picture(entry, state.book, label) if isinstance(entry, Round) else ""
        if picture or (not isinstance(entry, Round) and _about(entry, label)):
            yield PageEvent(entry, label, picture)


def _about(entry: Entry, label: str) -> bool:
    try:
        return label in entry.page_set
    except ValueError:
        return True


def _undrawn(book: Book, events: Iterable[PageEvent]) -> tuple[str, ...]:
    """Art passes in which nothing of the page was entered yet."""
    entered = {event.entry.pass_name for event in events if isinstance(event.entry, Round)}
    return tuple(each.name for each in book.passes if each.kind == "art" and each.name not in entered)


def _exported(book: OpenBook, label: str) -> bool:
    """Whether any pass has an export of the page in your files now."""
    state = book.working
    return any(label in state.exports(each) for each in state.book.passes if each.kind == "art")


def _ways_out(script: ScriptStates) -> str:
    labels = [page.label for page in script.states[-1].draft.pages if not page.omitted]
    if not labels:
        return "the script has no page marks yet: see inkledger rounds for what was entered"
    return f"its script has pages {labels[0]} to {labels[-1]}"


# -- its notes


def _notes(book: OpenBook, script: ScriptStates, path: _Path) -> Iterator[Followed]:
    """Notes that were made on the page, whatever its number was then."""
    placed = {(p.said.note.path, p.said.note.line): p for p in placed_notes(book, script)}
    if not placed:
        return
    for followed in followed_notes(book, book.working):
        note = placed.get((followed.note.path, followed.note.line))
        if note is not None and _made_on(note, book, path):
            yield followed


def _stands_on(path: _Path, at: int | None, place: Place | None) -> bool:
    """Whether a place of a state is on the page, or reaches over it."""
    label = path.labels[at] if at is not None else None
    if label is None or place is None:
        return False
    return place.page == label or any(line.page == label for line in place.lines)


def _made_on(note: PlacedNote, book: OpenBook, path: _Path) -> bool:
    if _stands_on(path, note.at, note.place) or _stands_on(path, note.led_to, note.there):
        return True
    page = note.said.note.anchor.page
    if page is None or note.moment is None or note.at is not None:
        return False
    entry = next((e for e in book.working.entries if e.name == note.said.on), None)
    label = path.of_entry(entry, len(path.labels) - 1)
    return label is not None and is_of(page, label)
