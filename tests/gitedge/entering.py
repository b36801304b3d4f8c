"""What the tests of the recordings share: entries, and recordings of them."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from ledger.gitedge.intake import kept_as
from ledger.gitedge.record import Recorded, Recording, record
from ledger.gitedge.repository import Repository
from ledger.model.entry import Alteration, Lock, Round
from ledger.read.entries import write_entry

WHEN = datetime(2026, 3, 2, 17, 20, tzinfo=timezone(timedelta(hours=1)))
BY = "Ada Quill <ada@quill.example>"


def script_round(number: int = 1, files: dict[str, str] | None = None, message: str = "first draft") -> Round:
    return Round(
        path=f"ledger/script-{number}.toml", pass_name="script", number=number, date=WHEN, by=BY, message=message,
        files=files or {},
    )  # fmt: skip


def sign_off() -> Lock:
    return Lock(
        path="ledger/lock-pencils-1.toml", pass_name="pencils", number=1, date=WHEN, by=BY, scopes=("structure",)
    )


def slip(number: int = 1) -> Alteration:
    return Alteration(
        path=f"ledger/alteration-{number}.toml", number=number, date=WHEN, by=BY, alteration_class="EA",
        reason="the lamp must be lit", pages="3", scopes=("drawing",), passes=("inks",),
    )  # fmt: skip


def recording_of(repo: Repository, number: int = 1, paths: tuple[str, ...] = ("script/01.md",)) -> Recording:
    """A round of the script with these files as they are now, and from the second on its memo."""
    taken = kept_as(repo, paths)
    entry = script_round(number, {path: file.oid or "" for path, file in taken.items()})
    contents = {entry.path: write_entry(entry)}
    if number > 1:
        contents[f"memos/script-{number}.md"] = b"# What changed\n"
    return Recording(contents, taken, message=f"{entry.name}: {entry.message}", tag=entry.tag)


def enter(repo: Repository, number: int = 1, paths: tuple[str, ...] = ("script/01.md",)) -> Recorded:
    return record(repo, recording_of(repo, number, paths))
