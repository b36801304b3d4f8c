"""A recording killed anywhere leaves the book as before or as after, and the next command settles which."""

from __future__ import annotations

import errno
import os
import re
import shutil
import signal
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from ledger.gitedge.placing import put_and_stage
from ledger.gitedge.record import record
from ledger.gitedge.repository import Repository
from ledger.gitedge.settling import remembered
from ledger.gitedge.undo import take_back
from ledger.model.errors import Refusal
from tests.books import NOON, Book
from tests.gitedge.entering import enter, recording_of
from tests.gitedge.test_record import BOOK, everything

Maker = Callable[..., Book]

#: What a recording does to the disk, as Python tells of it just before it happens.
STEPS = {
    "open", "os.rename", "os.remove", "os.link", "os.mkdir", "os.rmdir", "os.truncate", "os.utime", "fcntl.flock",
    "shutil.rmtree", "subprocess.Popen",
}  # fmt: skip


@pytest.fixture(autouse=True)
def at_noon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_AUTHOR_DATE", NOON)
    monkeypatch.setenv("GIT_COMMITTER_DATE", NOON)


@pytest.fixture
def ready(new_repo: Maker) -> Book:
    """A book with one round, about to enter its second: its memo's folder is not there yet, work is half staged."""
    book = new_repo({**BOOK, "notes/a.md": "one\n"})
    enter(Repository.find(book.top))
    book.write({"script/01.md": "second draft\n", "notes/a.md": "half\n"})
    book.git("add", "notes/a.md")
    book.write({"notes/a.md": "whole\n"})
    return book


def copied(book: Book, name: str) -> Book:
    shutil.copytree(book.top, book.top.parent / name, symlinks=True)
    return Book(book.top.parent / name)


def kill(step: int) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def fill_the_disk(step: int) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def interrupt(step: int) -> None:
    raise KeyboardInterrupt


def ended(
    book: Book, act: Callable[[Repository], Callable[[], object]], step: int, what: Callable[[int], None] = kill
) -> str:
    """Does something in a child, to which something happens just before its n-th step.

    `act` makes ready what is done, and gives it. Returns how the child ended: "killed", "done" if it came to no such
    step or went on, or what it was refused with.
    """
    hear, say = os.pipe()
    child = os.fork()
    if child == 0:
        repo, seen, said = Repository.find(book.top), 0, "done"

        def watch(event: str, args: tuple[object, ...]) -> None:
            nonlocal seen
            name = os.fsdecode(args[0]) if args and isinstance(args[0], (str, bytes)) else ""
            if event in STEPS and (event != "open" or name.startswith(str(book.top))):
                seen += 1
                if seen == step:
                    what(step)

        try:
            work = act(repo)
            sys.addaudithook(watch)
            work()
            said = "done" if seen >= step > 0 else "never"
        except Refusal as refusal:
            said = f"{refusal.message} | {refusal.remedy}"
        except BaseException as fault:
            said = repr(fault)
        finally:
            os.write(say, said.encode())
            os._exit(0)
    os.close(say)
    with os.fdopen(hear, "rb") as pipe:
        said = pipe.read().decode()
    return "killed" if os.WIFSIGNALED(os.waitpid(child, 0)[1]) else said


def killed(book: Book, act: Callable[[Repository], Callable[[], object]], step: int) -> bool:
    """Does something in a child that is killed just before its n-th step; whether it came to that."""
    return ended(book, act, step) == "killed"


def killed_while(first: Book, act: Callable[[Repository], object], *, every: int = 1) -> Iterator[Book]:
    """Copies of a book in which something was killed, each some steps later than the one before, and settled."""
    step = 1
    while killed(book := copied(first, f"killed-{step}"), lambda repo: lambda: act(repo), step):
        Repository.find(book.top)
        yield book
        shutil.rmtree(book.top)
        step += every


def second_round(repo: Repository) -> Callable[[], object]:
    """Makes the second round ready to be recorded."""
    recording = recording_of(repo, 2)
    return lambda: record(repo, recording)


def test_killed_at_every_step_it_is_before_or_after(ready: Book) -> None:
    done = copied(ready, "done")
    enter(Repository.find(done.top), 2)
    before, after = everything(ready), everything(done)
    assert before != after
    came_to, step = {"before": 0, "after": 0}, 1
    while True:
        book = copied(ready, f"killed-{step}")
        if not killed(book, second_round, step):
            break
        repo = Repository.find(book.top)
        now = everything(book)
        assert now in (before, after), f"step {step}: {now}"
        came_to["after" if now == after else "before"] += 1
        if now == before and step % 5 == 0:
            enter(repo, 2)
            assert everything(book) == after, f"step {step}, entered again"
        notes = remembered(repo)
        assert [note["commit"] for note in notes] == book.git("rev-list", "--reverse", "HEAD", "--", "ledger").split()
        shutil.rmtree(book.top)
        step += 1
    assert came_to["before"] > 10
    assert came_to["after"] > 3


