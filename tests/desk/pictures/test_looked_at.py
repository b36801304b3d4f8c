"""What comparing pictures found out is kept in the git folder; losing it costs time and nothing else."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from ledger.desk.comparing import compare
from ledger.desk.pictures import looked_at as module
from ledger.desk.pictures.looked_at import looked_at
from ledger.gitedge.repository import Repository
from tests.books import Book
from tests.pictures.drawn import inked, saved

TOML = '[book]\ntitle = "The Ninth Supper"\npages = 4\n[[pass]]\nname = "inks"\nkind = "art"\nfiles = "p{page}.png"\n'


def touched() -> bytes:
    page = inked()
    page.paste(0, (30, 40, 60, 70))
    return saved(page)


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """Two rounds of three pages: saved anew, touched up, and one over another."""
    found = Book.new(tmp_path / "book", {"book.toml": TOML})
    a, b, c = (saved(inked(seed)) for seed in (1, 2, 3))
    for pages in ((a, b, c), (saved(inked(1).convert("L")), saved(inked(2).convert("RGB")), touched())):
        for number, data in enumerate(pages, 1):
            (found.top / f"p{number}.png").write_bytes(data)
        found.commit("a round")
    return found


def kept(book: Book) -> list[Path]:
    return sorted((book.top / ".git" / "inkledger").glob("looked-at-*"))


def told(book: Book) -> object:
    return compare(book.top, ["HEAD~1", "HEAD"]).pictures


def test_a_second_look_says_the_same_and_decodes_nothing(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    first = told(book)
    assert first and len(kept(book)) == 1
    monkeypatch.setattr("ledger.pictures.assistants._hired", None)
    assert told(book) == first


def test_nothing_is_written_where_nothing_new_is_found(book: Book) -> None:
    told(book)
    before = kept(book)[0].stat().st_mtime_ns
    told(book)
    assert kept(book)[0].stat().st_mtime_ns == before


@pytest.mark.parametrize("at", [0, 3, 40, 60, 90, -2])
def test_a_damaged_row_is_not_believed(book: Book, at: int) -> None:
    first = told(book)
    (place,) = kept(book)
    data = bytearray(place.read_bytes())
    data[at] ^= 0x21
    place.write_bytes(bytes(data))
    assert told(book) == first
    for rubbish in (b"", b"\n", b"\xff\xfe rubbish\n" * 9, bytes(5000), data[: len(data) // 2]):
        place.write_bytes(rubbish)
        assert told(book) == first


def test_it_may_be_deleted_and_is_made_again(book: Book) -> None:
    first = told(book)
    kept(book)[0].unlink()
    assert told(book) == first
    assert len(kept(book)) == 1


def test_a_folder_in_its_place_and_a_folder_that_leads_elsewhere(book: Book, tmp_path: Path) -> None:
    first = told(book)
    (place,) = kept(book)
    place.unlink()
    place.mkdir()
    assert told(book) == first
    place.rmdir()
    place.parent.rmdir()
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    place.parent.symlink_to(elsewhere)
    assert told(book) == first
    assert list(elsewhere.iterdir()) == []


def test_where_the_git_folder_can_t_take_it_nothing_is_kept(book: Book) -> None:
    (book.top / ".git" / "inkledger").write_text("a file where a folder should be", "utf-8")
    assert told(book) == told(book)


def test_what_was_not_asked_for_longest_goes_first(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = Repository.find(book.top)
    monkeypatch.setattr(module, "MOST", 400)
    with looked_at(repo) as memory:
        for number in range(20):
            memory[f"pair-{number:03}"] = "same"
            memory.get("pair-000")
    with looked_at(repo) as memory:
        assert "pair-000" in memory and "pair-019" in memory and "pair-001" not in memory
    assert kept(book)[0].stat().st_size <= 400


LOADED = """\
import sys
from ledger.cli.frame import run
code = run(["compare", "HEAD~1", "HEAD", "--json"])
sys.stdout.flush()
heavy = {"PIL", "numpy", "pickle", "ledger.pictures.assistants", "ledger.pictures.files.decode"}
sys.stderr.write(" ".join(sorted(heavy & set(sys.modules))))
sys.exit(code)
"""


def test_a_second_look_loads_nothing_that_looks_at_pictures(book: Book) -> None:
    def ran() -> tuple[str, str]:
        done = subprocess.run([sys.executable, "-c", LOADED], cwd=book.top, capture_output=True, text=True, check=True)
        return done.stdout, done.stderr

    first, loaded = ran()
    assert "PIL" in loaded
    (again, loaded) = ran()
    assert again == first and loaded == ""
