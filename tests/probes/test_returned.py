"""Folders and archives of strangers given to `receive`: nothing outside is touched, what is good stays usable.

The classes are published: CWE-22 (names that leave a folder), CWE-59 (links), CWE-178 (capitals), CWE-409 (archives
that unpack to far more than they are), and overlapping parts as in the Python advisory CVE-2024-0450.
"""

from __future__ import annotations

import io
import os
import shutil
import stat
import struct
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.test_receive import accepted, flat, out, received, rules
from tests.probes.hard_times import killed_after, on_a_full_disk, two_at_once
from tests.schema_check import checked
from tests.typed_book import FLATS, SOMEBODY, TypedBook, typed_book

#: Seconds of processor time, and KiB of memory, that a refusal may take at most; a trap would take far more.
SECONDS, KIB = 20, 400_000


@pytest.fixture(scope="module")
def lent(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = typed_book(tmp_path_factory.mktemp("returned") / "kept/book")
    book.write("book.toml", (book.top / "book.toml").read_text() + FLATS)
    book.ledger("enter", "script", "-m", "first draft")
    for page in range(1, 4):
        book.draw("inks", f"{page:03d}", page * 5)
    book.ledger("enter", "inks", "-m", "drawn")
    book.ledger("handoff", "flats", "--pages", "1-3", "--to", "../out", "--for", "Odd")
    for page in range(1, 4):
        flat(out(book) / f"flats/p{page:03d}.png", page)
    return book


@pytest.fixture
def book(lent: TypedBook, tmp_path: Path) -> TypedBook:
    shutil.copytree(lent.top.parent, tmp_path / "here", symlinks=True)
    return TypedBook(tmp_path / "here/book")


def files_outside(book: TypedBook) -> dict[str, bytes]:
    """All files but those of the book itself."""
    top = book.top.parent.parent
    return {
        str(path.relative_to(top)): path.read_bytes()
        for path in top.rglob("*")
        if path.is_file() and not path.is_symlink() and book.top not in path.parents
    }


def packed(book: TypedBook, extra: Callable[[zipfile.ZipFile], None] | None = None, leave: str = "") -> Path:
    """The folder as an archive, with something more in it."""
    place = book.top.parent / "back.zip"
    with zipfile.ZipFile(place, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(out(book).rglob("*")):
            name = path.relative_to(out(book)).as_posix()
            if name != leave:
                archive.write(path, name)
        if extra:
            extra(archive)
    return place


def linked(name: str, to: str) -> Callable[[zipfile.ZipFile], None]:
    def add(archive: zipfile.ZipFile) -> None:
        info = zipfile.ZipInfo(name)
        info.create_system, info.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
        archive.writestr(info, to)

    return add


def named(name: str) -> Callable[[zipfile.ZipFile], None]:
    return lambda archive: archive.writestr(zipfile.ZipInfo(name), b"evil")


NAMES = ["../evil.png", "flats/../../evil.png", "/tmp/evil.png", "C:/evil.png", "C:evil.png", "flats\\p009.png",
         "..\\evil.png", "flats//p009.png", "flats/./p009.png", "flats/\x1b[2Jp009.png"]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_names_that_lead_elsewhere(book: TypedBook, name: str) -> None:
    packed(book, named(name))
    before = files_outside(book)
    ran = book.ledger("receive", "../back.zip", code=1)
    assert "\x1b" not in ran.out + ran.err
    assert files_outside(book) == before and not Path("/tmp/evil.png").exists()
    assert all((book.top / f"art/flats/p00{n}.png").exists() for n in (1, 2, 3))
    assert sorted(p.name for p in (book.top / "art/flats").iterdir()) == ["p001.png", "p002.png", "p003.png"]


def test_a_link_in_an_archive_is_no_page(book: TypedBook) -> None:
    (book.top.parent / "secret.png").write_bytes((out(book) / "flats/p001.png").read_bytes())
    packed(book, linked("flats/p001.png", "../secret.png"), leave="flats/p001.png")
    document = received(book, "../back.zip", code=1)
    assert rules(document) == [("export-unreadable", "block", "1")] and accepted(document) == ["2", "3"]
    assert "link" in document["findings"][0]["message"]


@pytest.mark.parametrize("name", ["flats/P001.png", "FLATS/p001.png"])
def test_two_names_that_some_disks_take_for_one(book: TypedBook, name: str) -> None:
    packed(book, named(name))
    document = received(book, "../back.zip", code=1)
    assert accepted(document) == ["2", "3"] and "one file on some disks" in str(document["findings"])


def test_a_name_there_twice(book: TypedBook) -> None:
    with pytest.warns(UserWarning, match="Duplicate"):
        packed(book, named("flats/p001.png"))
    assert accepted(received(book, "../back.zip", code=1)) == ["2", "3"]


def changed(data: bytes, name: bytes, at: int, value: bytes) -> bytes:
    """The archive with bytes of a name's entry in its list of files exchanged (APPNOTE.TXT 4.3.12)."""
    place = -1
    while (place := data.index(b"PK\x01\x02", place + 1)) and data[place + 46 : place + 46 + len(name)] != name:
        pass
    return data[: place + at] + value + data[place + at + len(value) :]


def test_one_entry_encrypted_damaged_or_packed_strangely(book: TypedBook) -> None:
    place = packed(book)
    data = place.read_bytes()
    data = changed(data, b"flats/p001.png", 8, struct.pack("<H", 1))
    data = changed(data, b"flats/p002.png", 10, struct.pack("<H", 12))
    data = changed(data, b"flats/p003.png", 16, b"\1\2\3\4")
    place.write_bytes(data)
    document = received(book, "../back.zip", code=1)
    said = " ".join(each["message"] for each in document["findings"])
    assert "encrypted" in said and "method 12" in said and "damaged" in said and accepted(document) == []


def test_a_page_that_unpacks_without_end(book: TypedBook) -> None:
    def bomb(archive: zipfile.ZipFile) -> None:
        with archive.open("flats/p001.png", "w", force_zip64=True) as page:
            for _ in range(96):
                page.write(bytes(1 << 20))

    packed(book, bomb, leave="flats/p001.png")
    ran = measured(book, "receive", "../back.zip", "--json")
    document = checked(ran)
    assert accepted(document) == ["2", "3"] and "64 MiB" in str(document["findings"])


#: Starts a command from a small process: one begun by this one would be counted with all that this one holds.
_STARTER = """
import os, resource, subprocess, sys
done = subprocess.run(sys.argv[1:], stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
sys.stderr.write(f"{used.ru_utime + used.ru_stime} {used.ru_maxrss}")
sys.stdout.buffer.write(done.stdout)
sys.exit(done.returncode)
"""


def measured(book: TypedBook, *words: str) -> str:
    """Output of a command that stays within time and memory."""
    command = [sys.executable, "-c", _STARTER, sys.executable, "-m", "ledger", *words]
    ran = subprocess.run(command, cwd=book.top, env={**os.environ, **SOMEBODY}, capture_output=True)
    assert ran.returncode in (1, 2)
    took, most = ran.stderr.split()
    assert float(took) < SECONDS and int(most) < KIB
    return ran.stdout.decode()


def test_parts_over_each_other(book: TypedBook) -> None:
    place = packed(book)
    data = place.read_bytes()
    first = data.index(b"PK\x01\x02")
    at = data.index(b"flats/p002.png", first) - 46 + 42
    other = data.index(b"flats/p001.png", first) - 46 + 42
    place.write_bytes(data[:at] + data[other : other + 4] + data[at + 4 :])
    assert "over each other" in book.ledger("receive", "../back.zip", code=2).err


def test_more_files_than_any_hand_off(book: TypedBook) -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        for number in range(20_100):
            archive.writestr(f"x/{number}", b"")
    (book.top.parent / "back.zip").write_bytes(data.getvalue())
    assert "more than 20,000 files" in measured(book, "receive", "../back.zip")
    crowd = out(book) / "flats"
    for number in range(20_100):
        (crowd / f"{number}.txt").touch()
    assert "more than 20,000 files" in measured(book, "receive", "../out")


def test_a_list_of_files_that_says_it_is_endless(book: TypedBook) -> None:
    place = packed(book)
    data = bytearray(place.read_bytes())
    data[-22 + 8 : -22 + 12] = b"\xff\xff\xff\xff"
    place.write_bytes(data)
    assert "20,000" in book.ledger("receive", "../back.zip", code=2).err
    place.write_bytes(place.read_bytes()[:2000])
    assert "no ZIP archive" in book.ledger("receive", "../back.zip", code=2).err
    place.write_bytes(b"")
    assert "empty" in book.ledger("receive", "../back.zip", code=2).err


@pytest.mark.parametrize("kind", ["link", "pipe", "folder", "unreadable"])
def test_what_is_no_plain_file_in_a_folder(book: TypedBook, kind: str) -> None:
    page = out(book) / "flats/p001.png"
    moved = page.rename(book.top.parent / "elsewhere.png")
    if kind == "link":
        page.symlink_to(moved)
    elif kind == "pipe":
        os.mkfifo(page)
    elif kind == "folder":
        page.mkdir()
    else:
        page.write_bytes(b"no picture")
    document = received(book, code=1)
    assert accepted(document) == ["2", "3"] and not (book.top / "art/flats/p001.png").exists()
    if kind != "folder":
        assert rules(document)[0] == ("export-unreadable", "block", "1")


def test_a_folder_that_is_a_link_holds_no_page(book: TypedBook) -> None:
    (out(book) / "flats").rename(book.top.parent / "elsewhere")
    (out(book) / "flats").symlink_to("../elsewhere")
    document = received(book, code=1)
    assert accepted(document) == [] and not (book.top / "art/flats").exists()
    assert any(each["path"] == "flats" and "link" in each["message"] for each in document["findings"])


def test_a_list_that_is_a_link(book: TypedBook) -> None:
    (out(book) / "handoff.toml").rename(book.top.parent / "list.toml")
    (out(book) / "handoff.toml").symlink_to("../list.toml")
    assert "link" in book.ledger("receive", "../out", code=2).err


def test_a_full_disk_takes_nothing_in(book: TypedBook) -> None:
    head = book.git("rev-parse", "HEAD")
    ran = on_a_full_disk(book, "receive", "../out")
    assert ran.code == 2 and "Traceback" not in ran.err, ran.err
    assert book.git("rev-parse", "HEAD") == head and book.git("status", "--porcelain") == ""
    assert not (book.top / "art/flats").exists()
    assert accepted(received(book)) == ["1", "2", "3"]


def test_killed_at_any_moment_it_is_there_whole_or_not_at_all(book: TypedBook, tmp_path: Path) -> None:
    seen = set()
    for at in range(14):
        shutil.copytree(book.top.parent, tmp_path / str(at), symlinks=True)
        other = TypedBook(tmp_path / str(at) / "book")
        killed_after(0.2 + at * 0.07, other, "receive", "../out")
        other.ledger("status")
        wanted = ("ledger/handoff-2.toml", "memos/return-2.md", "art/flats/p001.png", "art/flats/p003.png")
        there = [(other.top / place).exists() for place in wanted]
        assert len(set(there)) == 1 and other.git("status", "--porcelain") == ""
        seen.add(there[0])
        assert accepted(received(other)) == ["1", "2", "3"]
        assert not (other.top / "ledger/handoff-3.toml").exists() and other.git("fsck", "--strict") is not None
    assert False in seen


def test_two_at_once_take_it_in_once(book: TypedBook) -> None:
    both = two_at_once(book, "receive", "../out")
    assert 0 in [each.code for each in both] and all("Traceback" not in each.out for each in both)
    assert not (book.top / "ledger/handoff-3.toml").exists() and book.git("status", "--porcelain") == ""
    assert received(book)["done"] is False
