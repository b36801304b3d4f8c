"""What is no page in a page's place, through the real command: it is named, all others are compared, nothing hangs.

Nor does any process of a command hold a gigabyte for it.
"""

from __future__ import annotations

import ctypes
import json
import os
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tests.pictures.drawn import inked, saved
from tests.pictures.test_bad_files import BAD, in_circles
from tests.typed_book import SOMEBODY, TypedBook

TOML = """\
[book]
title = "The Ninth Supper"
pages = 3
[page]
trim_mm = [50.8, 76.2]
ppi = 100
[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
locks = ["drawing"]
"""
SIZE = (200, 300)
#: Longest that a command is waited for, in seconds: a hang, not a slow machine.
HANG = 300
#: The command, then the most memory that any process it started ever held, in kilobytes.
MEASURED = """\
import resource, subprocess, sys
code = subprocess.run([sys.executable, "-m", "ledger", *sys.argv[1:]]).returncode
sys.stderr.write(f"\\nheld {resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss}\\n")
sys.exit(code)
"""
GIGABYTE = 1 << 20
#: Of Linux (prctl(2), capabilities(7)): what lets a superuser read what nobody may, and how it is given up.
DROP, MAY_READ_ALL = 24, (1, 2)


class Said(NamedTuple):
    code: int
    document: dict[str, Any]
    told: str

    def named(self, path: str) -> list[str]:
        return [
            f["message"] for f in self.document["findings"] if (f["rule"], f["path"]) == ("export-unreadable", path)
        ]


def ask(book: TypedBook, *words: str, before: Callable[[], None] | None = None) -> Said:
    line = [sys.executable, "-c", MEASURED, *words, "--json"]
    done = subprocess.run(line, cwd=book.top, env={**os.environ, **SOMEBODY}, capture_output=True, text=True,
                          check=False, timeout=HANG, preexec_fn=before)  # fmt: skip
    told, _, held = done.stderr.rpartition("\nheld ")
    assert "Traceback" not in told and done.returncode in (0, 1, 2), done.stderr
    assert int(held) < GIGABYTE, f"{words[0]} held {held} KB"
    return Said(done.returncode, json.loads(done.stdout), told)


