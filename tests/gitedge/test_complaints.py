"""What git complains of, said plainly and with the way out. The samples are git 2.39's own words."""

from __future__ import annotations

import errno
import os
import signal
from collections.abc import Callable

import pytest

from ledger.gitedge.complaints import as_refusal, of_the_machine
from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal
from tests.books import Book

Maker = Callable[..., Book]

SAMPLES = [
    (
        "fatal: Unable to create '/home/ada/book/.git/index.lock': File exists.\n\nAnother git process seems to be"
        " running in this repository, e.g.\nan editor opened by 'git commit'.",
        "another git is at work here: .git/index.lock",
        "if no git is running, delete that file",
    ),
    (
        "fatal: prepare: cannot lock ref 'refs/heads/main': Unable to create"
        " '/home/ada/book/.git/refs/heads/main.lock': File exists.",
        "another git is at work here: .git/refs/heads/main.lock",
        "delete that file",
    ),
    (
        "error: could not lock config file .git/config: File exists",
        "another git is at work here: .git/config.lock",
        "delete that file",
    ),
    (
        "fatal: prepare: cannot lock ref 'refs/heads/main': is at 93b1bb1a but expected 93b1bb1b",
        "the branch main was moved by another git at the same time; nothing was recorded",
        "try again",
    ),
    (
        "fatal: prepare: cannot lock ref 'refs/tags/pass/inks/1': reference already exists",
        "the tag pass/inks/1 is there already",
        "inkledger rounds",
    ),
    (
        "remote: fatal: unable to read 4d439dc9392a02ff265843bfeed6b5b5333582a4\nerror: git upload-pack:"
        " git-pack-objects died with error.\nremote: aborting due to possible repository corruption on the"
        " remote side.\nfatal: the remote end hung up unexpectedly",
        "git has lost something that was recorded here, so it could not do this",
        "see what is missing: inkledger doctor",
    ),
    (
        "error: unable to write file .git/objects/ab/tmp_obj_1: No space left on device\nfatal: x",
        "the disk is full; nothing was recorded",
        "make room",
    ),
    (
        "fatal: unable to create temporary file: Read-only file system",
        "this folder can't be written or read: unable to create temporary file: Read-only file system",
        "see that the disk is not read-only",
    ),
    (
        "fatal: detected dubious ownership in repository at '/srv/book'\nTo add an exception",
        "git does not trust this folder, because it belongs to somebody else",
        'git config --global --add safe.directory "/srv/book"',
    ),
    (
        "Committer identity unknown\n\n*** Please tell me who you are.\n\nfatal: empty ident name (for <>) not allowed",
        "git does not know your name yet, so it can't say who recorded this",
        "git config user.name",
    ),
]


@pytest.mark.parametrize(("said", "message", "way_out"), SAMPLES)
def test_what_is_known_to_happen_is_said_plainly(said: str, message: str, way_out: str) -> None:
    refusal = as_refusal(said.encode(), 128, "/home/ada/book")
    assert refusal.message == message
    assert way_out in (refusal.remedy or "")
    assert refusal.said == said


@pytest.mark.parametrize(
    ("said", "gist"),
    [
        ("warning: x\nerror: first\nfatal: second\nhint: third", "second"),
        ("error: first\nmore", "first"),
        ("words alone\n", "words alone"),
        ("hint: nothing else", "it ended with 128"),
        ("", "it ended with 128"),
        ("fatal: \udcff", "\udcff"),
    ],
)
def test_what_is_not_known_is_told_in_gits_words(said: str, gist: str) -> None:
    refusal = as_refusal(said.encode("utf-8", "surrogateescape"), 128, "/")
    assert refusal.message == f"git could not do this: {gist}"


def test_a_file_that_the_disk_does_not_take(new_repo: Maker) -> None:
    assert as_refusal(b"", -signal.SIGXFSZ, "/").message == "the disk takes no file of this size; nothing was recorded"


@pytest.mark.parametrize(
    ("number", "message"),
    [
        (errno.ENOSPC, "the disk is full; nothing was recorded"),
        (errno.EDQUOT, "the disk is full; nothing was recorded"),
        (errno.EROFS, "this folder can't be written or read: a.md: Read-only file system"),
        (errno.EACCES, "this folder can't be written or read: a.md: Permission denied"),
        (errno.EIO, "this can't be written: a.md: Input/output error"),
    ],
)
def test_what_the_machine_would_not_do(number: int, message: str) -> None:
    assert of_the_machine(OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))).message.startswith("the disk is full")
    for name in ("a.md", b"a.md"):
        refusal = of_the_machine(OSError(number, os.strerror(number), name))
        assert refusal.message == message
        assert refusal.remedy


def test_a_locked_configuration_is_told_by_the_file_that_locks_it(new_repo: Maker) -> None:
    book = new_repo()
    (book.top / ".git/config.lock").touch()
    with pytest.raises(Refusal, match=r"another git is at work here: \.git/config\.lock"):
        Repository.find(book.top).run("config", "--local", "a.b", "c")
