"""The lock on drawings at every door: the panel is named, and nothing is read that was not staged."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from ledger.desk.checking import check, check_staged
from ledger.pictures import assistants
from tests.judge.test_stale import four_panels, touched
from tests.pictures.drawn import inked, saved
from tests.typed_book import TypedBook

TOML = """[book]
title = "The Ninth Supper"
pages = 3

[cast]
N = "Nell"

[[pass]]
name = "script"
kind = "text"
files = "script/*.md"

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
from = ["script"]
locks = ["drawing"]

[[pass]]
name = "colours"
kind = "art"
files = "art/colours/p{page}.png"
from = ["inks"]
"""
REDRAWN = touched(0.05, 0.51)
SAID = "Panel 2 of page 1 is not the one signed off"
#: What decodes pictures, and what else a hook has no time for.
HEAVY = {"numpy", "PIL", "click", "markdown_it", "git", "rich", "jinja2"}


@pytest.fixture(scope="module")
def _inked(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Three inked pages, signed off; a server with its hook beside the book, and the book pushed there."""
    top = tmp_path_factory.mktemp("inked")
    book = TypedBook(top / "book")
    book.write("book.toml", TOML)
    book.ledger("init", "--yes")
    book.write("script/01.md", "[page 1]\n[panel 1]\nRain.\n\n[page 2]\nN: Gone.\n\n[page 3]\nSun.\n")
    book.write("art/inks/p001.png", saved(four_panels()))
    for number in (2, 3):
        book.write(f"art/inks/p00{number}.png", saved(inked(number)))
    book.ledger("enter", "script", "-m", "first draft")
    book.ledger("enter", "inks", "-m", "all inked")
    book.ledger("lock", "inks", "-m", "inks are good")
    book.git("init", "-q", "--bare", "--template=", "../server.git")
    book.git("remote", "add", "server", "../server.git")
    book.git("push", "-q", "server", "--all")
    return book


@pytest.fixture
def book(_inked: TypedBook, tmp_path: Path) -> TypedBook:
    _inked.run("cp", "-a", "../server.git", str(tmp_path / "server.git"))
    return _inked.copied(tmp_path / "book")


def redraw(book: TypedBook) -> None:
    book.write("art/inks/p001.png", REDRAWN)
    book.git("add", "art")


# -- every door names page and panel


@pytest.mark.parametrize("words", [("check",), ("check", "--staged")], ids=" ".join)
def test_check(book: TypedBook, words: tuple[str, ...]) -> None:
    redraw(book)
    (found,) = [each for each in book.ledger(*words, "--json", code=1).document["findings"] if each["level"] == "block"]
    assert (found["rule"], found["page"], found["panel"]) == ("panel-redrawn", "1", 2)
    assert SAID in found["message"]
    assert "p1.2" in book.ledger(*words, code=1).out


def test_the_commit_hook(book: TypedBook) -> None:
    redraw(book)
    said = book.git("commit", "-m", "a black in the door", code=1)
    assert SAID in " ".join(said.split())
    assert "p1.2" in said


def test_enter(book: TypedBook) -> None:
    redraw(book)
    done = book.ledger("enter", "inks", "-m", "a black in the door", code=1)
    assert SAID in " ".join((done.out + done.err).split())


def test_audit_and_push(book: TypedBook) -> None:
    redraw(book)
    book.git("commit", "-q", "--no-verify", "-m", "a black in the door")
    blocks = [f for f in book.ledger("audit", "--json", code=1).document["findings"] if f["level"] == "block"]
    assert [(f["rule"], f["page"], f["panel"]) for f in blocks] == [("panel-redrawn", "1", 2)]
    assert SAID in " ".join(book.git("push", "server", "HEAD", code=1).split())


def test_the_server(book: TypedBook) -> None:
    book.ledger("-C", "../server.git", "hook", "install", "--server")
    redraw(book)
    book.git("commit", "-q", "--no-verify", "-m", "a black in the door")
    said = book.git("push", "--no-verify", "server", "HEAD", code=1)
    assert SAID in " ".join(said.replace("remote:", "").split())


# -- only what is staged is read


def forget(book: TypedBook, *paths: str) -> None:
    """Takes the content of these files out of git: whatever reads it now fails."""
    for path in paths:
        oid = book.git("rev-parse", f"HEAD:{path}").strip()
        place = book.top / ".git/objects" / oid[:2] / oid[2:]
        place.chmod(0o644)
        place.unlink()


