"""`doctor`: is everything there that the entries name."""

from __future__ import annotations

from pathlib import Path

from ledger.desk.opening import open_book
from ledger.desk.upkeep.disk import pass_sizes
from ledger.gitedge.objects import missing_objects
from ledger.gitedge.tags import make_missing_tags, moved_tags
from ledger.model.entry import Entry
from ledger.model.finding import Finding
from ledger.model.health import Health


def examine(here: Path) -> Health:
    """Looks for every object that an entry names, and makes missing tags again. Nothing is deleted."""
    book = open_book(here)
    state = book.head or book.working
    gone = missing_objects(book.repo, {oid for entry in state.entries for oid in entry.files.values() if oid})
    lost = tuple(
        sorted({(path, entry.name) for entry in state.entries for path, oid in entry.files.items() if oid in gone})
    )
    tagged = [entry for entry in state.entries if _tag(entry)]
    made = make_missing_tags(book.repo, tagged)
    moved = tuple(
        Finding(
            "tag-moved", "block", f"the tag {tag} is not on a commit that holds {path}", path,
            remedy=f"git tag -d {tag}, then inkledger doctor makes it again",
        )
        for tag, path in moved_tags(book.repo, tagged)
    )  # fmt: skip
    return Health(lost, tuple(made), (*state.findings, *moved))


def measure(here: Path) -> Health:
    """What each pass takes on disk; nothing is looked for or mended."""
    return Health(sizes=pass_sizes(open_book(here)))


def _tag(entry: Entry) -> str:
    return str(getattr(entry, "tag", ""))
