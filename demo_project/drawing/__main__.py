"""`python -m drawing PASS --to DIR`: every page of a pass, drawn at the size the book states."""

from __future__ import annotations

import argparse
import tomllib
from pathlib import Path

from drawing.lettering import Speech
from drawing.pages import Page, draw_page, read_speech, read_storyboard

PROJECT = Path(__file__).parent.parent


def main() -> None:
    """Draws the pages of a pass as PNG files."""
    asked = argparse.ArgumentParser(prog="drawing")
    asked.add_argument("pass_name", choices=["thumbs", "pencils", "inks"])
    asked.add_argument("--to", type=Path, required=True)
    asked.add_argument("--early", action="store_true", help="only the pages that were changed later, as they were")
    asked.add_argument("--only", help="one page label")
    wish = asked.parse_args()
    speech = read_speech(PROJECT / "drafts" / "script-4")
    wish.to.mkdir(parents=True, exist_ok=True)
    for page in read_storyboard((PROJECT / "storyboard.txt").read_text("utf-8"), early=wish.early):
        if wish.only in (None, page.label):
            save_page(page, speech[page.label], wish.pass_name, wish.to)


def save_page(page: Page, said: list[list[Speech]], style: str, folder: Path) -> None:
    """One page as `p008.png` or `p018-019.png`, with its resolution."""
    size, ppi = page_size(style, page.spread)
    image = draw_page(page, said, style, size, ppi / 25.4)
    name = "-".join(f"{int(part):03}" for part in page.label.split("-"))
    image.save(folder / f"p{name}.png", optimize=True, dpi=(ppi, ppi))


def page_size(style: str, spread: bool) -> tuple[tuple[int, int], float]:
    """Width and height in px with bleed, and the resolution: what book.toml asks of an export."""
    book = tomllib.loads((PROJECT / "book.toml").read_text("utf-8"))
    stage = next(one for one in book["pass"] if one["name"] == style)
    ppi = stage.get("ppi", book["page"]["ppi"])
    trim, bleed = book["page"]["trim_mm"], book["page"]["bleed_mm"]
    wide = trim[0] * (2 if spread else 1) + 2 * bleed
    return (round(wide / 25.4 * ppi), round((trim[1] + 2 * bleed) / 25.4 * ppi)), ppi


if __name__ == "__main__":
    main()