def hook_imports(book: TypedBook) -> tuple[list[str], set[str]]:
    """The rules found in what is staged, and what was imported to find them."""
    look = (
        "import json, sys\nfrom ledger.desk.staged import staged_findings\n"
        "print(json.dumps([[each.rule for each in staged_findings('.')], list(sys.modules)]))"
    )
    done = subprocess.run([sys.executable, "-c", look], cwd=book.top, capture_output=True, text=True, check=True)
    rules, modules = json.loads(done.stdout)
    return rules, set(modules)


@pytest.mark.parametrize(
    "staged",
    [
        {"notes/marsh.md": "# Marsh\n\n- [ ] 1 (p1.2) Darker?\n"},
        {"script/01.md": "[page 1]\n[panel 1]\nRain.\n\n[page 2]\nN: Gone now.\n\n[page 3]\nSun.\n"},
        {"art/colours/p001.png": saved(inked(8))},
        {"art/inks/p004.tif": b"no export of the book"},
    ],
    ids=["notes", "script", "a page of an open pass", "a file that is no page"],
)
def test_with_no_locked_page_staged_no_picture_is_read(book: TypedBook, staged: dict[str, str | bytes]) -> None:
    """Not one signed-off picture is even there to be read, and nothing that could read one is imported."""
    for path, content in staged.items():
        book.write(path, content)
    book.git("add", "-A")
    forget(book, "art/inks/p001.png", "art/inks/p002.png", "art/inks/p003.png")
    rules, modules = hook_imports(book)
    assert rules == []
    assert HEAVY & modules == set()
    assert not any(name.startswith("ledger.pictures.") for name in modules)
    assert book.run(".git/hooks/pre-commit").code == 0


def test_of_a_locked_page_staged_only_that_page_is_read(book: TypedBook) -> None:
    """The pictures of the other pages are gone from git, and nobody misses them."""
    redraw(book)
    forget(book, "art/inks/p002.png", "art/inks/p003.png")
    rules, modules = hook_imports(book)
    assert rules == ["panel-redrawn"]
    assert "PIL" in modules


def test_a_locked_page_saved_again_as_it_was_needs_no_panels(book: TypedBook) -> None:
    """Equal pixels are found without looking for panels."""
    book.write("art/inks/p001.png", saved(four_panels().convert("RGB"), compress_level=1))
    book.git("add", "art")
    forget(book, "art/inks/p002.png", "art/inks/p003.png")
    rules, modules = hook_imports(book)
    assert rules == []
    assert "ledger.pictures.layout.panels" not in modules
    assert "numpy" not in modules


# -- looked at once


@pytest.fixture
def changed(book: TypedBook) -> TypedBook:
    """Page 1 redrawn, page 2 the one that page 3 was signed off with, page 3 saved anew; all of it staged."""
    third = (book.top / "art/inks/p003.png").read_bytes()
    book.write("art/inks/p002.png", third)
    book.write("art/inks/p003.png", saved(inked(3), "TIFF", compression="group4"))
    redraw(book)
    return book


def stands(book: TypedBook) -> list[tuple[str, str | None, str]]:
    return [(each.rule, each.page, each.message) for each in check(book.top) + check_staged(book.top)]


def test_a_second_look_at_what_is_signed_off_decodes_nothing(
    changed: TypedBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = stands(changed)
    assert [(rule, page) for rule, page, _ in first if rule in ("panel-redrawn", "page-swapped")] == [
        ("panel-redrawn", "1"), ("page-swapped", "2"), ("panel-redrawn", "1"), ("page-swapped", "2"),
    ]  # fmt: skip
    with monkeypatch.context() as patched:
        patched.setattr(assistants, "_hired", None)
        patched.setattr(assistants._here, "kept", None)
        assert stands(changed) == first
    for kept in (changed.top / ".git/inkledger").iterdir():
        kept.unlink()
    assert stands(changed) == first


def test_what_is_kept_of_it_is_not_believed_where_it_is_damaged(changed: TypedBook) -> None:
    first = stands(changed)
    (place,) = (changed.top / ".git/inkledger").glob("looked-at-*")
    rows = place.read_bytes().splitlines()
    assert len([row for row in rows if row.startswith(b"signed-")]) == 3
    for spoilt in (b"\n".join(row[:-7] for row in rows), b"\n".join(row.replace(b"redrawn", b"same") for row in rows),
                   b"\xff" * 5_000_000, b""):  # fmt: skip
        place.write_bytes(spoilt)
        assert stands(changed) == first
