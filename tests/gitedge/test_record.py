"""A recording is one commit with its tag, beside the user's index, or nothing at all."""

from __future__ import annotations

import hashlib
import os
import resource
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.gitedge.intake import kept_as
from ledger.gitedge.record import Recording, record
from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt
from ledger.read.entries import read_entry, write_entry
from tests.books import Book
from tests.gitedge.entering import enter, recording_of, script_round, slip

Maker = Callable[..., Book]

BOOK = {"book.toml": '[book]\ntitle = "The Tide Clock"\npages = 8\n', "script/01.md": "W: You said the map was here.\n"}
FORMS = pytest.mark.parametrize("form", ["sha1", "sha256"])


def tree(book: Book, rev: str = "HEAD") -> dict[str, str]:
    """Path -> object id in a commit."""
    pairs = [line.partition(b"\t") for line in book.git_bytes("ls-tree", "-r", "-z", rev).split(b"\0")[:-1]]
    return {name.decode("utf-8", "surrogateescape"): facts.split()[2].decode() for facts, _, name in pairs}


def everything(book: Book) -> dict[str, object]:
    """All that a recording may change: refs, index, files; and what it must not leave behind."""
    git = book.top / ".git"
    return {
        "refs": book.git("for-each-ref", "--format=%(refname) %(objectname)"),
        "head": (git / "HEAD").read_text(),
        "index": book.git_bytes("ls-files", "-s", "-z", "-v"),
        "files": book.all_files(),
        "locks": sorted(str(p.relative_to(git)) for p in git.rglob("*.lock")),
        "work": sorted(str(p.relative_to(git)) for p in (git / "inkledger").rglob("*") if p.stat().st_size)
        if (git / "inkledger").exists()
        else [],
    }


def sound(book: Book) -> None:
    """Git finds nothing to complain of, and the index is what the newest commit holds."""
    assert book.git("fsck", "--strict", "--no-dangling") == ""


@FORMS
def test_a_round_is_one_commit_with_its_tag(new_repo: Maker, form: str) -> None:
    book = new_repo(BOOK, form=form)
    first = book.git("rev-parse", "HEAD")
    book.write({"script/01.md": "W: You said the map was there.\n"})
    repo = Repository.find(book.top)
    done = enter(repo)
    assert done.commit == book.git("rev-parse", "main")
    assert done.tag == "pass/script/1"
    assert book.git("rev-parse", "HEAD~1") == first
    assert book.git("diff", "--name-status", "HEAD~1", "HEAD").split() == [
        "A", "ledger/script-1.toml", "M", "script/01.md",
    ]  # fmt: skip
    assert tree(book) == book.staged()
    entry = read_entry("ledger/script-1.toml", book.read("ledger/script-1.toml"))
    assert entry.files == {"script/01.md": book.staged()["script/01.md"]}
    assert book.status() == ""
    sound(book)


@FORMS
def test_the_tag_is_an_annotated_one_that_says_what_the_entry_says(new_repo: Maker, form: str) -> None:
    book = new_repo(BOOK, form=form)
    done = enter(Repository.find(book.top))
    said = "%(objecttype)|%(object)|%(taggername)|%(taggeremail)|%(taggerdate:iso-strict)|%(contents)"
    assert book.git("for-each-ref", f"--format={said}", "refs/tags/pass/script/1") == (
        f"tag|{done.commit}|Ada Quill|<ada@quill.example>|2026-03-02T17:20:00+01:00|script-1: first draft"
    )
    assert book.git("for-each-ref", "--format=%(refname)", "refs/tags") == "refs/tags/pass/script/1"


def test_it_works_as_the_first_commit_of_all(new_repo: Maker) -> None:
    book = new_repo()
    book.write(BOOK)
    repo = Repository.find(book.top)
    enter(repo, paths=("script/01.md", "book.toml"))
    assert set(tree(book)) == {"book.toml", "script/01.md", "ledger/script-1.toml"}
    assert book.git("rev-list", "--count", "HEAD") == "1"
    assert book.git("symbolic-ref", "HEAD") == "refs/heads/main"
    assert book.status() == ""
    sound(book)


