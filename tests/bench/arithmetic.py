"""`python -m tests.bench.arithmetic [--pages 160] [--times 7]`: the book's arithmetic in units of `python -c pass`.

A book of so many pages, a script and eight drawn passes, every page entered; 1,000 pages show whether it grows worse
than the book. `--pictures 160` measures the wallchart as a page, with every export small.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

from PIL import Image

from tests.bench.pages.draw import draw_page
from tests.bench.pages.plan import make_plan
from tests.bench.ratio import ratios, run, within
from tests.plan.typed import script_text
from tests.typed_book import TypedBook

#: The most units that a "what if" may take on 160 pages and 8 passes.
MOST = 25.0
#: The most that the wallchart with pictures may take: times decoding and shrinking them, MiB written, MiB of memory.
MOST_DECODES, MOST_MEBIBYTES, MOST_MEMORY = 1.5, 6, 250
DRAWN = ("thumbs", "pencils", "inks", "tones", "flats", "colours", "letters", "proofs")
VERBS = {
    "weigh --add": ("weigh", "--add", "1@40"), "weigh": ("weigh",), "spreads": ("spreads",), "repage": ("repage",),
    "forecast": ("forecast",), "wallchart": ("wallchart",),
}  # fmt: skip


def laid_out(top: Path, pages: int, draw: Callable[[int, int], Image.Image]) -> None:
    """The book, everything entered; `draw` gives the picture of a page in a pass, both counted from 0."""
    book = TypedBook(top)
    toml = f'[book]\ntitle = "The Weir"\npages = {pages}\n\n[page]\ntrim_mm = [50.8, 76.2]\nppi = 25\n'
    toml += '\n[[pass]]\nname = "script"\nkind = "text"\nfiles = "script/*.md"\n'
    for above, name in zip(("script", *DRAWN), DRAWN, strict=False):
        made_from = f'["{above}", "script"]' if above != "script" else '["script"]'
        toml += f'\n[[pass]]\nname = "{name}"\nfiles = "art/{name}/p{{page}}.png"\nfrom = {made_from}\nper_day = 2\n'
    book.write("book.toml", toml)
    book.ledger("init", "--yes")
    book.write("script/01.md", script_text(pages))
    book.ledger("enter", "script", "-m", "whole")
    for at, name in enumerate(DRAWN):
        (top / "art" / name).mkdir(parents=True, exist_ok=True)
        for page in range(pages):
            draw(page, at).save(top / f"art/{name}/p{page + 1:04}.png")
        book.ledger("enter", name, "-m", "whole")


def dotted(page: int, at: int) -> Image.Image:
    """A small page with a dot of its own."""
    picture = Image.new("L", (50, 75), 255)
    picture.putpixel(((page + 1) % 50, (page + 1) // 50), 0)
    picture.putpixel((at, 74), 0)
    return picture


def drawn() -> Callable[[int, int], Image.Image]:
    """Pages of the comic pages' generator, each with a mark of its own, at 1000 x 1500 px."""
    sheets = [draw_page(make_plan("bordered", Random(seed)), "grey").resize((1000, 1500)) for seed in range(8)]

    def draw(page: int, at: int) -> Image.Image:
        picture = sheets[page % len(sheets)].copy()
        picture.paste(0, (at * 20, page, at * 20 + 15, page + 15))
        return picture

    return draw


def arithmetic(pages: int, times: int) -> None:
    """Prints a row a verb."""
    with tempfile.TemporaryDirectory() as folder:
        top = Path(folder) / "weir"
        laid_out(top, pages, dotted)
        commands = {name: [sys.executable, "-m", "ledger", *words] for name, words in VERBS.items()}
        for name, found in ratios(commands, cwd=top, times=times).items():
            limit = f" (at most {MOST:.0f})" if name == "weigh --add" and pages <= 160 else ""
            print(f"{name}, {pages} pages, 9 passes: {found:.1f} x python -c pass{limit}")


def with_pictures(pages: int) -> None:
    """Prints what the wallchart with pictures takes beside decoding and shrinking them, first and second look."""
    with tempfile.TemporaryDirectory() as folder:
        top = Path(folder) / "weir"
        laid_out(top, pages, drawn())
        files = sorted((top / "art").rglob("*.png"))
        start = time.perf_counter()
        for file in files:
            with Image.open(file) as picture:
                picture.load()
                picture.resize((64, 96), reducing_gap=3.0)
        plain = time.perf_counter() - start
        out = top / "wall.html"
        command = [sys.executable, "-m", "ledger", "-C", str(top), "wallchart", "--out", str(out)]
        for look in ("first", "second"):
            took = run(command, top)
            told = within(took.seconds / plain, MOST_DECODES, "x decoding and shrinking")
            size = within(out.stat().st_size / 2**20, MOST_MEBIBYTES, "MiB")
            memory = within(took.mebibytes, MOST_MEMORY, "MiB of memory")
            print(f"wallchart with pictures, {pages} pages, {look} look: {told}, {size}, {memory}")


def main() -> None:
    """Measures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pages", type=int, default=160)
    parser.add_argument("--times", type=int, default=7)
    parser.add_argument("--pictures", type=int, metavar="PAGES", help="the wallchart as a page instead, with pictures")
    asked = parser.parse_args()
    if asked.pictures:
        with_pictures(asked.pictures)
    else:
        arithmetic(asked.pages, asked.times)


if __name__ == "__main__":
    main()