@pytest.fixture(scope="module")
def _inked(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Three pages, entered; the third was drawn anew since."""
    book = TypedBook(tmp_path_factory.mktemp("bad") / "book")
    book.write("book.toml", TOML)
    book.git("init", "-q", "-b", "main")
    for number in (1, 2, 3):
        book.write(f"art/inks/p00{number}.png", saved(inked(number, SIZE)))
    book.ledger("enter", "inks", "-m", "all inked")
    book.write("art/inks/p003.png", saved(inked(7, SIZE)))
    return book


@pytest.fixture
def book(_inked: TypedBook, tmp_path: Path) -> TypedBook:
    return _inked.copied(tmp_path / "book")


PLACE = "art/inks/p002.png"


def asked_of_it(book: TypedBook, before: Callable[[], None] | None = None) -> str:
    """What `compare` and `check` say of the second page; the third is compared all the same."""
    told = ask(book, "compare", "inks-1", before=before)
    assert [(each["page"], each["kind"]) for each in told.document["pictures"]] == [("3", "redrawn")]
    (message,) = told.named(PLACE)
    checked = ask(book, "check", before=before)
    assert len(checked.named(PLACE)) == 1 and checked.code == 0
    assert ask(book, "status", before=before).code == 0
    return message


def not_entered(book: TypedBook, before: Callable[[], None] | None = None) -> str:
    """What `enter` says; nothing is entered, and nothing hangs on the page being there or not."""
    head = book.git("rev-parse", "HEAD")
    told = ask(book, "enter", "inks", "-m", "again", before=before)
    assert told.code in (1, 2) and book.git("rev-parse", "HEAD") == head
    error = told.document.get("error", {})
    assert PLACE in json.dumps(told.document), told
    return str(error.get("message", ""))


@pytest.mark.parametrize("what", BAD)
def test_a_file_that_is_no_page(book: TypedBook, what: str) -> None:
    make, reason = BAD[what]
    book.write(PLACE, make())
    if "that are all there" in what or "of colour" in what:
        told = ask(book, "compare", "inks-1")
        assert [each["page"] for each in told.document["pictures"] if each["page"] != "2"] == ["3"]
        assert ask(book, "check").code == 0
        return
    assert reason in asked_of_it(book)
    not_entered(book)


@pytest.mark.parametrize("what", ["another suffix", "a list of pages in circles"])
def test_what_is_odd_but_a_page_is_read(book: TypedBook, what: str) -> None:
    page = saved(inked(2, SIZE), "TIFF", compression="group4") if what == "another suffix" else in_circles()
    book.write(PLACE, page)
    told = ask(book, "compare", "inks-1")
    assert told.named(PLACE) == [] and ("3", "redrawn") in [(p["page"], p["kind"]) for p in told.document["pictures"]]
    assert ask(book, "check").named(PLACE) == []


def folder(place: Path) -> None:
    place.mkdir()


def full_folder(place: Path) -> None:
    place.mkdir()
    (place / "p002.png").write_bytes(b"")


def bound(place: Path) -> None:
    with socket.socket(socket.AF_UNIX) as made:
        here = Path.cwd()
        os.chdir(place.parent)  # the whole name may be too long for a socket
        try:
            made.bind(place.name)
        finally:
            os.chdir(here)


PUT: dict[str, tuple[Callable[[Path], None], str, str]] = {
    "a folder": (folder, "it is a folder", "a folder lies where a file belongs"),
    "a folder that holds a page": (full_folder, "it is a folder", "a folder lies where a file belongs"),
    "a link to a page of the book": (lambda place: place.symlink_to("p001.png"), "it is a link", "this is a link"),
    "a link out of the book": (lambda place: place.symlink_to("/etc/hostname"), "it is a link", "this is a link"),
    "a link to nowhere": (lambda place: place.symlink_to("nowhere.png"), "it is a link", "this is a link"),
    "a pipe": (lambda place: os.mkfifo(place), "it is no plain file", "this is a pipe or a device"),
    "a socket": (bound, "", "this is a pipe or a device"),
}  # fmt: skip


@pytest.mark.parametrize("what", PUT)
def test_what_lies_in_a_page_s_place_is_named(book: TypedBook, what: str) -> None:
    put, said, refused = PUT[what]
    place = book.top / PLACE
    place.unlink()
    put(place)
    assert said in asked_of_it(book)
    assert refused in not_entered(book)


def test_a_folder_in_the_place_of_a_page_that_never_was_is_named(book: TypedBook) -> None:
    book.write("art/inks/p004.png/p004.png", saved(inked(4, SIZE)))
    told = ask(book, "compare", "inks-1")
    assert told.named("art/inks/p004.png") and [p["page"] for p in told.document["pictures"]] == ["3", "4"]
    assert len(ask(book, "check").named("art/inks/p004.png")) == 1
    head = book.git("rev-parse", "HEAD")
    refused = ask(book, "enter", "inks", "-m", "again").document["error"]
    assert (refused["path"], book.git("rev-parse", "HEAD")) == ("art/inks/p004.png", head)


def test_folders_with_a_suffix_elsewhere_are_kept_like_others(book: TypedBook) -> None:
    book.write("references.v2/boats.old/hull.txt", "clinker")
    assert ask(book, "save", "-m", "references").code == 0
    assert book.git("show", "HEAD:references.v2/boats.old/hull.txt") == "clinker"


def as_one_who_may_not() -> None:
    """Gives up what lets a superuser read what nobody may; others have nothing to give up."""
    if os.geteuid() == 0:
        libc = ctypes.CDLL(None)
        for each in MAY_READ_ALL:
            if libc.prctl(DROP, each, 0, 0, 0):
                raise PermissionError


def test_a_page_that_may_not_be_read_is_named(book: TypedBook) -> None:
    place = book.top / PLACE
    place.chmod(0)
    try:
        reader = [sys.executable, "-c", "import sys; open(sys.argv[1])", str(place)]
        read = subprocess.run(reader, stderr=subprocess.DEVNULL, preexec_fn=as_one_who_may_not, check=False)
    except subprocess.SubprocessError:
        pytest.skip("a superuser can't give up the right to read everything here (prctl)")
    assert read.returncode, "the page can still be read, so this shows nothing"
    assert "Permission denied" in asked_of_it(book, as_one_who_may_not)
    assert "may not be read" in not_entered(book, as_one_who_may_not)
