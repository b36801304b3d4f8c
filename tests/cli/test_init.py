"""`init`: a book laid out; what is there is kept."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.typed_book import SOMEBODY, TypedBook


def empty(tmp_path: Path) -> TypedBook:
    top = tmp_path / "The salt road"
    top.mkdir()
    return TypedBook(top)


def test_a_fresh_folder_becomes_a_book(tmp_path: Path) -> None:
    book = empty(tmp_path)
    told = book.ledger("init", "--yes", "--json").document
    assert told["schema"] == "inkledger/init/1"
    assert {"book.toml", ".gitattributes"} <= set(told["paths"])
    assert told["commit"] == book.git("rev-parse", "HEAD").strip()
    assert 'title = "The salt road"' in (book.top / "book.toml").read_text()
    assert book.git("status", "--porcelain") == ""
    assert (book.top / "script").is_dir() and (book.top / "art/inks").is_dir()
    assert (book.top / ".git/hooks/pre-commit").exists()
    ladder = [p["name"] for p in book.ledger("status", "--json").document["passes"]]
    assert ladder == ["outline", "script", "thumbs", "pencils", "inks", "flats", "colours", "letters", "proofs"]


def test_twice_is_once(tmp_path: Path) -> None:
    book = empty(tmp_path)
    book.ledger("init", "--yes")
    before = book.git("rev-parse", "HEAD"), (book.top / "book.toml").read_bytes()
    told = book.ledger("init", "--yes", "--json").document
    assert told["paths"] == [] and told["commit"] is None
    assert (book.git("rev-parse", "HEAD"), (book.top / "book.toml").read_bytes()) == before


def test_what_is_there_is_kept(tmp_path: Path) -> None:
    book = empty(tmp_path)
    book.git("init", "-q", "-b", "work")
    book.write("script/01.md", "# One\n")
    book.write(".gitattributes", "*.md text\n")
    book.git("add", ".gitattributes")
    head = book.git("rev-parse", "--verify", "HEAD", code=None)
    book.ledger("init", "--yes")
    assert (book.top / ".gitattributes").read_text() == "*.md text\n"
    assert book.git("rev-parse", "--verify", "HEAD", code=None) == head, (
        "a repository of the user's is not committed to"
    )
    assert (book.top / "script/01.md").read_text() == "# One\n"


def test_a_book_inside_a_book_is_refused(laid_out: TypedBook) -> None:
    told = laid_out.ledger("init", "script", "--yes", code=2)
    assert "inside the book" in told.err


def test_options_answer_the_questions(tmp_path: Path) -> None:
    book = empty(tmp_path)
    book.ledger("init", "--yes", "--title", 'Night "ferry"', "--pages", "96", "--reading", "rtl")
    text = (book.top / "book.toml").read_text()
    assert "pages = 96" in text and 'reading = "rtl"' in text
    assert book.ledger("status", "--json").code == 0


def test_like_another_book(laid_out: TypedBook, tmp_path: Path) -> None:
    book = empty(tmp_path)
    book.ledger("init", "--yes", "--like", str(laid_out.top), "--pages", "96")
    text = (book.top / "book.toml").read_text()
    assert 'title = "The salt road"' in text and "pages = 96" in text and 'N = "Nell"' in text
    names = [p["name"] for p in book.ledger("status", "--json").document["passes"]]
    assert names == ["script", "pencils", "inks", "letters"]
    assert (book.top / "art/letters").is_dir()
    assert "no book.toml" in empty_beside(tmp_path).ledger("init", "--yes", "--like", str(tmp_path), code=2).err


def empty_beside(tmp_path: Path) -> TypedBook:
    top = tmp_path / "third"
    top.mkdir()
    return TypedBook(top)


def test_what_is_refused_leaves_nothing_behind(tmp_path: Path) -> None:
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken/book.toml").write_text("[book]\ntitle = ")
    here = TypedBook(tmp_path)
    for like, said in (("nosuch", "holds no book.toml"), ("broken", "broken/book.toml:2: ")):
        assert said in here.ledger("init", "new", "--like", like, code=2).err
    assert "book.toml:2: " in here.ledger("init", "broken", code=2).err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["broken"]
    assert [p.name for p in (tmp_path / "broken").iterdir()] == ["book.toml"]


@pytest.mark.parametrize(
    "words", [["--like", "."], ["--title", "Other"], ["--pages", "8"], ["--reading", "rtl"], ["--lfs"]], ids=" ".join
)
def test_a_copy_is_made_again_as_it_was(entered: TypedBook, words: list[str]) -> None:
    entered.ledger("backup", "../copy.git")
    refused = entered.ledger("init", "../again", "--from", "../copy.git", *words, code=2)
    assert f"so {words[0]} can't go with it\n  leave {words[0]} away" in refused.err
    assert not (entered.top.parent / "again").exists()


def test_a_title_in_quotes_is_written_as_a_person_would(tmp_path: Path) -> None:
    book = TypedBook(tmp_path)
    book.ledger("init", "--title", 'The "Salt" Lantern', "--pages", "24")
    lines = (tmp_path / "book.toml").read_text().splitlines()
    assert 'title = "The \\"Salt\\" Lantern"' in lines
    assert {line.index("#") for line in lines[3:9] if "  #" in line} == {25}


def test_on_a_terminal_five_things_are_asked(tmp_path: Path) -> None:
    """Answers typed into a real pseudo-terminal."""
    book = empty(tmp_path)
    leader, follower = pty.openpty()
    env = {**os.environ, **SOMEBODY, "TERM": "dumb"}
    run = [sys.executable, "-m", "ledger", "init"]
    process = subprocess.Popen(run, cwd=book.top, env=env, stdin=follower, stdout=follower, stderr=follower)
    os.close(follower)
    os.write(leader, b"Night ferry\nmany\n96\nsideways\nrtl\nmanuscript\nOdile\n")
    said = b""
    until = time.monotonic() + 30
    while process.poll() is None and time.monotonic() < until:
        try:
            said += os.read(leader, 4096)
        except OSError:
            break
    assert process.wait(30) == 0, said
    os.close(leader)
    text = (book.top / "book.toml").read_text()
    assert 'title = "Night ferry"' in text and "pages = 96" in text and 'reading = "rtl"' in text
    assert "manuscript/*.md" in text
    assert b"'many' is no number of pages" in said and b"'sideways' is no reading direction" in said
    for words in (b"Title", b"pages", b"direction", b"script is", b"call you"):
        assert words in said


@pytest.mark.needs_lfs
def test_art_in_large_file_storage(tmp_path: Path) -> None:
    book = empty(tmp_path)
    book.ledger("init", "--yes", "--lfs")
    book.write("script/01.md", "# One\n\nHello.\n")
    book.draw("inks", "001", 3)
    book.ledger("enter", "inks", "--pages", "1")
    kept = book.git("cat-file", "-p", "HEAD:art/inks/p001.png")
    assert kept.startswith("version https://git-lfs.github.com/spec/v1")
    assert "art/inks/p001.png" in book.git("lfs", "ls-files")
    assert book.git("status", "--porcelain", "art") == ""


@pytest.mark.needs_lfs
def test_large_files_beside_a_gitattributes_of_the_users(tmp_path: Path) -> None:
    """It is kept; what to add is told, and once added nothing more is said."""
    book = empty(tmp_path)
    book.write(".gitattributes", "*.md text\n/art/inks/*.png filter=lfs -text\n")
    told = book.ledger("init", "--yes", "--lfs").out.splitlines()
    lines = [line for line in told if line.endswith("filter=lfs diff=lfs merge=lfs -text")]
    assert [line.split()[0] for line in lines] == [
        f"/art/{name}/*.png" for name in ("thumbs", "pencils", "flats", "colours", "letters", "proofs")
    ]
    assert (book.top / ".gitattributes").read_text() == "*.md text\n/art/inks/*.png filter=lfs -text\n"
    book.write(".gitattributes", "\n".join([*lines, "/art/inks/*.png filter=lfs -text", ""]))
    assert "add to its end" not in book.ledger("init", "--yes", "--lfs").out
    book.draw("pencils", "001", 3)
    book.ledger("enter", "pencils")
    assert book.git("cat-file", "-p", "HEAD:art/pencils/p001.png").startswith("version https://git-lfs.github.com/")
