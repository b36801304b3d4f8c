"""`spreads` and `weigh` before any page is marked: a range of pages by words, and what it was computed from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ledger.plan.unmarked import Rate, guess, measured_rate
from tests.cli.conftest import Tell
from tests.plan.typed import draft
from tests.typed_book import TypedBook

SCENE = "## The weir\n\nRain.\n\nN: One two three four five six seven eight nine ten.\n\n"
TWO = "# One\n\n" + SCENE * 3 + "## Silence\n\nNobody says a word.\n"


def test_from_words_set_closely_to_a_page_a_scene() -> None:
    found = guess(draft(TWO), Rate(8, 15, "stated"))
    assert (found.words, found.scenes, found.least, found.most) == (30, 4, 2, 7)


def test_the_middle_half_of_pages_is_what_numpy_calls_it() -> None:
    counts = [3, 8, 1, 12, 5, 9, 20]
    pages = "".join(f"[page]\n\nN: {' '.join(['word'] * count)}\n\n" for count in counts)
    rate = measured_rate(draft(pages), "script-1")
    assert rate is not None
    assert (rate.few, rate.many) == tuple(np.quantile(counts, [0.25, 0.75]))
    assert measured_rate(draft("[page]\n\nN: Too little.\n"), "script-1") is None


def test_stated(tell: Tell, laid_out: TypedBook) -> None:
    laid_out.write("script/01.md", TWO)
    said = " ".join(tell(laid_out.top, "spreads", "--words-per-page", "8-15").out.split())
    assert (
        "By its words the draft comes to 2 to 7 pages: 30 lettered words in 4 scenes, 8 to 15 words a page (stated)."
        in said
    )
    assert "By its words" not in tell(laid_out.top, "spreads").out


def test_measured_on_an_earlier_round(tell: Tell, laid_out: TypedBook) -> None:
    pages = "".join(f"[page]\n\nN: {' '.join(['word'] * 10)}\n\n" for _ in range(6))
    laid_out.write("script/01.md", pages)
    laid_out.ledger("enter", "script", "-m", "with pages")
    laid_out.write("script/01.md", TWO)
    said = " ".join(tell(laid_out.top, "spreads").out.split())
    assert "comes to 3 to 4 pages" in said
    assert "10 words a page (measured on 6 pages of script-1)" in said


def test_two_drafts_weighed(tell: Tell, tmp_path: Path) -> None:
    (tmp_path / "old.md").write_text(TWO, "utf-8")
    (tmp_path / "new.md").write_text(TWO + SCENE, "utf-8")
    said = " ".join(tell(tmp_path, "weigh", "old.md", "new.md", "--words-per-page", "10").out.split())
    assert "Words By its words the draft comes to 3 to 4 pages" in said
    assert "comes to 4 to 5 pages" in said


@pytest.mark.parametrize("typed", ["0", "many", "20-10", "-5", ""])
def test_no_rate(tell: Tell, laid_out: TypedBook, typed: str) -> None:
    said = tell(laid_out.top, "spreads", f"--words-per-page={typed}", code=2).err
    assert "can't be read" in said
