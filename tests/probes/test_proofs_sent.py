"""Proofs of strangers given to `receive --proofs`: nothing outside is touched, what is good is still read.

The classes are published: CWE-22 (names that leave a folder), CWE-59 (links), CWE-409 (archives and pictures that
unpack to far more than they are).
"""

from __future__ import annotations

import os
import shutil
import struct
import zipfile
import zlib
from pathlib import Path
from typing import Any

import pytest

from tests.marked_pdf import MarkedFile
from tests.probes.hard_times import killed_after, on_a_full_disk, two_at_once
from tests.proof_made import PAGES, entered, laid
from tests.schema_check import checked
from tests.typed_book import TypedBook

RIGHT = list(range(1, PAGES + 1))
COMMAND = ("receive", "../proof", "--proofs")


@pytest.fixture(scope="module")
def delivered(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = entered(tmp_path_factory.mktemp("sent") / "kept/book")
    book.ledger("deliver", "letters", "--to", "../out")
    return book


@pytest.fixture
def book(delivered: TypedBook, tmp_path: Path) -> TypedBook:
    return delivered.copied(tmp_path / "here/book")


def received(book: TypedBook, source: str = "../proof", code: int | None = None) -> dict[str, Any]:
    return checked(book.ledger("receive", source, "--proofs", "--json", code=code).out)


def right(document: dict[str, Any]) -> list[str]:
    return [each["page"] for each in document["pages"] if each["accepted"]]


def bomb(side: int = 60_000) -> bytes:
    """A PNG whose header says far more than it holds."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    rows = chunk(b"IDAT", zlib.compress(b"\0" * 9999))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + rows + chunk(b"IEND", b"")


@pytest.mark.parametrize("kind", ["link", "pipe", "bomb", "cut short", "folder", "control"])
def test_one_bad_sheet_leaves_the_others(book: TypedBook, kind: str) -> None:
    folder = laid(book.top.parent / "proof", RIGHT)
    sheet = folder / "sheet-3.jpg"
    kept = sheet.rename(book.top.parent / "elsewhere.jpg")
    match kind:
        case "link":
            sheet.symlink_to(kept)
        case "pipe":
            os.mkfifo(sheet)
        case "bomb":
            sheet.write_bytes(bomb())
        case "cut short":
            sheet.write_bytes(kept.read_bytes()[:900])
        case "folder":
            sheet.mkdir()
        case "control":
            shutil.copy(kept, folder / "sheet-3\x1b[2J.jpg")
    document = received(book)
    assert [page for page in right(document) if page != "3"] == [str(n) for n in RIGHT if n != 3]
    assert "3" not in right(document) and "\x1b" not in book.ledger("receive", "../proof", "--proofs", code=None).out
    assert book.git("status", "--porcelain") == ""


def test_names_that_leave_an_archive(book: TypedBook) -> None:
    folder = laid(book.top.parent / "made", RIGHT)
    with zipfile.ZipFile(book.top.parent / "proof.zip", "w") as archive:
        for path in folder.iterdir():
            archive.write(path, path.name)
        archive.writestr("../../evil.jpg", b"evil")
        archive.writestr("/tmp/evil.jpg", b"evil")
    document = received(book, "../proof.zip")
    assert right(document) == list(map(str, RIGHT))
    assert not list(book.top.parent.parent.rglob("evil.jpg")) and not Path("/tmp/evil.jpg").exists()
    assert len(document["sheets"]) == PAGES
    assert sorted(each["path"] for each in document["findings"]) == ["../../evil.jpg", "/tmp/evil.jpg"]


def test_a_pdf_with_a_picture_that_unpacks_to_far_more(book: TypedBook) -> None:
    made = MarkedFile()
    made.page(_white(book.top.parent / "white.png"))
    data = made.bytes()
    for side in (b"/Width", b"/Height"):
        assert data.count(side + b" 10") == 1
        data = data.replace(side + b" 10", side + b" 90000")
    (book.top.parent / "proof").write_bytes(data)
    document = received(book, code=1)
    assert right(document) == [] and [each["state"] for each in document["sheets"]] == ["not read"]


def _white(place: Path) -> Path:
    from PIL import Image

    Image.new("L", (10, 10), 255).save(place)
    return place


def test_an_encrypted_pdf_is_refused_whole(book: TypedBook) -> None:
    made = MarkedFile()
    made.page(words="Proof")
    (book.top.parent / "proof").write_bytes(made.encrypted())
    assert "encrypted" in book.ledger("receive", "../proof", "--proofs", code=2).err
    assert book.git("status", "--porcelain") == "" and not (book.top / "ledger/handoff-1.toml").exists()


def test_nothing_is_written_among_the_sheets(book: TypedBook) -> None:
    folder = laid(book.top.parent / "proof", RIGHT[1:])
    before = {path: path.read_bytes() for path in folder.rglob("*")}
    outside = {path for path in book.top.parent.rglob("*") if book.top not in (path, *path.parents)}
    document = received(book)
    assert {path: path.read_bytes() for path in folder.rglob("*")} == before
    assert {path for path in book.top.parent.rglob("*") if book.top not in (path, *path.parents)} == outside
    assert {path.split("/")[0] for path in document["paths"]} == {"ledger", "memos", "notes"}


def test_a_full_disk_takes_nothing_in(book: TypedBook) -> None:
    laid(book.top.parent / "proof", RIGHT[1:])
    head = book.git("rev-parse", "HEAD")
    ran = on_a_full_disk(book, *COMMAND)
    assert ran.code == 2 and "Traceback" not in ran.err, ran.err
    assert book.git("rev-parse", "HEAD") == head and book.git("status", "--porcelain") == ""
    assert not list((book.top / "notes").glob("proofs-*")) and received(book, code=1)["done"] is True


def test_killed_at_any_moment_it_is_there_whole_or_not_at_all(book: TypedBook, tmp_path: Path) -> None:
    laid(book.top.parent / "proof", RIGHT[1:])
    seen = set()
    for at in range(8):
        shutil.copytree(book.top.parent, tmp_path / str(at), symlinks=True)
        other = TypedBook(tmp_path / str(at) / "book")
        killed_after(0.3 + at * 0.25, other, *COMMAND)
        other.ledger("status")
        there = [(other.top / place).exists()
                 for place in ("ledger/handoff-1.toml", "memos/return-1.md", "notes/proofs-1.md")]  # fmt: skip
        assert len(set(there)) == 1 and other.git("status", "--porcelain") == ""
        seen.add(there[0])
        received(other, code=1)
        assert not (other.top / "notes/proofs-2.md").exists() and not (other.top / "ledger/handoff-2.toml").exists()
    assert False in seen


def test_two_at_once_take_it_in_once(book: TypedBook) -> None:
    laid(book.top.parent / "proof", RIGHT[1:])
    both = two_at_once(book, *COMMAND)
    assert 1 in [each.code for each in both] and all("Traceback" not in each.out for each in both), both
    assert not (book.top / "notes/proofs-2.md").exists() and book.git("status", "--porcelain") == ""
    assert received(book, code=1)["done"] is False
