"""Entering a chapter of exports, set against git doing the same without a ledger."""

from __future__ import annotations

import io
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from PIL import Image

from tests.bench.ratio import clean_environment

#: A long comic's pages, each as large as a page of line art is as PNG: noise of this many pixels a side, 1 bit deep.
PAGES, SIDE = 160, 1095
BOOK = """\
[book]
title = "The Tide Clock"
pages = 160

[page]
trim_mm = [168, 258]

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
"""


def run(top: Path, *command: str) -> None:
    """Runs a command in the book."""
    done = subprocess.run(command, cwd=top, env=clean_environment(), capture_output=True, stdin=subprocess.DEVNULL)
    if done.returncode:
        raise SystemExit(f"{' '.join(command[:4])}: exit {done.returncode}: {done.stderr.decode()[-300:]}")


def page(seed: int) -> bytes:
    """A picture that does not pack: about 150 KB."""
    noise = random.Random(seed).randbytes((SIDE + 7) // 8 * SIDE)
    held = io.BytesIO()
    Image.frombytes("1", (SIDE, SIDE), noise).save(held, "PNG")
    return held.getvalue()


def new_book(top: Path, pages: list[bytes]) -> None:
    """A repository with exports that nobody has recorded yet."""
    (top / "art/inks").mkdir(parents=True)
    run(top, "git", "init", "-q")
    run(top, "git", "config", "user.name", "Ada Quill")
    run(top, "git", "config", "user.email", "ada@quill.example")
    (top / "book.toml").write_text(BOOK)
    (top / ".gitattributes").write_text("*.png -text\n")
    run(top, "git", "add", ".")
    run(top, "git", "commit", "-q", "-m", "first")
    for number, data in enumerate(pages, 1):
        (top / f"art/inks/p{number:03}.png").write_bytes(data)


def by_git(top: Path) -> None:
    """What the ratio is told in: `git add` and `git commit`."""
    run(top, "git", "add", "art")
    run(top, "git", "commit", "-q", "-m", "inks")


def by_us(top: Path) -> None:
    """The same as a round, with its entry and its tag, by the command."""
    run(top, sys.executable, "-m", "ledger", "enter", "inks", "-m", "inks")


def ratio(times: int, ways: dict[str, Callable[[Path], None]]) -> dict[str, float]:
    """How long each way takes, told in the first one's time, all runs interleaved."""
    pages = [page(number) for number in range(PAGES)]
    took: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(times):
        for name, act in ways.items():
            with tempfile.TemporaryDirectory() as folder:
                top = Path(folder) / "book"
                new_book(top, pages)
                start = time.perf_counter()
                act(top)
                took[name].append(time.perf_counter() - start)
    base = statistics.median(next(iter(took.values())))
    return {name: statistics.median(runs) / base for name, runs in took.items()}


def entering(times: int) -> None:
    """Prints the ratio."""
    found = ratio(max(3, times // 4), {"git": by_git, "enter": by_us})
    print(f"entering {PAGES} pages of 150 KB: {found['enter']:.2f} x git add + git commit")
