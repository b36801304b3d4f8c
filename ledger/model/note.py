"""Readers' notes, their replies, and what became of their place."""

from typing import NamedTuple

from ledger.model.finding import Finding

STATES: tuple[str, ...] = ("open", "query", "done", "stet", "declined", "carried")
EVIDENCE: tuple[str, ...] = ("untouched", "reworded", "redrawn", "moved", "cut", "unplaced")
STANDINGS: tuple[str, ...] = (
    "done-but-untouched", "stet-but-changed", "open-but-changed", "done-then-undone",
    "query-unanswered", "two-on-one-spot",
)  # fmt: skip

#: How the mark of a note begins that was made of a printer's proof: it is answered on paper, not in the book.
OF_A_PROOF = "proof-"

#: So many of the places that an anchor may mean are told.
MOST_CANDIDATES = 20


class Anchor(NamedTuple):
    """Where a note hangs. `typed` is the words between the brackets, "" for a note on the whole book.

    `spot` is (across, down) as fractions of the page picture; `chapter` counts chapters from 1.
    """

    typed: str = ""
    page: str | None = None
    panel: int | None = None
    quote: str | None = None
    scene: str | None = None
    chapter: int | None = None
    spot: tuple[float, float] | None = None


class Reply(NamedTuple):
    """A reply under a note. `state` is one of STATES, or "answer", "seen", "mark", or "" for plain words.

    `where` is the pass or round named (`done in script-4`, `carried to inks`), `at` the place named.
    """

    state: str
    text: str
    line: int
    where: str | None = None
    at: Anchor | None = None


class Note(NamedTuple):
    """One note. `number` is None for a note typed without one; `line` to `end_line` its span."""

    round: str
    number: int | None
    state: str
    text: str
    anchor: Anchor
    path: str
    line: int
    end_line: int
    ticked: bool = False
    replies: tuple[Reply, ...] = ()

    @property
    def id(self) -> str:
        """`<round>/<number>`; a note without a number has `?` there until `notes` writes one."""
        return f"{self.round}/{self.number if self.number is not None else '?'}"

    @property
    def of_a_proof(self) -> bool:
        """Whether it says what is wrong with a printer's proof."""
        return any(r.state == "mark" and r.text.rpartition(", ")[2].startswith(OF_A_PROOF) for r in self.replies)

    @property
    def carried_to(self) -> str | None:
        """The pass or round that a carried note is put off to."""
        last = next((reply for reply in reversed(self.replies) if reply.state == "carried"), None)
        return last.where if last and self.state == "carried" else None


class NotesRound(NamedTuple):
    """One file of notes from one reader; `on` is the entry the notes were made on, `on_line` where that stands."""

    name: str
    path: str
    title: str = ""
    reader: str = ""
    on: str | None = None
    date: str | None = None
    notes: tuple[Note, ...] = ()
    findings: tuple[Finding, ...] = ()
    on_line: int | None = None


class Followed(NamedTuple):
    """A note with what became of its place. Places are in the notes' own spelling, None where there is none.

    `beside` are the ids of the notes of other rounds on the same spot; `candidates` the places that an anchor may mean
    where it means several, or that its place may be at where nothing tells, the first MOST_CANDIDATES of them.
    `words_then` and `words_now` are what stands there, cut short, "" where that is a picture or nothing. `reader` and
    `on` are of its round: who made it, on which entry.
    """

    note: Note
    place_then: str | None = None
    place_now: str | None = None
    evidence: str = "untouched"
    standing: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    candidates: tuple[str, ...] = ()
    words_then: str = ""
    words_now: str = ""
    reader: str = ""
    on: str | None = None

    def is_from(self, asked: str) -> bool:
        """Whether the note is from somebody: by name, by whole words of the name (`Marsh` of `E. Marsh`), or by the
        name of the notes round, with its number or without."""
        name, wanted = (f" {' '.join(words.casefold().split())} " for words in (self.reader, asked))
        round_ = self.note.round.casefold()
        return bool(wanted.strip()) and (wanted in name or wanted.strip() in (round_, round_.rpartition("-")[0]))
