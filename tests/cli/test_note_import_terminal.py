"""`notes import` at a terminal: every note is shown first, and nothing is taken in without a yes."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import sys
import termios
import time
from pathlib import Path
from subprocess import Popen

import pytest

from tests.typed_book import SOMEBODY, TypedBook, typed_book

MAIL = """\
From: Erin Marsh <erin@example.org>
Date: Tue, 3 Mar 2026 10:00:00 +0100
Subject: pages

Dear Rue, a good draft.

p1.2 The key should be smaller, or we will not believe that it lay in the bilge for all of nine years.
p9 who is that?

> p3 was it dark
"""


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = typed_book(tmp_path_factory.mktemp("terminal") / "book")
    book.ledger("enter", "script", "-m", "first draft")
    return book


@pytest.fixture
def book(kept: TypedBook, tmp_path: Path) -> TypedBook:
    return kept.copied(tmp_path / "book")


def at_terminal(book: TypedBook, *words: str, typed: list[tuple[str, str]]) -> list[str]:
    """Runs the command at a terminal of 80 columns; `typed` says after which words what is typed. Gives the rows."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    own = {**os.environ, **SOMEBODY, **book.env, "TERM": "xterm"}
    done = Popen([sys.executable, "-m", "ledger", *words], cwd=book.top, env=own, stdin=theirs, stdout=theirs,
                 stderr=theirs, start_new_session=True,
                 preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0))  # fmt: skip
    os.close(theirs)
    said = b""
    end = time.monotonic() + 60
    waiting = list(typed)
    while time.monotonic() < end:
        if not select.select([ours], [], [], 0.2)[0]:
            if done.poll() is not None:
                break
            continue
        try:
            more = os.read(ours, 4096)
        except OSError:
            break
        said += more
        if waiting and waiting[0][0].encode() in said:
            os.write(ours, waiting.pop(0)[1].encode())
    assert done.wait(10) == 0 and not waiting, said
    os.close(ours)
    return said.decode().replace("\r\n", "\n").split("\n")


def notes_of(book: TypedBook) -> list[Path]:
    return sorted((book.top / "notes").glob("*.md"))


def test_every_note_is_shown_and_a_no_takes_nothing_in(book: TypedBook) -> None:
    book.write("mail.eml", MAIL)
    rows = at_terminal(book, "notes", "import", "mail.eml", typed=[("[Y/n]", "n\n")])
    assert rows[0] == "Erin Marsh on script-1: 3 notes."
    assert rows[1].startswith("  (p1.2) The key should be smaller") and len(rows[1]) <= 80
    assert rows[2:4] == ["  (p9) who is that?", "  (the whole book) Dear Rue, a good draft."]
    assert "1 place of these is not there in script-1." in rows and "1 line of quoted mail was left out." in rows
    assert "Nothing was taken in from mail.eml." in rows and notes_of(book) == []


def test_a_yes_or_enter_alone_takes_them_in(book: TypedBook) -> None:
    book.write("mail.eml", MAIL)
    rows = at_terminal(book, "notes", "import", "mail.eml", typed=[("[Y/n]", "\n")])
    assert any(row.startswith("3 notes of Erin Marsh on script-1 are in") for row in rows)
    assert [path.name for path in notes_of(book)] == ["erin-marsh-1.md"]
    again = at_terminal(book, "notes", "import", "mail.eml", typed=[])
    assert any("here already" in row for row in again) and not any("[Y/n]" in row for row in again)


def test_what_is_pasted_ends_where_the_terminal_says(book: TypedBook) -> None:
    rows = at_terminal(book, "notes", "import", "-", "--from", "Bo",
                       typed=[("Ctrl-D", "p3 too dark\n\x04"), ("[Y/n]", "y\n")])  # fmt: skip
    assert "Bo on script-1: 1 note." in rows and "  (p3) too dark" in rows
    assert "- [ ] 1 (p3) too dark" in notes_of(book)[0].read_text("utf-8")