def test_what_the_user_has_staged_stays_as_it_is(new_repo: Maker) -> None:
    book = new_repo({**BOOK, "notes/a.md": "one\n", "gone.md": "x", "outline/01.md": "a\n", "moved.md": "m\n"})
    book.write({"notes/a.md": "one\ntwo\n"})
    book.git("add", "notes/a.md")
    book.write({"notes/a.md": "one\ntwo\nthree\n", "outline/01.md": "unstaged\n", "new.md": "new", "meant.md": "m"})
    book.git("rm", "-q", "--cached", "gone.md")
    book.git("mv", "moved.md", "there.md")
    book.git("add", "new.md")
    book.git("add", "-N", "meant.md")
    before = book.git_bytes("ls-files", "-s", "-z", "--debug")
    status = book.status()
    book.write({"script/01.md": "changed\n"})
    enter(Repository.find(book.top))
    assert book.status() == status
    after = book.git_bytes("ls-files", "-s", "-z", "--debug")
    untouched = [part for part in before.split(b"100644 ") if b"script/01.md" not in part and part]
    assert all(part.rstrip(b"\0") in after for part in untouched)
    assert book.git("show", "HEAD:notes/a.md") == "one"
    assert book.git("show", ":notes/a.md") == "one\ntwo"
    assert set(tree(book)) == {*BOOK, "notes/a.md", "gone.md", "outline/01.md", "moved.md", "ledger/script-1.toml"}