def test_on_a_disk_without_second_names_too(ready: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    """exFAT and many shared folders know no second names: our lock is known by its words there."""

    def refused(*_: object, **__: object) -> None:
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refused)
    done = copied(ready, "done")
    enter(Repository.find(done.top), 2)
    before, after = everything(ready), everything(done)
    step, locked = 1, 0
    while killed(book := copied(ready, f"killed-{step}"), second_round, step):
        locked += (book.top / ".git/index.lock").exists()
        assert settled(book) in (before, after), f"step {step}"
        shutil.rmtree(book.top)
        step += 2
    assert locked > 5


@pytest.mark.parametrize("words", ["", "inkledger 1 2\n", "DIRC"])
def test_a_lock_of_another_git_is_left_alone(ready: Book, words: str) -> None:
    """Also beside a journal of ours that was left behind: it is nobody's but the other's."""
    step = 1
    while True:
        book = copied(ready, f"killed-{step}")
        assert killed(book, second_round, step)
        if (book.top / ".git/index.lock").exists():
            break
        step += 1
    (book.top / ".git/index.lock").unlink()
    (book.top / ".git/index.lock").write_text(words)
    Repository.find(book.top)
    assert (book.top / ".git/index.lock").read_text() == words
    with pytest.raises(Refusal, match="another git is at work"):
        enter(Repository.find(book.top), 2)


@pytest.mark.parametrize(("what", "words"), [(fill_the_disk, "disk is full|No space left"), (interrupt, "Keyboard")])
def test_whatever_happens_at_a_step_it_is_before_or_after(ready: Book, what: Callable[[int], None], words: str) -> None:
    done = copied(ready, "done")
    enter(Repository.find(done.top), 2)
    before, after = everything(ready), everything(done)
    told, step = set(), 1
    while (said := ended(book := copied(ready, f"at-{step}"), second_round, step, what)) != "never":
        now = settled(book)
        # The work folder may stay where it could not be cleared; the next recording clears it.
        now["work"] = before["work"]
        assert now in (before, {**after, "work": before["work"]}), f"step {step}: {now}"
        if now == before:
            assert re.search(words, said), said
            assert " | None" not in said
        told.add(said)
        shutil.rmtree(book.top)
        # A disk may be too full for taking a lock away: that is met at one step alone.
        step += 1 if what is fill_the_disk else 2
    assert told


def git_that(book: Book, act: str, path: Path, asked: str = "update-ref") -> None:
    """A git that does something (sh, `$real` is the real one) when it is asked to move refs, or something else."""
    path.mkdir()
    script = path / "git"
    script.write_text(
        f'#!/bin/sh\nreal={shutil.which("git")}\nfor word in "$@"; do\n  if [ "$word" = {asked} ]; then\n'
        f'    {act}\n  fi\ndone\nexec "$real" "$@"\n'
    )
    script.chmod(0o755)


def settled(book: Book) -> dict[str, object]:
    """What the book is once a command could settle it, which it can't while the git left behind is still at work."""
    for _ in range(50):
        Repository.find(book.top)
        if not (book.top / ".git/inkledger/journal").stat().st_size:
            break
        time.sleep(0.1)
    return everything(book)


