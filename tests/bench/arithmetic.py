"""`python -m tests.bench.arithmetic [--pages 160] [--times 7]`: the book's arithmetic in units of `python -c pass`.

A book of so many pages and eight passes, every page of the seven drawn ones entered; the files of 1,000 pages show
whether it grows worse than the book.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from PIL import Image

from tests.bench.ratio import ratios
from tests.plan.typed import script_text
from tests.typed_book import TypedBook

#: The most units that a "what if" may take on 160 pages and 8 passes.
MOST = 25.0
DRAWN = ("thumbs", "pencils", "inks", "tones", "flats", "colours", "letters")
VERBS = {
    "weigh --add": ("weigh", "--add", "1@40"), "weigh": ("weigh",), "spreads": ("spreads",), "repage": ("repage",),
    "forecast": ("forecast",), "wallchart": ("wallchart",),
}  # fmt: skip


def laid_out(top: Path, pages: int) -> None:
    """The book, everything entered."""
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
        for page in range(1, pages + 1):
            picture = Image.new("L", (50, 75), 255)
            picture.putpixel((page % 50, page // 50), 0)
            picture.putpixel((at, 74), 0)
            picture.save(top / f"art/{name}/p{page:04}.png")
        book.ledger("enter", name, "-m", "whole")


def arithmetic(pages: int, times: int) -> None:
    """Prints a row a verb."""
    with tempfile.TemporaryDirectory() as folder:
        top = Path(folder) / "weir"
        laid_out(top, pages)
        commands = {name: [sys.executable, "-m", "ledger", *words] for name, words in VERBS.items()}
        for name, found in ratios(commands, cwd=top, times=times).items():
            limit = f" (at most {MOST:.0f})" if name == "weigh --add" and pages <= 160 else ""
            print(f"{name}, {pages} pages, 8 passes: {found:.1f} x python -c pass{limit}")


def main() -> None:
    """Measures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pages", type=int, default=160)
    parser.add_argument("--times", type=int, default=7)
    asked = parser.parse_args()
    arithmetic(asked.pages, asked.times)


if __name__ == "__main__":
    main()
