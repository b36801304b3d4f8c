"""Exports that are older than their working file, in a book in a folder; times are set by hand."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

import pytest

from ledger.desk.checking import check
from ledger.desk.recording.entering import Wish, enter
from ledger.model.finding import Finding
from tests.books import Book
from tests.pictures.drawn import inked, saved

TOML = """
[book]
title = "The Ninth Supper"
pages = 2
[page]
trim_mm = [50.8, 76.2]
ppi = 100
[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
masters = "work/inks/p{page}.*"
"""
MORNING, NOON, LATER = 1_770_000_000.0, 1_770_020_000.0, 1_770_020_001.0
PAGE = saved(inked(1, (200, 300)))


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return Book.new(tmp_path / "book", {"book.toml": TOML, ".gitignore": "work/\n", "art/inks/p001.png": PAGE})


def lay(book: Book, files: Mapping[str, float]) -> None:
    """Working files with when they were last written; an export keeps its content."""
    for path, when in files.items():
        if not path.startswith("art/"):
            book.write({path: b"layers"})
        os.utime(book.top / path, (when, when))


def behind(book: Book) -> list[Finding]:
    return [finding for finding in check(book.top) if finding.rule == "export-behind"]


def test_a_working_file_newer_than_its_export(book: Book) -> None:
    lay(book, {"art/inks/p001.png": MORNING, "work/inks/p001.kra": NOON})
    (finding,) = behind(book)
    assert (finding.level, finding.path, finding.page) == ("query", "art/inks/p001.png", "1")
    assert finding.message == "page 1 of inks is older than its working file work/inks/p001.kra"


@pytest.mark.parametrize(("exported", "worked"), [(NOON, MORNING), (NOON, NOON), (NOON, LATER)])
def test_an_export_written_after_it_or_with_it_is_none(book: Book, exported: float, worked: float) -> None:
    lay(book, {"art/inks/p001.png": exported, "work/inks/p001.kra": worked})
    assert behind(book) == []


def test_the_working_file_is_found_under_any_padding_and_the_newest_counts(book: Book) -> None:
    lay(book, {"art/inks/p001.png": MORNING, "work/inks/p1.psd": NOON, "work/inks/p001.kra": NOON + 60})
    (finding,) = behind(book)
    assert finding.message.endswith("work/inks/p001.kra")


def test_other_files_and_pages_without_an_export_say_nothing(book: Book) -> None:
    lay(book, {"art/inks/p001.png": MORNING, "work/inks/p002.kra": NOON, "work/inks/old/p001.kra": NOON,
               "work/inks/sketch.kra": NOON})  # fmt: skip
    (book.top / "work/inks/p001.kra").symlink_to("p002.kra")
    (book.top / "work/inks/p001.psd").mkdir()
    assert behind(book) == []


def test_folders_named_by_the_pattern_are_looked_into(book: Book) -> None:
    book.write({"book.toml": TOML.replace("work/inks/p{page}.*", "work/*/p{page}/*.kra")})
    lay(book, {"art/inks/p001.png": MORNING})
    lay(book, {"work/inks/p001/page.kra": NOON})
    assert [finding.message[-23:] for finding in behind(book)] == ["work/inks/p001/page.kra"]


def test_a_pair_that_git_brought_here_is_not_judged_by_its_times(book: Book) -> None:
    lay(book, {"work/inks/p001.kra": MORNING})
    book.git("add", "-f", "work")
    book.commit("layers too")
    lay(book, {"art/inks/p001.png": MORNING})
    os.utime(book.top / "work/inks/p001.kra", (NOON, NOON))
    assert behind(book) == []
    book.write({"work/inks/p001.kra": b"more layers"})
    assert len(behind(book)) == 1


def test_rules_may_raise_it(book: Book) -> None:
    book.write({"book.toml": TOML.replace("[[pass]]", '[rules]\nexport-behind = "block"\n[[pass]]')})
    lay(book, {"art/inks/p001.png": MORNING, "work/inks/p001.kra": NOON})
    assert [finding.level for finding in behind(book)] == ["block"]
    book.write({"book.toml": TOML.replace("[[pass]]", '[rules]\nexport-behind = "off"\n[[pass]]')})
    assert behind(book) == []


def test_entering_an_export_that_is_behind_asks_about_it(book: Book) -> None:
    lay(book, {"art/inks/p001.png": MORNING, "work/inks/p001.kra": NOON})
    outcome = enter(book.top, Wish("inks", message="first page"))
    assert outcome.done
    assert "export-behind" in [finding.rule for finding in outcome.findings]


def test_what_the_rules_raised_is_not_entered(book: Book) -> None:
    raised = TOML.replace("[[pass]]", '[rules]\nexport-behind = "block"\nexport-size = "off"\n[[pass]]')
    book.write({"book.toml": raised, "art/inks/p001.png": saved(inked(1, (20, 30)))})
    book.commit("stricter", "book.toml")
    lay(book, {"art/inks/p001.png": MORNING, "work/inks/p001.kra": NOON})
    outcome = enter(book.top, Wish("inks", message="first page"))
    assert not outcome.done
    assert [(finding.rule, finding.level) for finding in outcome.findings] == [("export-behind", "block")]
    lay(book, {"art/inks/p001.png": NOON})
    assert enter(book.top, Wish("inks", message="first page")).done
