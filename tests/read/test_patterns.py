"""Which files belong to a pass, and which page each stands for (convention §2)."""

from __future__ import annotations

import unicodedata

import pytest

from ledger.model.book import Pass
from ledger.read.patterns import fits, in_reading_order, label_of, matches

INKS = Pass("inks", "art", ("art/inks/p{page}.tif",))
SCRIPT = Pass("script", "text", ("script/*.md", "extra/*"))


@pytest.mark.parametrize(
    ("path", "label"),
    [
        ("art/inks/p1.tif", "1"),
        ("art/inks/p001.tif", "1"),
        ("art/inks/p024-025.tif", "24-25"),
        ("art/inks/f001.tif", "f1"),
        ("art/inks/b012.tif", "b12"),
        ("art/inks/cover.tif", "cover"),
        ("art/inks/p025-024.tif", None),
        ("art/inks/p001.png", None),
        ("art/inks/deep/p001.tif", None),
        ("art/inks/xp001.tif", None),
        ("art/inks/pcover.tif", None),
        ("art/inks/._p001.tif", None),
        ("art/pencils/p001.tif", None),
        ("art/inks/p001.tif.bak", None),
        ("art/inks/p٣.tif", "3"),
    ],
)
def test_the_page_of_a_file(path: str, label: str | None) -> None:
    assert label_of(path, INKS) == label
    assert matches(path, INKS) == (label is not None)


def test_a_number_of_another_form() -> None:
    tide = Pass("inks", "art", ("art/tide_{page}.png", "art/*.webp"))
    assert label_of("art/tide_012.png", tide) == "12"
    assert label_of("art/tide_p012.png", tide) == "12"
    assert label_of("art/p012.webp", tide) == "12"
    assert label_of("art/rough.webp", tide) is None


@pytest.mark.parametrize(
    ("path", "there"),
    [
        ("script/01.md", True),
        ("script/a b.md", True),
        ("script/deep/01.md", False),
        ("script/._01.md", False),
        ("script/01.mdx", False),
        ("extra/01.txt", True),
        ("extra/01.docx", False),
    ],
)
def test_a_star_stays_within_one_folder(path: str, there: bool) -> None:
    assert matches(path, SCRIPT) is there


def test_accents_written_in_two_signs_are_the_same() -> None:
    chapter = Pass("script", "text", ("script/é*.md",))
    assert matches(unicodedata.normalize("NFD", "script/été.md"), chapter)
    assert matches("script/été.md", Pass("script", "text", (unicodedata.normalize("NFD", "script/é*.md"),)))


def test_files_are_read_in_byte_order() -> None:
    paths = ["script/2.md", "script/10.md", "script/é.md", "script/z.md", "script/Z.md"]
    decomposed = [unicodedata.normalize("NFD", path) for path in paths]
    assert in_reading_order(reversed(paths)) == ["script/10.md", "script/2.md", "script/Z.md", "script/z.md",
                                                 "script/é.md"]  # fmt: skip
    assert [unicodedata.normalize("NFC", p) for p in in_reading_order(decomposed)] == in_reading_order(paths)


def test_signs_of_a_pattern_mean_themselves() -> None:
    assert fits("work/a.(1)+.kra", "work/a.(1)+.*")
    assert not fits("work/aX(1)+.kra", "work/a.(1)+.*")
    assert fits("designs/tomas coat.png", "designs/tomas*")