def test_a_half_staged_file_that_is_entered_is_entered_as_it_is_now(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    book.write({"script/01.md": "half\n"})
    book.git("add", "script/01.md")
    book.write({"script/01.md": "whole\n"})
    enter(Repository.find(book.top))
    assert book.git("show", "HEAD:script/01.md") == "whole"
    assert book.status() == ""


def test_removed_files_and_past_rounds(new_repo: Maker) -> None:
    book = new_repo({**BOOK, "script/02.md": "cut"})
    (book.top / "script/02.md").unlink()
    entry = script_round()
    record(
        Repository.find(book.top),
        Recording({entry.path: write_entry(entry)}, removed=("script/02.md",), past={"script/01.md": b"an old draft\n"},
                  message="script-1", tag=entry.tag),
    )  # fmt: skip
    assert set(tree(book)) == {"book.toml", "script/01.md", entry.path}
    assert book.git("show", "HEAD:script/01.md") == "an old draft"
    assert book.read("script/01.md").decode() == BOOK["script/01.md"]
    assert book.status() == "M script/01.md"[:0] + " M script/01.md"


def test_odd_names_and_a_mode(new_repo: Maker) -> None:
    names = (
        "script/two\nlines.md", 'script/"q".md', "script/-n.md", "script/a\u0308.md", "script/:(top).md",
        "script/*.md", "script/back\\slash.md", "script/ blank .md",
    )  # fmt: skip
    book = new_repo(BOOK)
    book.write({name: f"about {n}" for n, name in enumerate(names)})
    (book.top / "script/-n.md").chmod(0o755)
    repo = Repository.find(book.top)
    enter(repo, paths=names)
    no_unicode = "script/\udce9.md"
    book.write({no_unicode: "a name that no entry can hold"})
    record(repo, Recording(taken=kept_as(repo, [no_unicode]), message="save"))
    assert {*names, no_unicode} == set(tree(book)) - {*BOOK, "ledger/script-1.toml"}
    assert set(names) <= set(tree(book))
    assert tree(book) == book.staged()
    assert book.git("ls-tree", "HEAD", "script/-n.md").startswith("100755")
    assert book.status() == ""
    sound(book)


def test_from_a_subfolder_and_in_a_worktree_of_its_own(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    book.git("worktree", "add", "-q", "-b", "side", str(tmp_path / "side"))
    side = Book(tmp_path / "side")
    side.write({"script/01.md": "on the side\n"})
    enter(Repository.find(side.top / "script"))
    assert side.status() == ""
    assert book.status() == ""
    assert book.git("show", "side:script/01.md") == "on the side"
    assert book.git("show", "main:script/01.md") == str(BOOK["script/01.md"]).strip()
    sound(book)


def test_files_are_taken_in_as_git_add_would(new_repo: Maker) -> None:
    attributes = "*.md text eol=crlf\n*.png -text\n"
    book = new_repo({**BOOK, ".gitattributes": attributes})
    twin = new_repo({**BOOK, ".gitattributes": attributes})
    files = {"script/01.md": b"one\r\ntwo\r\n", "p001.png": b"\x89PNG\r\n"}
    book.write(files)
    twin.write(files)
    twin.git("add", "-A")
    kept = kept_as(Repository.find(book.top), files)
    assert {path: file.oid for path, file in kept.items()} == {path: twin.staged()[path] for path in files}
    assert book.status() == " M script/01.md\n?? p001.png"


@pytest.mark.needs_lfs
def test_large_files_are_entered_as_pointers(new_repo: Maker) -> None:
    book = new_repo({**BOOK, ".gitattributes": "*.png filter=lfs diff=lfs merge=lfs -text\n"})
    book.write({"art/p001.png": b"\x89PNG" + b"ink" * 5000})
    repo = Repository.find(book.top)
    enter(repo, paths=("art/p001.png",))
    assert book.git("show", "HEAD:art/p001.png").startswith("version https://git-lfs")
    assert book.status() == ""
    digest = hashlib.sha256(book.read("art/p001.png")).hexdigest()
    assert (book.top / ".git/lfs/objects" / digest[:2] / digest[2:4] / digest).is_file()
    sound(book)


def test_a_slip_that_git_committed_gets_its_tag_with_the_next_recording(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    book.write({"ledger/alteration-1.toml": write_entry(slip()), "script/01.md": "late\n"})
    late = book.commit("the late change")
    book.write({"script/01.md": "next\n"})
    repo = Repository.find(book.top)
    assert enter(repo).tag == "pass/script/1"
    assert book.git("rev-parse", "alteration/1^{commit}") == late
    assert book.git("cat-file", "tag", "alteration/1").endswith("alteration-1: the lamp must be lit")


REFUSED: list[tuple[str, Callable[[Book], None], str]] = [
    ("index.lock is held", lambda b: (b.top / ".git/index.lock").write_text("") and None, "another git is at work"),
    ("a tag is there", lambda b: b.git("tag", "pass/script/1") and None, "the tag pass/script/1 is there already"),
    ("a tag in the way", lambda b: b.git("tag", "pass/script") and None, "one name is the beginning of the other"),
    ("a merge", lambda b: (b.top / ".git/MERGE_HEAD").write_text("") and None, "a merge is not finished"),
    ("detached", lambda b: b.git("checkout", "-q", "--detach") and None, "detached HEAD"),
    ("branch locked", lambda b: (b.top / ".git/refs/heads/main.lock").write_text(""), "another git is at work"),
    ("a file in the way", lambda b: (b.top / "ledger").write_text("mine"), "in the way of a folder"),
    ("a link in the way", lambda b: (b.top / "ledger").symlink_to("/tmp"), "in the way of a folder"),
    ("own work", lambda b: b.write({"ledger/script-1.toml": "mine"}), "holds changes that are not recorded"),
    ("a folder in the way", lambda b: (b.top / "ledger/script-1.toml").mkdir(parents=True), "in the way of a file"),
]  # fmt: skip


@pytest.mark.parametrize(("act", "said"), [case[1:] for case in REFUSED], ids=[case[0] for case in REFUSED])
def test_a_refusal_is_clear_and_leaves_everything_as_it_was(
    new_repo: Maker, act: Callable[[Book], None], said: str
) -> None:
    book = new_repo(BOOK)
    book.write({"script/01.md": "changed\n"})
    repo = Repository.find(book.top)
    recording = recording_of(repo)
    act(book)
    before = everything(book)
    with pytest.raises(Refusal, match=said) as told:
        record(repo, recording)
    assert told.value.remedy
    assert everything(book) == before


def test_two_recordings_at_once_are_one_and_a_refusal(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    book.write({"script/01.md": "changed\n"})
    repo = Repository.find(book.top)
    recording = recording_of(repo)
    from ledger.gitedge.journal import held

    with held(repo), pytest.raises(Refusal, match="another inkledger is at work"):
        record(repo, recording)
    assert record(repo, recording).tag == "pass/script/1"


def told_in_a_child(book: Book, before: Callable[[Repository], object]) -> str:
    """What a recording says in a process of its own, something being done to it just before it records."""
    hear, say = os.pipe()
    child = os.fork()
    if child == 0:
        said = "recorded"
        try:
            repo = Repository.find(book.top)
            recording = recording_of(repo)
            before(repo)
            record(repo, recording)
        except Refusal as refusal:
            said = f"{refusal.message} | {refusal.remedy}"
        except BaseException as fault:
            said = repr(fault)
        finally:
            os.write(say, said.encode())
            os._exit(0)
    os.close(say)
    os.waitpid(child, 0)
    with os.fdopen(hear, "rb") as pipe:
        return pipe.read().decode()


def test_a_disk_that_takes_no_more_is_one_clear_refusal(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    book.write({"script/01.md": "changed\n"})
    before = everything(book)
    said = told_in_a_child(book, lambda repo: resource.setrlimit(resource.RLIMIT_FSIZE, (64, 64)))
    assert said.startswith("the disk takes no file of this size; nothing was recorded | "), said
    assert everything(book) == before


def test_a_folder_that_cannot_be_written_is_one_clear_refusal(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    book.write({"script/01.md": "changed\n"})
    before = everything(book)

    def close(repo: Repository) -> None:
        repo.git_dir.chmod(0o555)
        if os.getuid() == 0:
            # The administrator may write anywhere, so somebody who is none goes on.
            for place in (book.top, *book.top.rglob("*")):
                os.chown(place, 65534, 65534)
            for above in book.top.parents[:-1]:
                above.chmod(above.stat().st_mode | 0o055)
            os.setgid(65534)
            os.setuid(65534)

    said = told_in_a_child(book, close)
    for place in (book.top, *book.top.rglob("*")):
        os.chown(place, os.getuid(), os.getgid())
    (book.top / ".git").chmod(0o755)
    assert said.startswith("this folder can't be written or read: "), said
    assert "see that the disk is not read-only" in said
    assert everything(book) == before


def test_a_recording_of_files_alone(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    book.write({"script/01.md": "saved\n"})
    repo = Repository.find(book.top)
    done = record(repo, Recording(taken=kept_as(repo, ["script/01.md"]), message="save 1 file"))
    assert done.tag is None
    assert book.git("log", "-1", "--format=%s%b") == "save 1 file"
    assert book.status() == ""


def test_what_was_judged_is_what_is_recorded_even_if_the_file_changes_meanwhile(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    book.write({"script/01.md": "judged\n"})
    repo = Repository.find(book.top)
    recording = recording_of(repo)
    book.write({"script/01.md": "later\n"})
    record(repo, recording)
    assert book.git("show", "HEAD:script/01.md") == "judged"
    assert book.status() == " M script/01.md"


def test_an_entry_whose_tag_is_asked_for_must_be_there(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    repo = Repository.find(book.top)
    before = everything(book)
    with pytest.raises(Refusal, match="has the tag pass/script/7"):
        record(repo, Recording({"a.md": b"a"}, message="x", tag="pass/script/7"))
    with pytest.raises(Refusal):
        record(repo, Recording(taken={".git/config": FileAt(".git/config", book.staged()["book.toml"])}, message="x"))
    assert everything(book) == before


def test_something_committed_meanwhile_is_a_refusal(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    repo = Repository.find(book.top)
    judged = book.git("rev-parse", "HEAD")
    book.git("commit", "-q", "--allow-empty", "-m", "meanwhile")
    before = everything(book)
    with pytest.raises(Refusal, match="something was committed meanwhile"):
        record(repo, Recording({"a.md": b"a"}, message="x", base=judged))
    assert everything(book) == before


def test_without_a_name_nothing_is_recorded(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    for key in ("user.name", "user.email"):
        book.git("config", key, "")
    before = everything(book)
    with pytest.raises(Refusal, match="git does not know your name yet"):
        record(Repository.find(book.top), Recording({"a.md": b"a"}, message="x"))
    assert everything(book) == before


@pytest.mark.parametrize(
    "config", [("core.splitIndex", "true"), ("index.version", "4"), ("core.untrackedCache", "true"),
               ("core.logAllRefUpdates", "false"), ("feature.manyFiles", "true"), ("core.autocrlf", "input"),
               ("core.fileMode", "false"), ("core.hooksPath", "/dev/null"), ("commit.gpgSign", "true")]
)  # fmt: skip
def test_whatever_git_is_told_it_is_recorded_alike(new_repo: Maker, config: tuple[str, str]) -> None:
    book = new_repo({**BOOK, "notes/a.md": "one\n"})
    book.git("config", *config)
    book.git("update-index", "--refresh")
    book.write({"script/01.md": "changed\n", "notes/a.md": "half\n"})
    book.git("add", "notes/a.md")
    repo = Repository.find(book.top)
    enter(repo)
    book.write({"script/01.md": "again\n"})
    enter(repo, 2)
    assert book.status() == "M  notes/a.md"
    assert book.git("diff", "HEAD~1", "--name-only").split() == [
        "ledger/script-2.toml", "memos/script-2.md", "notes/a.md", "script/01.md",
    ]  # fmt: skip
    sound(book)


def test_hooks_of_the_users_are_not_run_by_a_recording(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    (book.top / ".git/hooks").mkdir()
    for name in ("pre-commit", "commit-msg", "post-commit", "post-index-change", "reference-transaction"):
        (book.top / ".git/hooks" / name).write_text(f"#!/bin/sh\necho {name} >> '{tmp_path}/ran'; exit 1\n")
        (book.top / ".git/hooks" / name).chmod(0o755)
    book.write({"script/01.md": "changed\n"})
    enter(Repository.find(book.top))
    assert not (tmp_path / "ran").exists()


def test_a_partial_clone_and_a_sparse_checkout_are_entered_from(new_repo: Maker, tmp_path: Path) -> None:
    origin = new_repo({**BOOK, "art/p001.png": "picture"})
    origin.git("config", "uploadpack.allowFilter", "true")
    origin.git("clone", "-q", "--no-checkout", "--filter=blob:none", f"file://{origin.top}", str(tmp_path / "clone"))
    book = Book(tmp_path / "clone")
    book.git("sparse-checkout", "set", "script")
    book.git("checkout", "-q", "main")
    book.write({"script/01.md": "changed\n"})
    origin.top.rename(tmp_path / "gone")
    repo = Repository.find(book.top)
    enter(repo)
    assert set(tree(book)) == {*BOOK, "art/p001.png", "ledger/script-1.toml"}
    assert book.read("ledger/script-1.toml")
    assert book.status() == ""
    assert not (book.top / "art").exists()
