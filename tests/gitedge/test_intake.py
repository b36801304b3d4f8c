"""Files taken in are what `git add` would make of them, and nothing else is touched."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.gitedge.intake import ignored_files, kept_as, kept_bytes
from ledger.gitedge.placing import put_and_stage
from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal
from tests.books import Book

Maker = Callable[..., Book]

ATTRIBUTES = "*.md text eol=crlf\n*.txt text=auto\n*.png -text\nwide.md working-tree-encoding=UTF-16\n"
FILES: dict[str, str | bytes] = {
    "a.md": b"one\r\ntwo\r\n", "b.txt": b"one\r\ntwo\r\n", "c.png": b"\r\n\x00",
    "wide.md": "W: Wide.\n".encode("utf-16"),
    "plain": "plain\n",
}  # fmt: skip


def test_content_is_what_git_add_makes_of_it(new_repo: Maker) -> None:
    book, twin = new_repo({".gitattributes": ATTRIBUTES}), new_repo({".gitattributes": ATTRIBUTES})
    book.write(FILES)
    (book.top / "plain").chmod(0o755)
    twin.write(FILES)
    twin.git("add", "-A")
    repo = Repository.find(book.top)
    kept = kept_as(repo, FILES)
    assert {path: file.oid for path, file in kept.items()} == {path: twin.staged()[path] for path in FILES}
    assert kept["plain"].mode == "100755"
    assert repo.reader.raw(kept["a.md"].oid or "") == b"one\ntwo\n"
    as_bytes = {path: data if isinstance(data, bytes) else data.encode() for path, data in FILES.items()}
    assert {p: f.oid for p, f in kept_bytes(repo, as_bytes).items()} == {p: f.oid for p, f in kept.items()}
    assert set(book.staged()) == {".gitattributes"}


def test_a_link_is_taken_in_as_a_link(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    (book.top / "link.md").symlink_to("a.md")
    assert kept_as(Repository.find(book.top), ["link.md"])["link.md"].mode == "120000"


def test_nothing_asked_is_nothing_done(new_repo: Maker) -> None:
    assert kept_as(Repository.find(new_repo().top), []) == {}


def test_a_file_that_is_gone_and_one_that_is_ignored_are_named(new_repo: Maker) -> None:
    book = new_repo({".gitignore": "art/wip/\n*.tmp\n", "a.md": "a"})
    book.write({"art/wip/p001.png": "x", "b.tmp": "x", "c.md": "x"})
    repo = Repository.find(book.top)
    with pytest.raises(Refusal, match="the file is gone") as told:
        kept_as(repo, ["a.md", "nowhere.md"])
    assert told.value.path == "nowhere.md"
    with pytest.raises(Refusal, match="told to ignore"):
        kept_as(repo, ["b.tmp"])
    assert ignored_files(repo) == ("art/wip/p001.png", "b.tmp")


def test_a_filter_that_fails_is_a_refusal(new_repo: Maker) -> None:
    book = new_repo({".gitattributes": "*.png filter=broken\n"})
    book.git("config", "filter.broken.clean", "false")
    book.git("config", "filter.broken.required", "true")
    book.write({"p001.png": "x"})
    with pytest.raises(Refusal, match="clean filter 'broken' failed"):
        kept_as(Repository.find(book.top), ["p001.png"])


@pytest.mark.needs_lfs
def test_a_book_with_large_files_on_a_machine_without_git_lfs(
    new_repo: Maker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = new_repo({".gitattributes": "*.png filter=lfs -text\n"})
    book.write({"p001.png": "x"})
    (tmp_path / "bin").mkdir()
    for name in ("git", "sh"):
        (tmp_path / "bin" / name).symlink_to(shutil.which(name) or "")
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    with pytest.raises(Refusal, match="keeps its art in git-lfs") as told:
        kept_as(Repository.find(book.top), ["p001.png"])
    assert told.value.remedy == "install git-lfs, then: git lfs install"


def test_a_slip_is_written_and_staged_and_nothing_else(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    book.write({"a.md": "staged"})
    book.git("add", "a.md")
    book.write({"a.md": "now"})
    repo = Repository.find(book.top)
    put_and_stage(repo, {"ledger/alteration-1.toml": b"slip\n"})
    assert book.status() == "MM a.md\nA  ledger/alteration-1.toml"
    with pytest.raises(Refusal, match="there already"):
        put_and_stage(repo, {"ledger/alteration-1.toml": b"other\n"})
    assert book.read("ledger/alteration-1.toml") == b"slip\n"
    (book.top / ".git/index.lock").touch()
    with pytest.raises(Refusal, match=r"another git is at work here: \.git/index\.lock"):
        put_and_stage(repo, {"ledger/alteration-2.toml": b"slip\n"})
    assert not (book.top / "ledger/alteration-2.toml").exists()
