"""Entering a chapter of exports, set against git doing the same without a ledger."""

from __future__ import annotations

import random
import statistics
import subprocess
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from ledger.gitedge.intake import kept_as
from ledger.gitedge.record import Recording, record
from ledger.gitedge.repository import Repository
from ledger.model.entry import Round
from ledger.read.entries import write_entry
from tests.bench.ratio import clean_environment

#: A long comic's pages, each as large as a page of line art is as PNG.
PAGES, PAGE_BYTES = 160, 150_000


def git(top: Path, *args: str) -> None:
    """Runs git in the book."""
    subprocess.run(["git", *args], cwd=top, env=clean_environment(), check=True, capture_output=True)


def new_book(top: Path, seed: int, pages: int) -> tuple[str, ...]:
    """A repository with exports that nobody has recorded yet; gives their paths."""
    noise = random.Random(seed)
    (top / "art/inks").mkdir(parents=True)
    git(top, "init", "-q")
    git(top, "config", "user.name", "Ada Quill")
    git(top, "config", "user.email", "ada@quill.example")
    (top / "book.toml").write_text('[book]\ntitle = "The Tide Clock"\npages = 160\n')
    git(top, "add", "book.toml")
    git(top, "commit", "-q", "-m", "first")
    paths = tuple(f"art/inks/p{n:03}.png" for n in range(1, pages + 1))
    for path in paths:
        (top / path).write_bytes(noise.randbytes(PAGE_BYTES))
    return paths


def by_git(top: Path, paths: tuple[str, ...]) -> None:
    """What the ratio is told in: `git add` and `git commit`."""
    git(top, "add", "art")
    git(top, "commit", "-q", "-m", "inks")


def by_record(top: Path, paths: tuple[str, ...]) -> None:
    """The same as a round with its entry and its tag."""
    repo = Repository.find(top)
    taken = kept_as(repo, paths)
    entry = Round(
        path="ledger/inks-1.toml", number=1, pass_name="inks", date=datetime.now(UTC),
        by="Ada Quill <ada@quill.example>",
        files={path: file.oid or "" for path, file in taken.items()},
    )  # fmt: skip
    record(repo, Recording({entry.path: write_entry(entry)}, taken, message=entry.name, tag=entry.tag))


def ratio(times: int, pages: int = PAGES) -> float:
    """How long entering takes, told in git's own time for the same files, all runs interleaved."""
    took: dict[str, list[float]] = {"git": [], "record": []}
    for run in range(times):
        for name, act in (("git", by_git), ("record", by_record)):
            with tempfile.TemporaryDirectory() as folder:
                paths = new_book(Path(folder) / "book", run, pages)
                start = time.perf_counter()
                act(Path(folder) / "book", paths)
                took[name].append(time.perf_counter() - start)
    return statistics.median(took["record"]) / statistics.median(took["git"])


def entering(times: int) -> None:
    """Prints the ratio."""
    print(f"entering {PAGES} pages of {PAGE_BYTES // 1000} KB: {ratio(max(3, times // 3)):.2f} x git add + git commit")
