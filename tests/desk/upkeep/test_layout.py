"""What a book's folder holds from the start."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from ledger.desk.upkeep.layout import attributes, folders, lines_for_lfs
from ledger.model.book import Book, Pass

LARGE = "filter=lfs diff=lfs merge=lfs -text"

BOOK = Book(
    "The Ninth Supper", 4,
    passes=(
        Pass("script", "text", ("script/*.md",)),
        Pass("inks", "art", ("art/final inks/p{page}.tif",)),
        Pass("colours", "art", ("art/colours/p{page}.png",)),
    ),
)  # fmt: skip


def test_folders_of_the_passes_and_of_the_convention() -> None:
    assert folders(BOOK) == [
        "script", "art/final inks", "art/colours", "designs", "notes", "ledger", "memos",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("path", "attribute", "value"),
    [
        ("script/01.md", "text", "unset"),
        ("ledger/inks-1.toml", "text", "unset"),
        ("art/final inks/p001.tif", "diff", "unset"),
        ("art/colours/p001.png", "text", "unset"),
        ("designs/nell.png", "diff", "unspecified"),
    ],
)
@pytest.mark.parametrize("lfs", [False, True])
def test_git_understands_the_attributes(tmp_path: Path, path: str, attribute: str, value: str, lfs: bool) -> None:
    """As `git check-attr` reads them (gitattributes(5))."""
    (tmp_path / ".gitattributes").write_text(attributes(BOOK, lfs=lfs))
    subprocess.run(["git", "init", "-q"], cwd=tmp_path, check=True)
    said = subprocess.run(
        ["git", "check-attr", attribute, "filter", "--", path], cwd=tmp_path, check=True, capture_output=True, text=True
    ).stdout.splitlines()
    large = lfs and path.startswith("art/")
    if attribute == "diff" and large:
        value = "lfs"
    assert said == [f"{path}: {attribute}: {value}", f"{path}: filter: {'lfs' if large else 'unspecified'}"]


def test_lines_for_large_files_that_are_lacking() -> None:
    whole = attributes(BOOK, lfs=True)
    assert lines_for_lfs(BOOK, whole) == []
    lacking = lines_for_lfs(BOOK, "")
    assert lacking == ['"/art/final inks/*.tif" ' + LARGE, "/art/colours/*.png " + LARGE]
    assert lines_for_lfs(BOOK, "*.png filter=lfs\n") == lacking[:1]
    assert lines_for_lfs(BOOK, whole + "/art/colours/*.png -filter\n") == lacking[1:]
