"""Files put into the book's folder all together or not at all, and the record of what was brought in."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from ledger.desk.arriving.written import Record, digest_of, state_of
from ledger.gitedge.placing import put_files
from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal
from tests.books import Book


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return Book.new(tmp_path / "book", {"book.toml": "", "script/01.md": "one\n"})


def record(book: Book) -> Record:
    return Record(repo(book))


def repo(book: Book) -> Repository:
    return Repository.find(book.top)


def test_bytes_and_copies_are_written_and_folders_made(book: Book, tmp_path: Path) -> None:
    (tmp_path / "scan.png").write_bytes(b"picture")
    fresh = {"script/02.md": b"two\n", "art/inks/p001.png": tmp_path / "scan.png"}
    put_files(repo(book), fresh, gone=["script/01.md", "never"])
    assert book.all_files() == {"book.toml": b"", "script/02.md": b"two\n", "art/inks/p001.png": b"picture"}


def test_a_mode_stays_and_a_new_file_has_the_usual_one(book: Book) -> None:
    (book.top / "script/01.md").chmod(0o600)
    put_files(repo(book), {"script/01.md": b"1", "script/02.md": b"2"})
    usual = 0o666 & ~_mask()
    assert [(book.top / f"script/0{n}.md").stat().st_mode & 0o777 for n in (1, 2)] == [0o600, usual]


def _mask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def refused(
    book: Book,
    contents: dict[str, bytes | Path],
    gone: list[str] | None = None,
    was: dict[str, bytes | str] | None = None,
) -> Refusal:
    """The refusal; nothing may have been written, taken away or left over."""
    before = book.all_files()
    with pytest.raises(Refusal) as caught:
        put_files(repo(book), contents, was, gone or [])
    assert book.all_files() == before
    return caught.value


def test_one_that_can_not_be_written_stops_all(book: Book, tmp_path: Path) -> None:
    said = refused(book, {"script/01.md": b"new\n", "script/02.md": tmp_path / "nowhere.png"}, ["book.toml"])
    assert said.path == "nowhere.png" and "it can't be read (No such file or directory)" in said.message


@pytest.mark.parametrize("digest", [digest_of(b"zero\n"), ""])
def test_a_file_that_somebody_changed_meanwhile_stops_all(book: Book, digest: str) -> None:
    """To be written over, to be taken away, or new where one lies now."""
    was: dict[str, bytes | str] = {"script/01.md": digest} if digest else {}
    for contents, gone in (
        ({"script/00.md": b"0", "script/01.md": b"new\n"}, []),
        ({"script/00.md": b"0"}, ["script/01.md"]),
    ):
        said = refused(book, {**contents}, gone, was)
        assert said.path == "script/01.md" and "changed meanwhile" in said.message


def test_a_file_in_place_of_a_folder_stops_all(book: Book) -> None:
    assert refused(book, {"script/00.md": b"new\n", "script/01.md/deeper.md": b"x"}).path == "script/01.md"


def test_a_folder_in_place_of_a_file_stops_all(book: Book) -> None:
    book.write({"script/02.md/deeper.md": "mine\n"})
    assert refused(book, {"script/01.md": b"new\n", "script/02.md": b"x"}).path == "script/02.md"


def test_nothing_is_written_through_a_link(book: Book, tmp_path: Path) -> None:
    (tmp_path / "away").mkdir()
    (tmp_path / "away/mine.md").write_bytes(b"mine")
    (book.top / "outline").symlink_to(tmp_path / "away")
    (book.top / "script/02.md").symlink_to(tmp_path / "away/mine.md")
    for path, link in (("outline/mine.md", "outline"), ("outline/new/er.md", "outline"), ("script/02.md",) * 2):
        assert refused(book, {"script/01.md": b"new\n", path: b"x"}).path == link
    assert [each.name for each in (tmp_path / "away").iterdir()] == ["mine.md"]
    assert (tmp_path / "away/mine.md").read_bytes() == b"mine"


# -- the record


def test_what_was_written_is_known_until_somebody_changes_it(book: Book) -> None:
    put_files(repo(book), {"script/02.md": b"two\n"})
    record(book).keep({"script/02.md": b"two\n"}, (), "draft.docx")
    found = record(book)
    assert found.ours("script/02.md") and not found.ours("script/01.md") and not found.ours("script/03.md")
    assert found.with_the_same("draft.docx") == ["script/02.md"] and found.with_the_same("other.docx") == []
    book.write({"script/02.md": "two, mine\n"})
    assert not record(book).ours("script/02.md")


def test_later_ones_are_added_and_those_gone_forgotten(book: Book) -> None:
    record(book).keep({"script/01.md": b"one\n", "script/02.md": b"two\n"}, (), "a")
    record(book).keep({"script/03.md": b"three\n", "script/01.md": b"new\n"}, ["script/02.md"], "b")
    assert record(book).with_the_same("a") == [] and record(book).with_the_same("b") == ["script/01.md", "script/03.md"]


@pytest.mark.parametrize(
    "kept",
    [
        b"",
        b"no json",
        b"[]",
        b"3",
        b'{"script/01.md": 3}',
        b'{"script/01.md": {"digest": "x"}}',
        b"\xff\xfe",
        b"[" * 100_000,
    ],
    ids=range(8),
)
def test_a_record_that_can_not_be_read_makes_nothing_ours(book: Book, kept: bytes) -> None:
    place = record(book).place
    place.parent.mkdir(parents=True)
    place.write_bytes(kept)
    assert record(book).files == {}
    record(book).keep({"script/01.md": b"one\n"}, (), "a")
    assert record(book).ours("script/01.md")


def test_where_the_git_folder_can_not_be_written_nothing_is_lost(book: Book) -> None:
    found = record(book)
    found.place.parent.write_bytes(b"a file in the way")
    found.keep({"script/01.md": b"one\n"}, (), "a")
    assert not record(book).ours("script/01.md")


@pytest.mark.parametrize(
    ("path", "content", "state"),
    [("script/01.md", b"one\n", "unchanged"), ("script/01.md", b"two\n", "clash"), ("script/02.md", b"new\n", "new"),
     ("script/03.md", b"newer\n", "replaced"), ("script/03.md", b"three\n", "unchanged")],
)  # fmt: skip
def test_what_putting_a_file_there_would_be(book: Book, path: str, content: bytes, state: str) -> None:
    book.write({"script/03.md": "three\n"})
    record(book).keep({"script/03.md": b"three\n"}, (), "a")
    assert state_of(record(book), path, content) == state


def test_a_link_or_a_folder_in_the_way_is_never_written_over(book: Book) -> None:
    (book.top / "script/02.md").symlink_to("nowhere")
    (book.top / "script/03.md").mkdir()
    for path in ("script/02.md", "script/03.md"):
        with pytest.raises(Refusal, match="no plain file"):
            state_of(record(book), path, b"x")


def test_a_file_and_its_bytes_have_one_digest(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"one\n")
    assert digest_of(tmp_path / "a") == digest_of(b"one\n") != digest_of(b"one")