def test_a_git_that_outlives_the_command_is_waited_for(
    ready: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = copied(ready, "done")
    enter(Repository.find(done.top), 2)
    git_that(
        ready, 'said=$(cat); kill -9 $PPID; sleep 0.3; echo "$said" | $real "$@" >/dev/null; exit', tmp_path / "bin"
    )
    with monkeypatch.context() as patch:
        patch.setenv("PATH", str(tmp_path / "bin"), prepend=os.pathsep)
        assert killed(ready, second_round, -1)
    assert settled(ready) == everything(done)


@pytest.mark.parametrize("tag_made", [False, True])
def test_locks_that_a_killed_git_left_are_known_as_our_own(
    ready: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, tag_made: bool
) -> None:
    before = everything(ready)
    # What a power cut in the middle of the transaction leaves: the branch locked, its new value in the lock.
    lock = "while read -r verb ref new old; do case $ref in refs/*) echo $new > .git/$ref.lock;; esac; done"
    lock = f"{lock}; : > .git/HEAD.lock; kill -9 $PPID; exit 1"
    if tag_made:
        lock = lock.replace("kill -9", "mv .git/refs/tags/pass/script/2.lock .git/refs/tags/pass/script/2; kill -9")
    git_that(ready, lock, tmp_path / "bin")
    with monkeypatch.context() as patch:
        patch.setenv("PATH", str(tmp_path / "bin"), prepend=os.pathsep)
        assert killed(ready, second_round, -1)
    assert (ready.top / ".git/refs/heads/main.lock").exists()
    assert settled(ready) == before


def taken_back(repo: Repository) -> Callable[[], object]:
    """The newest round is about to be taken back."""
    return lambda: take_back(repo)


def staged_beside(repo: Repository) -> Callable[[], object]:
    """Files are about to be written and staged."""
    return lambda: put_and_stage(repo, {"notes/b.md": b"b\n", "notes/c.md": b"c\n"})


@pytest.mark.parametrize("act", [second_round, taken_back, staged_beside])
def test_a_git_killed_while_it_looks_at_what_was_written_leaves_no_lock(
    ready: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, act: Callable[[Repository], Callable[[], object]]
) -> None:
    """All is recorded and in place; the last git is killed with its lock in its hand, and the command with it."""
    if act is taken_back:
        enter(Repository.find(ready.top), 2)
    done = copied(ready, "done")
    act(Repository.find(done.top))()
    kill_both = 'case $GIT_INDEX_FILE in */work/index) ;; *) : > "$GIT_INDEX_FILE.lock"; kill -9 $PPID; exit 1;; esac'
    git_that(ready, kill_both, tmp_path / "bin", "--refresh")
    with monkeypatch.context() as patch:
        patch.setenv("PATH", str(tmp_path / "bin"), prepend=os.pathsep)
        assert killed(ready, act, -1)
    found = everything(ready)
    assert found["locks"] != [], "the git was killed without a lock"
    assert without_kept(settled(ready)) == without_kept(everything(done))
    ready.git("add", "notes/a.md")


def without_kept(found: dict[str, object]) -> dict[str, object]:
    """What was taken back is kept under the second of its taking back."""
    return {**found, "refs": re.sub(r"undone/\d+-", "undone/", str(found["refs"]))}


@pytest.mark.parametrize("left", ["packed-refs.lock", "packed-refs.new packed-refs.lock"])
def test_locks_of_a_git_killed_while_it_took_refs_away(
    ready: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, left: str
) -> None:
    """As git leaves them when it is killed between packing the refs anew and letting go of their lock."""
    ready.git("pack-refs", "--all")
    done = copied(ready, "done")
    take_back(Repository.find(done.top))
    locks = "".join(f": > .git/{name}; " for name in left.split())
    git_that(ready, f"{locks}kill -9 $PPID; exit 1", tmp_path / "bin")
    with monkeypatch.context() as patch:
        patch.setenv("PATH", str(tmp_path / "bin"), prepend=os.pathsep)
        assert killed(ready, taken_back, -1)
    take_back(Repository.find(ready.top))
    assert without_kept(everything(ready)) == without_kept(everything(done))


def test_a_branch_that_moved_without_its_tag_goes_forward(
    ready: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = copied(ready, "done")
    enter(Repository.find(done.top), 2)
    move = "while read -r verb ref new old; do case $ref in refs/heads/*) echo $new > .git/$ref;; esac; done"
    git_that(ready, f"{move}; kill -9 $PPID; exit 1", tmp_path / "bin")
    with monkeypatch.context() as patch:
        patch.setenv("PATH", str(tmp_path / "bin"), prepend=os.pathsep)
        assert killed(ready, second_round, -1)
    assert settled(ready) == everything(done)


def test_work_done_after_the_kill_is_kept(ready: Book) -> None:
    step = 1
    while not _moved_but_not_settled(ready, step):
        step += 2
    book = Book(ready.top.parent / f"killed-{step}")
    (book.top / ".git/index.lock").unlink()
    book.write({"memos/script-2.md": "my own memo\n", "notes/b.md": "b\n"})
    book.git("add", "notes/b.md")
    Repository.find(book.top)
    assert book.read("memos/script-2.md") == b"my own memo\n"
    assert book.status().split("\n") == [" M memos/script-2.md", "MM notes/a.md", "A  notes/b.md"]


def _moved_but_not_settled(ready: Book, step: int) -> bool:
    book = copied(ready, f"killed-{step}")
    assert killed(book, second_round, step)
    moved = book.git("rev-parse", "HEAD") != ready.git("rev-parse", "HEAD")
    return moved and (book.top / ".git/inkledger/work/index").exists()


def test_a_journal_that_cannot_be_read_or_settled_stops_nobody(ready: Book) -> None:
    journal = ready.top / ".git/inkledger/journal"
    journal.write_bytes(b'{"begun": 1}\n{"stray": "')
    before = ready.git("rev-parse", "HEAD")
    assert Repository.find(ready.top).run("rev-parse", "HEAD").decode().strip() == before
    assert journal.read_bytes() == b""
