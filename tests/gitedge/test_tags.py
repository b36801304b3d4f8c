"""Tags say what their entries say, so that anybody makes the same ones again."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from ledger.gitedge import tags
from ledger.gitedge.objects import missing_objects
from ledger.gitedge.repository import Repository
from ledger.model.entry import Entry
from ledger.read.entries import write_entry
from tests.books import Book
from tests.gitedge.entering import enter, script_round, sign_off, slip

Maker = Callable[..., Book]


def with_entries(book: Book, *entries: Entry) -> str:
    book.write({entry.path: write_entry(entry) for entry in entries})
    return book.commit("entries")


@pytest.mark.parametrize("form", ["sha1", "sha256"])
def test_a_tag_made_again_is_the_one_that_was_there(new_repo: Maker, form: str) -> None:
    book = new_repo({"script/01.md": "a"}, form=form)
    repo = Repository.find(book.top)
    enter(repo)
    book.write({"later.md": "x"})
    book.commit("later")
    before = book.git("show-ref", "--tags")
    book.git("tag", "-d", "pass/script/1")
    entry = script_round(1, {"script/01.md": book.staged()["script/01.md"]})
    assert tags.make_missing_tags(repo, [entry]) == ("pass/script/1",)
    assert book.git("show-ref", "--tags") == before
    assert tags.make_missing_tags(repo, [entry]) == ()
    assert tags.make_missing_tags(repo, [entry]) == ()


def test_every_kind_has_its_name_and_a_reopening_has_none(new_repo: Maker) -> None:
    book = new_repo()
    commit = with_entries(book, script_round(), sign_off(), slip())
    repo = Repository.find(book.top)
    made = tags.make_missing_tags(repo, [script_round(), sign_off(), slip(), slip(2)._replace(path="ledger/x")])
    assert made == ("pass/script/1", "lock/pencils/1", "alteration/1")
    said = book.git("for-each-ref", "--format=%(refname:short) %(objecttype) %(*objectname) %(contents)", "refs/tags")
    assert said.split("\n\n")[0].split("\n")[0] == f"alteration/1 tag {commit} alteration-1: the lamp must be lit"
    assert book.git("fsck", "--strict", "--no-dangling") == ""


def test_the_tag_stands_on_the_oldest_commit_that_adds_those_bytes(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    wrong = script_round()._replace(message="not these bytes")
    with_entries(book, wrong)
    right = with_entries(book, script_round())
    book.write({"b.md": "b"})
    book.commit("later")
    tags.make_missing_tags(Repository.find(book.top), [script_round()])
    assert book.git("rev-parse", "pass/script/1^{commit}") == right


def test_an_entry_that_came_with_a_merge_is_tagged_on_its_own_commit(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    book.git("switch", "-q", "-c", "side")
    side = with_entries(book, script_round())
    book.git("switch", "-q", "main")
    with_entries(book, sign_off())
    book.git("merge", "-q", "--no-edit", "side")
    renumbered = script_round(2)
    book.write({renumbered.path: write_entry(renumbered)})
    book.git("add", "-A")
    book.git("commit", "-q", "--amend", "--no-edit")
    repo = Repository.find(book.top)
    tags.make_missing_tags(repo, [script_round(), renumbered])
    assert book.git("rev-parse", "pass/script/1^{commit}") == side
    assert book.git("rev-parse", "pass/script/2^{commit}") == book.git("rev-parse", "HEAD")


def test_entries_that_are_not_recorded_have_no_tag_yet(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    book.write({script_round().path: write_entry(script_round())})
    assert tags.make_missing_tags(Repository.find(book.top), [script_round()]) == ()
    assert tags.make_missing_tags(Repository.find(new_repo().top), [script_round()]) == ()


def test_a_moved_tag_is_named_with_its_entry(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    with_entries(book, script_round(), sign_off())
    repo = Repository.find(book.top)
    tags.make_missing_tags(repo, [script_round(), sign_off()])
    assert tags.moved_tags(repo, [script_round(), sign_off()]) == ()
    book.git("tag", "-f", "-m", "moved", "pass/script/1", "HEAD~1")
    assert tags.moved_tags(repo, [script_round(), sign_off()]) == (("pass/script/1", "ledger/script-1.toml"),)
    book.git("tag", "-f", "pass/script/1", book.git("rev-parse", "HEAD:a.md"))
    assert tags.moved_tags(repo, [script_round()]) == (("pass/script/1", "ledger/script-1.toml"),)


def test_what_is_known_of_a_commit_is_not_asked_and_other_tags_are(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    entries = [script_round(), sign_off()]
    head = with_entries(book, *entries)
    held, repo = book.staged(), Repository.find(book.top)
    tags.make_missing_tags(repo, entries)
    asked: list[str] = []

    def known(commit: str, path: str) -> str | None:
        asked.append(commit)
        return held[path] if commit in ("HEAD", head) else None

    assert tags.moved_tags(repo, entries, known) == ()
    assert set(asked) == {"HEAD", head}
    # A tag of a tag, and one whose object is lost, are looked at by git.
    book.git("tag", "-f", "-a", "-m", "twice", "pass/script/1", "pass/script/1")
    assert tags.moved_tags(repo, entries, known) == ()
    place = book.top / ".git" / tags.ref_of(tags.tag_of(entries[1]))
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text("1" * 40 + "\n")
    assert tags.moved_tags(repo, entries, known) == ((tags.tag_of(entries[1]), entries[1].path),)


def test_no_tag_is_made_up_where_a_shallow_clone_ends(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo()
    with_entries(book, script_round())
    book.write({"b.md": "b"})
    book.commit("later")
    book.git("clone", "-q", "--depth=1", f"file://{book.top}", str(tmp_path / "clone"))
    assert tags.make_missing_tags(Repository.find(tmp_path / "clone"), [script_round()]) == ()


@pytest.mark.parametrize(
    ("by", "when", "tagger"),
    [
        ("Ada", date(2025, 3, 1), "Ada <> 1740787200 +0000"),
        ("Ada <a@b.example>", date(1950, 1, 1), "Ada <a@b.example> 0 +0000"),
        ("<a@b.example>", date(1970, 1, 2), "unknown <a@b.example> 86400 +0000"),
        ("A <b> <c@d.example>", date(1970, 1, 2), "A <b c@d.example> 86400 +0000"),
        ("Ada\nObject x <a\nb>", date(1970, 1, 2), "Ada Object x <a b> 86400 +0000"),
    ],
)
def test_whatever_an_entry_says_git_takes_the_tag(new_repo: Maker, by: str, when: date, tagger: str) -> None:
    book = new_repo({"a.md": "a"})
    entry = script_round(message="two\n\nlines")._replace(by=by, date=when)
    oid = tags.write_tag(Repository.find(book.top), entry, book.git("rev-parse", "HEAD"))
    assert f"\ntagger {tagger}\n" in book.git("cat-file", "tag", oid)
    book.git("update-ref", "refs/tags/pass/script/1", oid)
    assert book.git("fsck", "--strict", "--no-dangling") == ""


def test_objects_that_are_not_here_are_counted_out(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a", "b.md": "b"})
    lost = book.staged()["b.md"]
    (book.top / ".git/objects" / lost[:2] / lost[2:]).unlink()
    never = "1" * 40
    ids = {book.staged()["a.md"], lost, never, ""}
    assert missing_objects(Repository.find(book.top), ids) == {lost, never}


@pytest.mark.needs_lfs
def test_a_large_file_that_is_not_in_the_store_is_missing(new_repo: Maker) -> None:
    book = new_repo({".gitattributes": "*.png filter=lfs -text\n", "p001.png": "here", "p002.png": "gone"})
    gone = book.git("show", ":p002.png").split("sha256:")[1].split("\n")[0]
    (book.top / ".git/lfs/objects" / gone[:2] / gone[2:4] / gone).unlink()
    ids = {path: book.staged()[path] for path in ("p001.png", "p002.png")}
    assert missing_objects(Repository.find(book.top), ids.values()) == {ids["p002.png"]}
