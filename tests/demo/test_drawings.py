"""The pages of the example: drawn comic pages, each its own, that fit the script."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from ledger.desk.upkeep.example_history import project_folder

PROJECT = project_folder()
BOOK = tomllib.loads((PROJECT / "book.toml").read_text("utf-8"))
PASSES = ("thumbs", "pencils", "inks")


def script_pages() -> dict[str, str]:
    """Picture name -> the words of that page in the last draft."""
    text = "".join(path.read_text("utf-8") for path in sorted((PROJECT / "drafts/script-4").glob("*.md")))
    parts = re.split(r"\[pages? ([\d-]+)\]", text)
    labels = ["p" + "-".join(f"{int(n):03}" for n in label.split("-")) for label in parts[1::2]]
    return dict(zip(labels, parts[2::2], strict=True))


PAGES = script_pages()
LABELS = sorted(PAGES)


def grey(path: Path) -> Image.Image:
    with Image.open(path) as picture:
        return picture.convert("L")


def paintable(values: np.ndarray) -> Image.Image:
    """A picture of an array that can be drawn on."""
    return Image.fromarray(values.astype(np.uint8)).copy()


def panels_of(path: Path) -> int:
    """How many framed fields remain when the paper around them is flooded from the corner."""
    picture = grey(path).point(lambda v: 255 if v > 128 else 0)
    high, wide = picture.height // 3, picture.width // 3
    small = paintable(np.asarray(picture)[: high * 3, : wide * 3].reshape(high, 3, wide, 3).min(axis=(1, 3)))
    ImageDraw.floodfill(small, (0, 0), 60)
    fields = paintable(np.where(np.asarray(small) == 60, 0, 255))
    found = 0
    for y in range(0, fields.height, 6):
        for x in range(0, fields.width, 6):
            if fields.getpixel((x, y)) == 255:
                ImageDraw.floodfill(fields, (x, y), 100)
                size = int((np.asarray(fields) == 100).sum())
                found += size > 0.02 * fields.width * fields.height
                fields = fields.point(lambda v: 0 if v == 100 else v)
    return found


@pytest.mark.parametrize("name", PASSES)
def test_every_page_of_the_script_is_drawn(studio: Path, name: str) -> None:
    assert [path.stem for path in sorted((studio / name).iterdir())] == LABELS
    assert len(LABELS) >= 24


@pytest.mark.parametrize("name", PASSES)
def test_exports_measure_what_the_book_states(studio: Path, name: str) -> None:
    stated = next(one for one in BOOK["pass"] if one["name"] == name)
    ppi = stated.get("ppi", BOOK["page"]["ppi"])
    wide, high = BOOK["page"]["trim_mm"]
    bleed = 2 * BOOK["page"]["bleed_mm"]
    for label in LABELS:
        across = (wide * (2 if "-" in label else 1) + bleed) / 25.4 * ppi
        with Image.open(studio / name / f"{label}.png") as picture:
            assert picture.size == (round(across), round((high + bleed) / 25.4 * ppi)), label
            assert picture.mode == ("1" if name == "inks" else "L")


@pytest.mark.parametrize("label", LABELS)
def test_panels_as_written_at_least_three(studio: Path, label: str) -> None:
    written = PAGES[label].count("[panel")
    assert written >= 3
    assert panels_of(studio / "inks" / f"{label}.png") == written


@pytest.mark.parametrize("label", LABELS)
def test_somebody_speaks_and_somebody_is_drawn(label: str) -> None:
    assert re.search(r"^(M|O|L|V|M & L): \S", PAGES[label], re.MULTILINE)
    board = (PROJECT / "storyboard.txt").read_text("utf-8")
    plain = "-".join(str(int(n)) for n in label[1:].split("-"))
    drawn = board.partition(f"\npage {plain}: ")[2].partition("\n\n")[0]
    assert re.search(r"; [MOLVS] \w+ ", drawn)


def test_inks_have_blacks_and_paper(studio: Path) -> None:
    for label in LABELS:
        black = (np.asarray(grey(studio / "inks" / f"{label}.png")) < 128).mean()
        assert 0.08 <= black <= 0.75, f"{label}: {black:.2f}"


def test_pencils_and_thumbs_are_grey(studio: Path) -> None:
    for name in ("pencils", "thumbs"):
        for label in LABELS:
            shades = np.asarray(grey(studio / name / f"{label}.png"))
            assert ((shades > 40) & (shades < 220)).mean() > 0.05, f"{name} {label}"
            assert (shades < 40).mean() < 0.02, f"{name} {label}"


def test_no_two_pages_are_alike_at_64_px(studio: Path) -> None:
    small = {
        f"{name}/{label}": np.asarray(grey(studio / name / f"{label}.png").resize((64, 64))).astype(float)
        for name in PASSES
        for label in LABELS
    }
    for (one, a), (other, b) in combinations(small.items(), 2):
        assert abs(a - b).mean() > 6, f"{one} and {other}"


def test_the_drawings_come_out_the_same_twice(studio: Path, tmp_path: Path) -> None:
    words = [sys.executable, "-B", "-m", "drawing", "inks", "--only", "8", "--to", str(tmp_path)]
    subprocess.run(words, cwd=PROJECT, check=True)
    assert (tmp_path / "p008.png").read_bytes() == (studio / "inks/p008.png").read_bytes()
    subprocess.run([*words, "--early"], cwd=PROJECT, check=True)
    assert (tmp_path / "p008.png").read_bytes() != (studio / "inks/p008.png").read_bytes()


def test_nothing_binary_in_the_project() -> None:
    for path in PROJECT.rglob("*"):
        if path.is_file():
            assert b"\0" not in path.read_bytes(), path
