"""Bad input: one clear sentence and the remedy each, nothing lost, no traceback, and `--json` stays JSON."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from tests.typed_book import SOMEBODY, Ran, TypedBook


@pytest.fixture
def book(entered: TypedBook) -> TypedBook:
    """One round of script and pencils."""
    return entered


def refused(book: TypedBook, *words: str, says: str, remedy: str = "", env: dict[str, str] | None = None) -> Ran:
    """The command is refused (exit 2) in plain words, the same sentence in JSON."""
    before = book.git("rev-parse", "HEAD", code=None), book.git("ls-files", "-s", code=None)
    told = book.ledger(*words, code=2, env=env)
    assert says in told.err, told.err
    assert remedy in told.err, told.err
    assert told.err.startswith("inkledger: ")
    document = book.ledger(*words, "--json", code=2, env=env).document
    error = document["error"]
    assert says in f"{error['path']}:{error['line']}: {error['message']} {error['remedy']}"
    assert set(document["error"]) == {"message", "path", "line", "remedy"}
    assert (book.git("rev-parse", "HEAD", code=None), book.git("ls-files", "-s", code=None)) == before
    return told


def test_not_a_repository(tmp_path: Path) -> None:
    bare = TypedBook(tmp_path)
    for words in (["status"], ["enter", "script"], ["check"], ["audit"], ["lock", "inks"], ["notes", "list"]):
        told = bare.ledger(*words, code=2)
        assert "init" in told.err, told.err


def test_a_repository_without_a_book(tmp_path: Path) -> None:
    bare = TypedBook(tmp_path)
    bare.git("init", "-q", "-b", "main")
    told = bare.ledger("status", code=2)
    assert "book.toml" in told.err
    assert "inkledger init" in told.err


def test_a_book_inside_another_repository(tmp_path: Path) -> None:
    """It is there: the sentence must not say that there is none."""
    bare = TypedBook(tmp_path)
    bare.git("init", "-q", "-b", "main")
    bare.write("lantern/book.toml", '[book]\ntitle = "The Salt Lantern"\npages = 3\n')
    bare.write("lantern/script/01.md", "# One\n")
    for folder in ("lantern", "lantern/script"):
        said = " ".join(bare.ledger("-C", folder, "status", code=2).err.split())
        assert "lantern/book.toml: this book lies inside another git repository" in said
        assert "in the book's folder: inkledger init" in said
    assert "there is no book.toml here" in bare.ledger("status", code=2).err
    bare.ledger("init", "--yes", "lantern")
    bare.ledger("-C", "lantern/script", "status")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[book]\ntitle = "The Ninth Supper\npages = 4\n', "book.toml:2"),
        ('[book]\ntitle = "The Ninth Supper"\npages = "four"\n', "book.toml:3"),
        ('[book]\ntitle = "The Ninth Supper"\npages = 4\nreadnig = "rtl"\n', "book.toml:4"),
        ("[book]\npages = 4\n", "title"),
    ],
)
def test_a_broken_book_toml_names_the_line(book: TypedBook, text: str, says: str) -> None:
    book.write("book.toml", text)
    refused(book, "status", says=says)
    refused(book, "enter", "script", says=says)


def test_an_unknown_key_names_the_nearest(book: TypedBook) -> None:
    book.change("book.toml", 'reading = "ltr"', 'readnig = "ltr"')
    refused(book, "status", says="readnig", remedy="reading")


def test_an_unknown_pass_names_the_nearest(book: TypedBook) -> None:
    refused(book, "enter", "pencil", says="pencil", remedy="pencils")


def test_a_latin_1_draft_is_read_and_named(book: TypedBook) -> None:
    book.write("script/01.md", "# One\n\nN: D\u00e9j\u00e0 vu, na\u00efve?\n".encode("latin-1"))
    told = book.ledger("check", "--json", code=None).document
    assert [f["path"] for f in told["findings"] if f["rule"] == "encoding"] == ["script/01.md"]
    book.ledger("enter", "script")
    typed = (book.top / "script/01.md").read_bytes()
    assert b"\xe9" in typed, "writing back changes no byte"
    assert book.git("rev-parse", "HEAD:script/01.md") == book.git("hash-object", "--no-filters", "script/01.md")


def test_an_empty_draft_is_a_draft(book: TypedBook) -> None:
    book.write("script/01.md", "")
    book.ledger("enter", "script", "-m", "from scratch")
    assert book.ledger("compare", "script-1", "script-2", "--json").document["new"]["words"] == 0


def test_a_binary_in_the_script_folder_is_named(book: TypedBook) -> None:
    book.write("script/02.md", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(range(256)))
    told = book.ledger("check", "--json", code=None).document
    assert any(f["path"] == "script/02.md" for f in told["findings"])
    book.ledger("compare", "script-1", "--json")


def test_an_unreadable_picture_is_not_entered(book: TypedBook) -> None:
    whole = (book.top / "art/pencils/p002.png").read_bytes()
    book.write("art/pencils/p002.png", whole[: len(whole) // 2])
    head = book.git("rev-parse", "HEAD")
    told = book.ledger("enter", "pencils", code=1)
    assert "p002.png" in told.out
    assert book.git("rev-parse", "HEAD") == head
    assert (book.top / "art/pencils/p002.png").read_bytes() == whole[: len(whole) // 2]


def test_a_name_that_could_be_two_things(book: TypedBook) -> None:
    book.git("branch", "old.md")
    book.write("old.md", "# One\n\nN: Hello.\n")
    refused(book, "compare", "old.md", "script-1", says="old.md", remedy="path:")


def test_an_index_locked_by_another_git(book: TypedBook) -> None:
    book.write(".git/index.lock", "")
    book.change("script/01.md", "N: Listen.", "N: Listen!")
    refused(book, "enter", "script", says="index.lock")
    book.ledger("status")
    book.ledger("compare")


def test_a_detached_head_and_a_merge_under_way(book: TypedBook) -> None:
    book.change("script/01.md", "N: Listen.", "N: Listen!")
    book.git("checkout", "-q", "--detach")
    refused(book, "enter", "script", says="old state of the book", remedy="git switch main")
    book.git("checkout", "-q", "main")
    book.write(".git/MERGE_HEAD", book.git("rev-parse", "HEAD"))
    refused(book, "enter", "script", says="merge")


def test_no_identity_is_mended_for_this_book_alone(tmp_path: Path) -> None:
    nobody = {**dict.fromkeys(SOMEBODY, ""), "HOME": str(tmp_path / "home"), "GIT_CONFIG_NOSYSTEM": "1"}
    (tmp_path / "home").mkdir()
    env = {k: v for k, v in {**os.environ, **nobody}.items() if k not in SOMEBODY}
    top = tmp_path / "book"
    top.mkdir()

    def run(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(words, cwd=top, env=env, capture_output=True, text=True, check=False)

    done = run(sys.executable, "-m", "ledger", "init", "--yes")
    assert done.returncode == 0, done.stderr
    (top / "script").mkdir(exist_ok=True)
    (top / "script/01.md").write_text("# One\n\nN: Hello.\n")
    done = run(sys.executable, "-m", "ledger", "enter", "script", "-m", "first")
    assert done.returncode == 0, done.stderr
    assert run("git", "config", "--local", "user.name").stdout.strip()
    assert not list((tmp_path / "home").iterdir())


def test_a_book_that_was_cloned_without_an_identity_says_what_to_set(book: TypedBook, tmp_path: Path) -> None:
    book.change("script/01.md", "N: Listen.", "N: Listen!")
    env = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    env.update(HOME=str(tmp_path), GIT_CONFIG_NOSYSTEM="1", GIT_CONFIG_COUNT="1",
               GIT_CONFIG_KEY_0="user.useConfigOnly", GIT_CONFIG_VALUE_0="true")  # fmt: skip
    subprocess.run(["git", "config", "--unset-all", "user.name"], cwd=book.top, env=env, check=False)
    subprocess.run(["git", "config", "--unset-all", "user.email"], cwd=book.top, env=env, check=False)
    done = subprocess.run(
        [sys.executable, "-m", "ledger", "enter", "script"], cwd=book.top, env=env, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 2, done.stderr
    assert "git config user.name" in done.stderr


def test_a_disk_that_takes_no_more(book: TypedBook) -> None:
    """A file may grow to 512 bytes: every way of writing fails somewhere in the middle (as a full disk does)."""
    book.change("script/01.md", "N: Listen.", "N: Listen!\n\n" + "Water under the boards.\n\n" * 200)
    typed = (book.top / "script/01.md").read_bytes()
    before = book.git("rev-parse", "HEAD"), book.git("for-each-ref"), book.git("status", "--porcelain")

    def little() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (512, 512))

    done = subprocess.run(
        [sys.executable, "-m", "ledger", "enter", "script"], cwd=book.top, env={**os.environ, **SOMEBODY},
        capture_output=True, text=True, check=False, preexec_fn=little,
    )  # fmt: skip
    assert done.returncode == 2, done.stderr + done.stdout
    assert "Traceback" not in done.stderr
    assert (book.git("rev-parse", "HEAD"), book.git("for-each-ref"), book.git("status", "--porcelain")) == before
    assert (book.top / "script/01.md").read_bytes() == typed
    book.git("fsck", "--strict")
    book.ledger("enter", "script")


def test_a_hook_whose_interpreter_has_moved(book: TypedBook) -> None:
    place = next(Path(book.top, ".git/hooks").glob("pre-commit"))
    text = place.read_text()
    assert sys.executable in text
    place.write_text(text.replace(sys.executable, "/nowhere/python"))
    book.change("script/01.md", "N: Listen.", "N: Listen!")
    book.git("add", "-A")
    said = book.git("commit", "-qm", "late", code=1)
    assert "hook install" in said
    book.ledger("hook", "install")
    book.git("commit", "-qm", "late")


def test_wrong_use_is_no_fault_of_ours(book: TypedBook) -> None:
    for words in (
        ["enter"],
        ["enter", "script", "--pages", "4-1"],
        ["lock", "script"],
        ["fly"],
        ["compare", "nowhere-9"],
    ):
        told = book.ledger(*words, code=2)
        assert told.err.startswith("inkledger: "), told.err


@pytest.mark.parametrize("words", [[], ["notes"], ["hook"]], ids=["no verb", "notes", "hook"])
def test_without_a_verb_the_help_is_shown_as_it_is(book: TypedBook, words: list[str]) -> None:
    told = book.ledger(*words, code=2)
    assert told.out == "" and told.err == book.ledger(*words, "--help").out
    assert "..." not in told.err.partition("Commands:")[2], "what a verb does is said in a line"


def test_another_folder_may_be_named_before_between_and_after(book: TypedBook) -> None:
    away, there = TypedBook(book.top.parent), ["-C", book.top.name]
    lines = ([*there, "notes", "list"], ["notes", *there, "list"], ["notes", "list", *there])
    for words in (*lines, ["-C", "nowhere", "notes", *there, "list"]):
        assert away.ledger(*words, "--json").document["schema"] == "inkledger/notes/1"
    assert "nowhere: no such folder" in away.ledger("notes", "-C", "nowhere", "list", code=2).err
