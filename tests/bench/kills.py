"""`python -m tests.bench kills [--slice] [--random 20] [--every 1] [--only enter]`: recordings killed at any moment.

Every verb that writes is killed with SIGKILL: at random moments of its run (the command alone, or with every git it
started), before each of its steps, before and after each git that it starts. Then the next command is run, and the book
must be as before or as after: refs, index, files, hooks, nothing left behind, `git fsck --strict` clean. Run again,
the verb must come to the same end.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.kill_cases import CASES, at_work
from tests.bench.ratio import clean_environment
from tests.probes.installed import installed
from tests.typed_book import BOOK, SCRIPT, SOMEBODY, TypedBook

STEPPED = Path(__file__).with_name("stepped.py")
NOON = {"GIT_AUTHOR_DATE": "2026-03-02T12:00:00+01:00", "GIT_COMMITTER_DATE": "2026-03-02T12:00:00+01:00"}
#: A git that counts its runs, and at one of them kills whoever started it, before the real git runs or after.
GIT = """#!/bin/sh
printf x >> "$KILL_COUNT"
if [ "$(wc -c < "$KILL_COUNT")" -eq "$KILL_AT" ]; then
  [ "$KILL_HOW" = after ] && {real} "$@"
  kill -9 $PPID
  exit 1
