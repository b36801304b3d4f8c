"""What comparing two rounds of pages costs beside a plain decode of both: ratios in one run, and the memory it takes.

The pages are drawn, 2000 x 3000 px, in lines, tones and colour, and saved as PNG. The decode is Pillow's, with zlib-ng
the fastest at hand, in one process; the comparison is the whole command, start and all, and may use two processors.
"""

from __future__ import annotations

import io
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from PIL import Image

from tests.bench.pages.draw import STYLES, Patch, draw_page
from tests.bench.pages.files import _shifted
from tests.bench.pages.plan import KINDS, make_plan, panels_of
from tests.bench.ratio import clean_environment, held_together, run, within

SIZE = (2000, 3000)
#: What is done to every page -> how many times a plain decode of both sides it may take.
MOST = {"saved anew": 1.1, "one local change a page": 2.5, "all shifted": 4.0, "known": 0.08}
#: MiB that the command and its assistants may hold together.
MOST_HELD = 250
TOML = (
    '[book]\ntitle = "The Ninth Supper"\npages = 24\n[[pass]]\nname = "inks"\nkind = "art"\nfiles = "art/p{page}.png"\n'
)


def page(number: int) -> dict[str, bytes]:
    """One page as it was, and after each deed."""
    dice = random.Random(number)
    plan = replace(make_plan(KINDS[number % len(KINDS)], dice), size=SIZE)
    style = STYLES[number % len(STYLES)]
    before = draw_page(plan, style, crossings=number)
    chosen = dice.randrange(len(panels_of(plan)))
    touched = draw_page(plan, style, {chosen: Patch(dice.getrandbits(30), 0.2)}, crossings=number)
    return {
        "old": _saved(before, 6), "saved anew": _saved(before, 3), "one local change a page": _saved(touched, 6),
        "all shifted": _saved(_shifted(before, dice), 6),
    }  # fmt: skip


def _saved(picture: Image.Image, level: int) -> bytes:
    out = io.BytesIO()
    picture.save(out, "PNG", compress_level=level)
    return out.getvalue()


def decoding(pictures: Sequence[bytes]) -> float:
    """Seconds a plain decode of them all takes."""
    start = time.perf_counter()
    for data in pictures:
        Image.open(io.BytesIO(data)).load()
    return time.perf_counter() - start


def rounds(times: int) -> None:
    """Prints what each deed costs."""
    count = 6 if times < 10 else 24
    pages = [page(number) for number in range(count)]
    with tempfile.TemporaryDirectory() as folder:
        top = _book(Path(folder), pages)
        for deed in ("saved anew", "one local change a page", "all shifted"):
            told = [sys.executable, "-m", "ledger", "compare", "old", deed.replace(" ", "-"), "--json"]
            plain, took = [], []
            for _ in range(3 if times < 10 else 5):
                plain.append(decoding([each[side] for each in pages for side in ("old", deed)]))
                _forget(top)
                took.append(run(told, top).seconds)
            _forget(top)
            held = held_together(told, top)
            print(
                f"{count} pages, {deed}: {_beside(min(took) / min(plain), deed)}; "
                f"all its processes hold {within(held, MOST_HELD, 'MiB')}"
            )
        again = min(run(told, top).seconds for _ in range(5))
        start = min(run([*told[:4], "old", "old", "--json"], top).seconds for _ in range(5))
        print(
            f"{count} pages, known: {_beside(again / min(plain), 'known')}, of which {start / min(plain):.2f} is a "
            "comparison of nothing"
        )


def _forget(top: Path) -> None:
    """Takes away what was found out about pictures."""
    for kept in (top / ".git" / "inkledger").glob("looked-at-*"):
        kept.unlink()


def _beside(ratio: float, deed: str) -> str:
    over = ", OVER" if ratio > MOST[deed] else ""
    return f"{ratio:.2f} x a plain decode of both sides (at most {MOST[deed]:g}{over})"


def _book(top: Path, pages: Sequence[dict[str, bytes]]) -> Path:
    """A repository with a tag a deed."""
    (top / "art").mkdir()
    (top / "book.toml").write_text(TOML, "utf-8")
    _git(top, "init", "-q")
    for deed in ("old", "saved anew", "one local change a page", "all shifted"):
        for number, each in enumerate(pages, 1):
            (top / "art" / f"p{number:03}.png").write_bytes(each[deed])
        _git(top, "add", ".")
        _git(top, "-c", "user.name=Ines", "-c", "user.email=ines@example.org", "commit", "-qm", deed)
        _git(top, "tag", deed.replace(" ", "-"))
    return top


def _git(top: Path, *words: str) -> None:
    subprocess.run(["git", *words], cwd=top, check=True, env=clean_environment())
