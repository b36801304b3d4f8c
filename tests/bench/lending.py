"""Handing out 160 pages of 2000 x 3000 px, beside decoding them once: processor time and memory of whole commands.

`python -m tests.bench lending [--slice]`. The processor's time of a command and of all it started (user and system),
and its time by the clock (two assistants decode at once), are told as ratios to decoding the same pages once in this
process; the least of several runs counts. A second hand-off of the same pages is told too.
"""

from __future__ import annotations

import io
import os
import random
import resource
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageDraw

from ledger.pictures.decode import decode
from tests.typed_book import SOMEBODY, TypedBook, typed_book

SIZE, PAGES = (2000, 3000), 160
#: Handing out and taking back together, and the memory of a command with its assistants.
MOST_RATIO, MOST_MIB = 2.0, 300


def lending(arguments: Sequence[str]) -> None:
    """Enters a book of inked pages and hands them out; each mode of page by itself."""
    count, times = (24, 1) if "--slice" in arguments else (PAGES, 3)
    for mode in ("1", "L", "RGB"):
        with tempfile.TemporaryDirectory() as folder:
            book, pages = _entered(Path(folder) / "book", count, mode)
            alone = min(_decoding(pages) for _ in range(times))
            fresh = [_command(book, "handoff", "letters", "--to", f"../out{n}", anew=True) for n in range(times)]
            again = _command(book, "handoff", "letters", "--to", "../again")
            worked, waited, memory = (
                pick(each) for pick, each in zip((min, min, max), zip(*fresh, strict=True), strict=True)
            )
            print(f"{count} pages, mode {mode}: handoff {worked / alone:.2f} x decoding them once by processor time, "
                  f"{waited / alone:.2f} x by the clock (with receive at most {MOST_RATIO} x), "
                  f"{memory:.0f} MiB (at most {MOST_MIB}); handed out again {again[0] / alone:.2f} x, "
                  f"{again[1] / alone:.2f} x")  # fmt: skip


def _entered(top: Path, count: int, mode: str) -> tuple[TypedBook, list[bytes]]:
    book = typed_book(top)
    pages = [_page(number, mode) for number in range(1, count + 1)]
    for number, data in enumerate(pages, 1):
        book.write(f"art/inks/p{number:03d}.png", data)
    book.change("book.toml", "pages = 4", f"pages = {count}")
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", "drawn")
    book.ledger("enter", "inks", "-m", "drawn", code=None)
    return book, pages


def _page(seed: int, mode: str) -> bytes:
    """A page of panels, strokes and blacks; in RGB each panel has a colour."""
    drawn = random.Random(seed)
    page = Image.new("RGB" if mode == "RGB" else "L", SIZE, "white")
    pen = ImageDraw.Draw(page)
    for row in range(3):
        for column in range(2):
            left, top = 60 + column * 960, 60 + row * 980
            ground = tuple(drawn.randrange(120, 256) for _ in range(3)) if mode == "RGB" else 255
            pen.rectangle((left, top, left + 900, top + 920), outline="black", fill=ground, width=8)
            for _ in range(120):
                x, y = left + drawn.randrange(900), top + drawn.randrange(920)
                end = (x + drawn.randint(-200, 200), y + drawn.randint(-200, 200))
                pen.line((x, y, *end), fill="black", width=drawn.choice((2, 3, 6)))
    out = io.BytesIO()
    (page.convert("1") if mode == "1" else page).save(out, "PNG")
    return out.getvalue()


def _decoding(pages: Sequence[bytes]) -> float:
    start = time.process_time()
    for data in pages:
        decode(data)
    return time.process_time() - start


def _command(book: TypedBook, *words: str, anew: bool = False) -> tuple[float, float, float]:
    """Seconds of the processor, seconds by the clock, and the most MiB that it and what it started held (PSS).

    `anew` is without what an earlier run found out.
    """
    for kept in book.top.glob(".git/inkledger/lent-*") if anew else ():
        kept.unlink()
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    child = subprocess.Popen([sys.executable, "-m", "ledger", *words], cwd=book.top, env={**os.environ, **SOMEBODY},
                             stdout=subprocess.DEVNULL)  # fmt: skip
    peak = _Peak(child.pid)
    code = child.wait()
    waited = time.perf_counter() - start
    peak.end()
    assert code == 0, f"inkledger {words}: {code}"
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    worked = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return worked, waited, peak.most / (1 << 20)


class _Peak:
    """Watches what a process and its children hold, shared pages once."""

    def __init__(self, pid: int) -> None:
        self.pid, self.most, self._over = pid, 0, threading.Event()
        self._thread = threading.Thread(target=self._watch)
        self._thread.start()

    def end(self) -> None:
        self._over.set()
        self._thread.join()

    def _watch(self) -> None:
        while not self._over.wait(0.1):
            self.most = max(self.most, sum(map(_held, [self.pid, *_children(self.pid)])))


def _children(pid: int) -> list[int]:
    try:
        return [int(each) for each in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except OSError:
        return []


def _held(pid: int) -> int:
    try:
        rows = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0
    return next((int(row.split()[1]) * 1024 for row in rows if row.startswith("Pss:")), 0)