fi
exec {real} "$@"
"""
#: Part of the name of what is being written, until it gets its own.
FRESH = ".inkledger-new"


@dataclass
class Tally:
    """What came of the kills of one verb."""

    kinds: Counter[str] = field(default_factory=Counter)
    ends: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)


class Killing:
    """One verb in one laid-out book, with what it is before and after."""

    def __init__(self, program: Path, base: TypedBook, home: Path, name: str) -> None:
        self.case, self.name, self.home, self.program = CASES[name], name, home, program
        self.first = Typed(program, base.copied(home / "first/book").top)
        self.case.lay(self.first)
        if name != "init":
            at_work(self.first)
        done = self.copied(home / "done/book")
        start = time.perf_counter()
        done.ledger(*self.case.words)
        self.seconds = time.perf_counter() - start
        self.before, self.after = state(self.first.top), state(done.top)
        assert self.before != self.after, f"{name} changes nothing"
        self.tally = Tally()

    def copied(self, to: Path) -> Typed:
        """The laid-out book once more, with what lies beside it."""
        book = Typed(self.program, self.first.copied(to).top)
        for out in self.first.top.parent.glob("out*"):
            shutil.copytree(out, to.parent / out.name) if out.is_dir() else shutil.copy2(out, to.parent / out.name)
        return book

    def at_random(self, rng: random.Random) -> None:
        """Killed at some moment: the command alone, or all that it started with it."""
        seconds, whole = rng.uniform(0, self.seconds), rng.random() < 0.5
        with self._copy() as book:
            child = subprocess.Popen(
                [self.program, *self.case.words], cwd=book.top, env=book.environment, start_new_session=True,
                stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )  # fmt: skip
            time.sleep(seconds)
            (os.killpg if whole else os.kill)(child.pid, signal.SIGKILL)
            child.wait()
            self._settled(book, "at random", f"after {seconds:.4f} s, {'with' if whole else 'without'} its gits", True)

    def at_step(self, number: int, *, again: bool) -> bool:
        """Killed just before a step; whether it came to that."""
        python = self.program.with_name("python")
        with self._copy() as book:
            done = book.run(str(python), str(STEPPED), str(number), str(book.top.parent), *self.case.words)
            if done.code == -signal.SIGKILL:
                self._settled(book, "at a step", f"before step {number}", again)
            return done.code == -signal.SIGKILL

    def at_git(self, number: int, how: str, *, again: bool) -> bool:
        """Killed when it starts its n-th git, or when that is done; whether it came to that."""
        with self._copy() as book:
            programs = book.top.parent / "bin"
            programs.mkdir()
            (programs / "git").write_text(GIT.format(real=shutil.which("git")))
            (programs / "git").chmod(0o755)
            env = {"PATH": f"{programs}:{os.environ['PATH']}", "KILL_COUNT": str(programs / "count"),
                   "KILL_AT": str(number), "KILL_HOW": how}  # fmt: skip
            done = book.run(str(self.program), *self.case.words, env=env)
            if done.code == -signal.SIGKILL:
                self._settled(book, "at a git", f"{how} git {number}", again)
            return done.code == -signal.SIGKILL

    def _copy(self) -> Copied:
        return Copied(self)

    def _settled(self, book: Typed, kind: str, when: str, again: bool) -> None:
        """The next command, then what the book is; a complaint is kept in the tally."""
        self.tally.kinds[kind] += 1
        try:
            now = self._next(book)
            end = "after" if now == self.after else "before" if now == self.before else "between"
            assert end != "between" or not self.case.whole, differing(now, self.before, self.after)
            assert not (half := halves(now, self.before, self.after)), f"half-written: {half}"
            self.tally.ends[end] += 1
            if again and end != "after":
                said = book.run(str(self.program), *self.case.words)
                assert said.code == 0, f"typed again: {said.err}"
                assert state(book.top) == self.after, differing(state(book.top), self.after)
        except AssertionError as fault:
            self.tally.lost.append(f"{self.name}, killed {when}: {fault}")

    def _next(self, book: Typed) -> dict[str, object]:
        """What the book is after the next command; a git that was left at work is waited for."""
        book_is_there = (book.top / ".git").exists() and (book.top / "book.toml").exists()
        for _ in range(50):
            said = book.run(str(self.program), "status")
            assert not book_is_there or said.code == 0, f"status: {said.err}"
            journal = book.top / ".git/inkledger/journal"
            if not journal.exists() or not journal.stat().st_size:
                break
            time.sleep(0.1)
        if (book.top / ".git").exists():
            complaint = book.git("fsck", "--strict", "--no-dangling").strip()
            # Git tells of a branch that is still to be born.
            complaint = re.sub(r"notice: (HEAD points to an unborn branch|No default references).*", "", complaint)
            assert not complaint.strip(), f"fsck: {complaint}"
        return state(book.top)


class Typed(TypedBook):
    """A book worked on by the installed command, always at the same hour."""

    def __init__(self, program: Path, top: Path) -> None:
        super().__init__(top)
        self.program = program
        self.env = dict(NOON)

    @property
    def environment(self) -> dict[str, str]:
        return {**os.environ, **SOMEBODY, **self.env}

    def ledger(self, *words: str, code: int | None = 0, env: dict[str, str] | None = None):  # type: ignore[no-untyped-def]
        done = self.run(str(self.program), *words, env=env)
        assert code is None or done.code == code, f"inkledger {words}: {done.code}\n{done.out}{done.err}"
        return done


class Copied:
    """A copy of the laid-out book to be killed in, gone afterwards."""

    def __init__(self, killing: Killing) -> None:
        self.killing = killing
        self.place = Path(tempfile.mkdtemp(dir=killing.home))

    def __enter__(self) -> Typed:
        return self.killing.copied(self.place / "book")

    def __exit__(self, *_: object) -> None:
        shutil.rmtree(self.place, ignore_errors=True)


def state(top: Path) -> dict[str, object]:
    """All that a command may change, beside the book too (`out`), and what it must not leave behind."""
    git = top / ".git"
    found: dict[str, object] = {
        f"file {p.relative_to(top)}": (p.read_bytes(), p.stat().st_mode)
        for p in top.rglob("*") if p.is_file() and ".git" not in p.relative_to(top).parts[:1]
    }  # fmt: skip
    for out in top.parent.glob("out*"):
        found |= copy_of_the_book(out) if (out / "HEAD").exists() and FRESH not in out.name else folder_beside(out)
    if not git.is_dir():
        return found
    refs = _git(top, "for-each-ref", "--format=%(refname) %(objectname)")
    # What was taken back is kept under the second of its taking back.
    found["refs"] = re.sub(rb"undone/\d+-", b"undone/", refs)
    found["head"] = (git / "HEAD").read_text()
    found["index"] = _git(top, "ls-files", "-s", "-z", "-v")
    found["status"] = _git(top, "status", "--porcelain", "-z")
    hooks = [p for p in (git / "hooks").glob("*") if not p.name.endswith(".sample")]
    found |= {f"hook {p.name}": (p.read_bytes(), p.stat().st_mode) for p in hooks}
    left = [*git.rglob("*.lock"), *(git / "inkledger/work").rglob("*"), *(git / "inkledger").glob("laying-out*")]
    found["left"] = sorted(str(p.relative_to(git)) for p in left)
    return found


def folder_beside(out: Path) -> dict[str, object]:
    """A file, or a folder with all its files, that went out of the book."""
    each = (out, *out.rglob("*"))
    return {f"beside {p.relative_to(out.parent)}": p.read_bytes() if p.is_file() else b"" for p in each}


def copy_of_the_book(out: Path) -> dict[str, object]:
    """A second copy: what it names and holds. It must be sound whatever happened, or it would be no copy."""
    refs = re.sub(rb"before-backup/\d+T\d+Z", b"before-backup", _git(out, "for-each-ref"))
    _git(out, "fsck", "--strict", "--no-dangling")
    left = sorted(p.name for p in out.rglob("*") if p.suffix == ".lock" or p.name == "inkledger-at-work")
    return {"copy": (refs, (out / "HEAD").read_text()), "copy left": left}


def _git(top: Path, *words: str) -> bytes:
    return subprocess.run(["git", *words], cwd=top, env=clean_environment(), capture_output=True, check=True).stdout


def halves(now: dict[str, object], *wanted: dict[str, object]) -> list[str]:
    """Files that are there under their own name and hold neither what they held before nor what they hold after."""
    named = [key for key in now if key.startswith(("file ", "beside ", "hook ")) and FRESH not in key]
    return [key for key in named if all(key in each and each[key] != now[key] for each in wanted)]


def differing(now: dict[str, object], *wanted: dict[str, object]) -> str:
    """What is in none of the wanted states, in a few words."""
    least = min(([k for k in now.keys() | each.keys() if now.get(k) != each.get(k)] for each in wanted), key=len)
    return ", ".join(f"{key}: {str(now.get(key))[:300]}" for key in sorted(least))


def signed_off(program: Path, top: Path) -> TypedBook:
    """A book with rounds of three passes, `inks` signed off, and a notes round."""
    book = Typed(program, top)
    top.mkdir(parents=True)
    book.write("book.toml", BOOK)
    book.ledger("init", "--yes")
    book.write("script/01.md", SCRIPT)
    book.write("notes/marsh-1.md", "# Marsh\nfrom: Marsh\non: script-1\n\n- [ ] 1 (p1.1) Brighter?\n")
    for label in ("001", "002", "003", "004"):
        book.draw("pencils", label, int(label))
        book.draw("inks", label, int(label))
        book.draw("letters", label, int(label))
    for pass_name in ("script", "pencils", "inks", "letters"):
        book.ledger("enter", pass_name, "-m", "first")
    book.ledger("lock", "inks", "-m", "signed")
    book.ledger("save", "-m", "notes")
    return book


def killings(program: Path, home: Path, only: str = "") -> Iterator[Killing]:
    """Every verb, made ready."""
    base = signed_off(program, home / "base")
    for number, name in enumerate(CASES):
        if name.startswith(only):
            (home / str(number)).mkdir()
            yield Killing(program, base, home / str(number), name)


def killed_everywhere(killing: Killing, rng: random.Random, times: int, every: int) -> None:
    """At every (or every n-th) step, before and after every git, and at so many random moments."""
    number = 1
    while killing.at_step(number, again=number % 3 == 0):
        number += every
    for first, how in ((1, "before"), (1 + every // 2, "after")):
        number = first
        while killing.at_git(number, how, again=number % 3 == 0):
            number += every
    for _ in range(times):
        killing.at_random(rng)


def killed_somewhere(killing: Killing, rng: random.Random) -> None:
    """The short form: one of each kind."""
    killing.at_step(rng.randint(1, 12), again=True)
    killing.at_git(rng.randint(1, 12), "before", again=True)
    killing.at_random(rng)


def kills(arguments: list[str]) -> None:
    """Prints a line a verb; ends with exit 1 where anything was lost."""
    options = argparse.ArgumentParser(prog="python -m tests.bench kills")
    options.add_argument("--slice", action="store_true")
    options.add_argument("--random", type=int, default=20)
    options.add_argument("--every", type=int, default=1, help="only every n-th step and git")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--only", default="")
    given = options.parse_args(arguments)
    rng = random.Random(given.seed)
    lost: list[str] = []
    counted: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        os.environ.update(HOME=str(home), GIT_CONFIG_NOSYSTEM="1", **SOMEBODY)
        program = installed(home / "installed")
        print("killed           random  step   git    before  after  between  lost")
        for killing in killings(program, home, given.only):
            if given.slice:
                killed_somewhere(killing, rng)
            else:
                killed_everywhere(killing, rng, given.random, given.every)
            kinds, ends = killing.tally.kinds, killing.tally.ends
            row = (kinds["at random"], kinds["at a step"], kinds["at a git"], ends["before"], ends["after"],
                   ends["between"], len(killing.tally.lost))  # fmt: skip
            print("{:15} {:7} {:5} {:5}   {:7} {:6} {:8} {:5}".format(killing.name, *row), flush=True)
            counted.update(kinds)
            lost += killing.tally.lost
    print(f"{counted.total()} kills, {counted['at random']} of them at random moments; lost: {len(lost)}")
    for each in lost:
        print(f"  {each}")
    sys.exit(1 if lost else 0)
