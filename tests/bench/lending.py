"""Handing out 160 pages of 2000 x 3000 px and taking flats back, beside decoding them: time and memory of commands.

`python -m tests.bench lending [--slice]`. The processor's time of both commands and of all they started (user and
system), and their time by the clock (two assistants decode at once), are told as ratios to decoding once, in this
process, the pages that went out and those that came back; the least of several runs counts. The line art comes back as
it went out, or packed anew.
"""

from __future__ import annotations

import io
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageDraw

from ledger.pictures.files.decode import decode
from tests.typed_book import FLATS, SOMEBODY, TypedBook, typed_book

SIZE, PAGES = (2000, 3000), 160
#: Handing out and taking back together, and the memory of a command with its assistants.
MOST_RATIO, MOST_MIB = 2.0, 300


def lending(arguments: Sequence[str]) -> None:
    """Enters a book of inked pages, hands them out and takes flats back; each mode of line art by itself."""
    count, times = (24, 1) if "--slice" in arguments else (PAGES, 2)
    for mode in ("1", "L", "RGB"):
        with tempfile.TemporaryDirectory() as folder:
            book, pages = _entered(Path(folder) / "book", count, mode)
            flats = [_flats(number) for number in range(1, count + 1)]
            out, back = (min(_decoding(each) for _ in range(times + 1)) for each in (pages, flats))
            for anew in (False, True):
                runs = [_there_and_back(book, Path(folder), flats, packed_anew=anew) for _ in range(times)]
                lent, came = (
                    [pick(each) for pick, each in zip((min, min, max), zip(*one, strict=True), strict=True)]
                    for one in zip(*runs, strict=True)
                )
                both, all_ = lent[0] + came[0], out + back
                how = f"{mode}, packed anew" if anew else mode
                print(f"{count} pages, line art of mode {how}: handoff {lent[0]:.2f} s, "
                      f"receive {came[0]:.2f} s; decoding what went out {out:.2f} s, what came back {back:.2f} s; "
                      f"{both / all_:.2f} x decoding both once (at most {MOST_RATIO} x), {both / back:.2f} x what came "
                      f"back, {(lent[1] + came[1]) / all_:.2f} x both by the clock; {max(lent[2], came[2]):.0f} MiB "
                      f"(at most {MOST_MIB})", flush=True)  # fmt: skip


def _there_and_back(
    book: TypedBook, folder: Path, flats: Sequence[bytes], *, packed_anew: bool
) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """What handing out and taking back cost, in a copy of the book, so that nothing is known from an earlier run."""
    copy = book.copied(folder / "copy")
    lent = _command(copy, "handoff", "flats", "--to", "../out")
    for number, data in enumerate(flats, 1):
        (folder / f"out/flats/p{number:03d}.png").write_bytes(data)
    for path in (folder / "out/inks").iterdir() if packed_anew else ():
        Image.open(path).save(path, "PNG", compress_level=3)
    came = _command(copy, "receive", "../out")
    assert len(list((copy.top / "art/flats").iterdir())) == len(flats), "a good page was held back"
    for each in ("copy", "out"):
        shutil.rmtree(folder / each)
    return lent, came


def _flats(seed: int) -> bytes:
    """Six panels of plain colour, six discs on each."""
    drawn = random.Random(seed)
    page = Image.new("RGB", SIZE, "white")
    pen = ImageDraw.Draw(page)
    for left, top in ((60 + column * 960, 60 + row * 980) for row in range(3) for column in range(2)):
        pen.rectangle((left, top, left + 900, top + 920), fill=_colour(drawn))
        for _ in range(6):
            x, y = left + drawn.randrange(600), top + drawn.randrange(620)
            pen.ellipse((x, y, x + drawn.randrange(60, 300), y + drawn.randrange(60, 300)), fill=_colour(drawn))
    out = io.BytesIO()
    page.save(out, "PNG")
    return out.getvalue()


def _colour(drawn: random.Random) -> tuple[int, int, int]:
    return drawn.randrange(250), drawn.randrange(250), drawn.randrange(250)


def _entered(top: Path, count: int, mode: str) -> tuple[TypedBook, list[bytes]]:
    book = typed_book(top)
    pages = [_page(number, mode) for number in range(1, count + 1)]
    for number, data in enumerate(pages, 1):
        book.write(f"art/inks/p{number:03d}.png", data)
    book.change("book.toml", "pages = 4", f"pages = {count}")
    book.write("book.toml", (book.top / "book.toml").read_text() + FLATS)
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


def _command(book: TypedBook, *words: str) -> tuple[float, float, float]:
    """Seconds of the processor, seconds by the clock, and the most MiB that it and what it started held (PSS)."""
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
