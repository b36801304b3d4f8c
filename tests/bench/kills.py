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
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

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
HOOK = "#!/bin/sh\nexit 0\n"


class Case(NamedTuple):
    """A verb that is killed: how the book is laid out before it, and what is typed.

    `whole` is whether the kill itself must leave the book as before or as after; else the same command, typed again,
    must bring it there.
    """

    words: tuple[str, ...]
    lay: Callable[[TypedBook], object]
    whole: bool = True


def at_work(book: TypedBook) -> None:
    """Work of somebody's, half of it staged, that no command may touch."""
    book.write("outline/own.txt", "half\n")
    book.git("add", "outline/own.txt")
    book.write("outline/own.txt", "whole\n")
    book.write("not known.txt", "mine\n")


def late_line(book: TypedBook) -> None:
    book.change("script/01.md", "N: Push.\n", "N: Push.\nJ: I am pushing.\n")


def staged_late_line(book: TypedBook) -> None:
    late_line(book)
    book.git("add", "script/01.md")


def entered_again(book: TypedBook) -> None:
    book.draw("pencils", "004", 9)
    book.ledger("enter", "pencils", "-m", "redrawn")


def of_somebody(book: TypedBook) -> None:
    """Hooks of somebody's own, ours not in."""
    book.ledger("hook", "remove")
    for name in ("pre-commit", "pre-push", "post-commit"):
        place = book.write(f".git/hooks/{name}", HOOK)
        place.chmod(0o755)


def both_hooks(book: TypedBook) -> None:
    of_somebody(book)
    book.ledger("hook", "install")


def page_more(book: TypedBook) -> None:
    """A page more in the script, before the pages that are drawn and signed off; not recorded."""
    page = "[panel 1]\nNell looks into the lamp.\n\nN: Whose oil is that?"
    book.change("script/01.md", "[page 3]\n", f"[page 3]\n{page}\n\n[page 4]\n")


def drafted(book: TypedBook) -> None:
    """A draft that was brought in before and has changed since, with somebody new in it."""
    book.write("draft.md", "[page 5]\n[panel 1]\nThe quay.\n\nN: Pull.\n")
    book.ledger("bring", "draft.md", "--to", "script/02.md")
    book.change("draft.md", "N: Pull.\n", "N: Pull.\n\nHARBOUR MASTER: Not here.\n")


def scanned(book: TypedBook) -> None:
    """Exports under names of their own."""
    for label in ("001", "002", "003"):
        book.write(f"scans/scan-{label}.png", (book.top / f"art/letters/p{label}.png").read_bytes())
        (book.top / f"art/letters/p{label}.png").unlink()


def made_by_a_helper(book: TypedBook) -> None:
    """Two pages of letters that came back from a helper as asked."""
    book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out")
    shutil.move(book.top.parent / "out", book.top / "returned")
    for page in sorted((book.top / "returned/inks").iterdir()):
        shutil.copy(page, book.top / "returned/letters" / page.name)


def bare_folder(book: TypedBook) -> None:
    """Nothing but a draft: no repository, no book."""
    for place in book.top.iterdir():
        shutil.rmtree(place) if place.is_dir() else place.unlink()
    book.write("script/01.md", SCRIPT)


CASES = {
    "enter": Case(("enter", "pencils", "-m", "redrawn"), lambda book: book.draw("pencils", "004", 9)),
    "enter --reason": Case(("enter", "script", "--reason", "she asks twice"), late_line),
    "lock": Case(("lock", "letters", "-m", "signed"), lambda book: None),
    "reopen": Case(("reopen", "inks", "--pages", "2", "--reason", "the flood"), lambda book: None),
    "alter": Case(("alter", "--reason", "she asks twice"), staged_late_line),
    "repage": Case(("repage", "--apply", "--reason", "a page more"), page_more),
    "save": Case(("save", "-m", "as it is"), lambda book: book.write("designs/nell.txt", "short hair\n")),
    "undo": Case(("undo",), entered_again),
    "notes add": Case(("notes", "add", "marsh-2", "Too dark?", "--at", "p2"), lambda book: None),
    "notes import": Case(
        ("notes", "import", "mail.txt", "--from", "Marsh"),
        lambda book: book.write("mail.txt", "p2 too dark\n\nAll in all good.\n"),
    ),
    "notes answer": Case(("notes", "answer", "marsh-1/1", "done", "brighter"), lambda book: None),
    "bring": Case(("bring", "draft.md", "--to", "script/02.md", "--cast"), drafted),
    "bring --pass": Case(("bring", "scans", "--pass", "letters"), scanned),
    "recall --put-back": Case(
        ("recall", "pencils", "--put-back"), lambda book: shutil.rmtree(book.top / "art/pencils")
    ),
    "packet": Case(("packet", "script", "--for", "Marsh"), lambda book: None),
    "deliver": Case(("deliver", "letters", "--to", "../out"), lambda book: None),
    "handoff": Case(("handoff", "letters", "--pages", "1-2", "--to", "../out"), lambda book: None, False),
    "handoff --zip": Case(("handoff", "letters", "--to", "../out.zip", "--zip"), lambda book: None, False),
    "receive": Case(("receive", "returned"), made_by_a_helper),
    "hook install": Case(("hook", "install"), of_somebody, False),
    "hook remove": Case(("hook", "remove"), both_hooks, False),
    "init": Case(("init", "--yes"), bare_folder, False),
}


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
        done = Typed(program, self.first.copied(home / "done/book").top)
        start = time.perf_counter()
        done.ledger(*self.case.words)
        self.seconds = time.perf_counter() - start
        self.before, self.after = state(self.first.top), state(done.top)
        assert self.before != self.after, f"{name} changes nothing"
        self.tally = Tally()

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
        return Typed(self.killing.program, self.killing.first.copied(self.place / "book").top)

    def __exit__(self, *_: object) -> None:
        shutil.rmtree(self.place, ignore_errors=True)


def state(top: Path) -> dict[str, object]:
    """All that a command may change, beside the book too (`out`), and what it must not leave behind."""
    git = top / ".git"
    found: dict[str, object] = {
        f"file {p.relative_to(top)}": (p.read_bytes(), p.stat().st_mode)
        for p in top.rglob("*") if p.is_file() and ".git" not in p.relative_to(top).parts[:1]
    }  # fmt: skip
    beside = [p for out in top.parent.glob("out*") for p in (out, *out.rglob("*"))]
    found |= {f"beside {p.relative_to(top.parent)}": p.read_bytes() if p.is_file() else b"" for p in beside}
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


def _git(top: Path, *words: str) -> bytes:
    return subprocess.run(["git", *words], cwd=top, env=clean_environment(), capture_output=True, check=True).stdout


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
