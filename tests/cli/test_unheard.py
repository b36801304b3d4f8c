"""Nobody hears: a pipe is left early, the disk is full, standard streams are closed. Work and exit code stay."""

from __future__ import annotations

import shlex
import sys

import pytest

from tests.typed_book import Ran, TypedBook

#: Verbs that are answered without the command-line library, and others, the library's own help too.
ASKED = ["status", "check", "compare --json", "rounds", "spreads --json", "memo", "completion bash"]
LIBRARY = ["--help", "status --help", "--version"]


@pytest.fixture
def book(entered: TypedBook) -> TypedBook:
    """One round of script and pencils."""
    return entered


def shell(book: TypedBook, line: str) -> Ran:
    """A line of bash in the book; `ink` in it is the command line."""
    done = book.run("bash", "-c", f'ink() {{ {shlex.quote(sys.executable)} -m ledger "$@"; }}; {line}')
    assert "Traceback" not in done.err and "Exception ignored" not in done.err, done.err
    return done


@pytest.mark.parametrize("words", [*ASKED, *LIBRARY])
def test_a_reader_who_went_away_is_no_fault(book: TypedBook, words: str) -> None:
    done = shell(book, f"ink {words} | true; echo ${{PIPESTATUS[0]}}")
    assert (done.out, done.err) == ("0\n", "")


def test_what_blocks_blocks_whoever_reads_it(book: TypedBook) -> None:
    entry = book.top / "ledger/script-1.toml"
    entry.write_bytes(entry.read_bytes() + b"# later\n")
    for words in ("check", "check --json"):
        assert shell(book, f"ink {words} | true; echo ${{PIPESTATUS[0]}}").out == "1\n"


@pytest.mark.parametrize("words", [*ASKED, "--version"])
@pytest.mark.parametrize(("where", "why"), [(">/dev/full", "No space left on device"), (">&-", "Bad file descriptor")])
def test_where_it_can_not_be_written_one_sentence_says_so(book: TypedBook, words: str, where: str, why: str) -> None:
    done = shell(book, f"ink {words} {where}")
    assert done.code == 2
    assert done.err == (
        f"inkledger: standard output can't be written: {why}\n"
        "  the work itself is done; only what there was to say of it is lost\n"
    )


def test_what_was_recorded_is_not_denied(book: TypedBook) -> None:
    book.change("script/01.md", "Push.", "Push harder.")
    assert shell(book, "ink enter script -m unheard >&-").code == 2
    assert book.git("log", "-1", "--format=%s").strip() == "script-2: unheard"


def test_a_refusal_ends_as_one_where_its_document_can_not_be_written(book: TypedBook) -> None:
    done = shell(book, "ink enter nosuch --json >/dev/full")
    assert done.code == 2 and done.err.startswith("inkledger: 'nosuch' is no pass of this book\n")
    assert shell(book, "ink enter nosuch >&- 2>&-").code == 2


def test_without_standard_input_nobody_is_asked(book: TypedBook) -> None:
    assert shell(book, "ink init ../other <&-").code == 0
    done = shell(book, "ink notes import - --json <&-")
    assert done.code == 2 and "fault" not in done.document["error"]["message"]
