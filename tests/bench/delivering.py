"""Delivering 160 pages of 2000 x 3000 px, beside copying them and `sha256sum`: processor time and memory.

`python -m tests.bench.delivering [--slice]`. The processor's time of a command and of all it started (user and system)
is told as a ratio to `cp` and `sha256sum` of the same files. The small pictures of the sheet are kept in the git folder
since the pages were signed off; what the first delivery costs where they are lost, in another clone, is told too. The
least of several runs counts. What the command needs for a single page, whatever its size, is told beside.
"""

from __future__ import annotations

import io
import random
import resource
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageChops

from tests.bench.lending import SIZE, _command, _page
from tests.typed_book import TypedBook, typed_book

PAGES = 160
MOST_RATIO, MOST_MIB = 1.5, 300


def delivering(arguments: Sequence[str]) -> None:
    """Enters a book, signs it off and delivers it: pages of clean lines, and with the grain of a scan or a brush."""
    count, times = (16, 2) if "--slice" in arguments else (PAGES, 3)
    for grain, mode in (("clean", "L"), ("grain", "L"), ("grain", "RGB")):
        with tempfile.TemporaryDirectory() as folder:
            book = _entered(Path(folder) / "book", count, mode, grain == "grain")
            files = sorted((book.top / "art/inks").iterdir())
            size = sum(path.stat().st_size for path in files) / (1 << 20)
            alone = min(_copied(files, Path(folder) / f"copy{n}") for n in range(times))
            runs = [_command(book, "deliver", "inks", "--to", f"../out{n}") for n in range(times)]
            one = min(_command(book, "deliver", "inks", "--pages", "1", "--to", f"../one{n}")[0] for n in range(times))
            first, later = runs[0][0], min(each[0] for each in runs)
            for kept in (book.top / ".git/inkledger").glob("small-*"):
                kept.unlink()
            lost = _command(book, "deliver", "inks", "--to", "../lost")[0]
            print(f"{count} pages, {grain}, {mode}, {size / count:.1f} MiB a page: copying and hashing {alone:.2f} s, "
                  f"deliver {later / alone:.2f} x that (at most {MOST_RATIO} x), {later:.2f} s; "
                  f"the first time {first / alone:.2f} x; of a single page {one:.2f} s; "
                  f"where nothing is kept {lost / alone:.2f} x; "
                  f"{max(each[2] for each in runs):.0f} MiB (at most {MOST_MIB})", flush=True)  # fmt: skip


def _entered(top: Path, count: int, mode: str, grain: bool) -> TypedBook:
    book = typed_book(top)
    for number in range(1, count + 1):
        data = _page(number, mode)
        book.write(f"art/inks/p{number:03d}.png", _grained(data, number) if grain else data)
    book.change("book.toml", "pages = 4", f"pages = {count}")
    book.change("book.toml", "trim_mm = [50.8, 76.2]\nbleed_mm = 0\nppi = 25",
                "trim_mm = [127, 190.5]\nbleed_mm = 0\nppi = 400")  # fmt: skip
    # A book of which the script has no pages yet: the count is that of book.toml.
    book.write("script/01.md", "# Chapter 1\n\nThe tide.\n")
    book.ledger("enter", "inks", "-m", "drawn")
    book.ledger("lock", "inks", "-m", "inks are good")
    return book


def _grained(data: bytes, seed: int) -> bytes:
    """The page with a grain of a few tones on everything, as paper and brushes have it."""
    page = Image.open(io.BytesIO(data))
    noise = Image.frombytes("L", SIZE, random.Random(seed).randbytes(SIZE[0] * SIZE[1])).point(lambda tone: tone % 12)
    grained = ImageChops.subtract(page, noise if page.mode == "L" else Image.merge("RGB", (noise,) * 3))
    out = io.BytesIO()
    grained.save(out, "PNG", compress_level=6)
    return out.getvalue()


def _copied(files: Sequence[Path], to: Path) -> float:
    """Seconds of the processor of `cp` and `sha256sum` together."""
    to.mkdir()
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(["cp", *map(str, files), str(to)], check=True)
    with Path(to / "manifest").open("wb") as manifest:
        subprocess.run(["sha256sum", *(str(to / path.name) for path in files)], stdout=manifest, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


if __name__ == "__main__":
    delivering(sys.argv[1:])
