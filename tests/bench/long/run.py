"""`python -m tests.bench long [--slice]`: the doors on a book of 5,000 commits, 200 entries and 1,280 pages in git-lfs.

The audit is told in times of `git log --raw` on the same repository, the hooks in units of `python -c pass`, the check
of one staged page also against a book with the same files and entries in 50 commits. The audit is told once more of
books in which each of the commits that touch the closed draft does something that has to be told; `--slice` does that
of one of them. Beside the wall clock, which a busy machine makes useless, the least processor time is told.
"""

from __future__ import annotations

import argparse
import hashlib
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from tests.bench.long.build import build, git, keep_large
from tests.bench.long.story import DEEDS, Size, picture, pointer, shown
from tests.bench.ratio import UNIT, Run, clean_environment, run, within

LEDGER = [sys.executable, "-m", "ledger"]
DOOR = [sys.executable, "-I", "-m", "ledger.cli.door", "pre-commit"]
#: The audit in times of `git log --raw`; the push of one commit in units of `python -c pass`; the check of a staged
#: page on the long history in times of the same on the short one (a fifth is what a busy machine makes of nothing).
AUDIT, PUSH, LENGTH = 6.0, 25.0, 1.2
#: So many commits of the long history make one of the short one.
TOGETHER = 100
DEEDS_SAID = {"grown": "a balloon grown too long", "cut": "a line cut", "given": "a line given to somebody else"}


def long(arguments: Sequence[str]) -> None:
    """Builds the books, prints the figures."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench long")
    asked.add_argument("--slice", action="store_true", help="fewer runs of each")
    small = asked.parse_args(arguments).slice
    times = 3 if small else 11
    with tempfile.TemporaryDirectory() as place:
        home = Path(place)
        size = Size()
        whole, short = build(home / "long", size), build(home / "short", size, together=TOGETHER)
        counts = [git(book, "rev-list", "--count", "HEAD") for book in (whole, short)]
        touching = f"{size.touching} commits that touch a locked draft"
        print(
            f"a book of {counts[0]} commits, {size.entries} entries, {touching}; {counts[1]} commits in the short one"
        )
        audit(whole, times)
        for deed in DEEDS[1:2] if small else DEEDS[1:]:
            audit(build(home / deed, Size(deed=deed)), times, f", {DEEDS_SAID[deed]} in each of these commits")
        staged_page(whole, short, times)
        push(whole, home / "shared.git", times)


def audit(whole: Path, times: int, which: str = "") -> None:
    """The audit of the whole history, and the memory it takes."""
    raw, ours = [], []
    for _ in range(times):
        raw.append(run(["git", "log", "--raw"], whole))
        ours.append(run([*LEDGER, "audit"], whole))
    ratio = _median(ours) / _median(raw)
    work = min(each.work for each in ours) / min(each.work for each in raw)
    print(
        f"audit{which}: {within(ratio, AUDIT, 'x git log --raw')}, {work:.1f} x by processor time,"
        f" {max(each.mebibytes for each in ours):.0f} MiB at most"
    )


def staged_page(whole: Path, short: Path, times: int) -> None:
    """One signed-off page redrawn and staged: the hook, and `check --staged`, on both histories."""
    for book in (whole, short):
        _stage(book, shown(1), picture(1, 99))
    told = {"the hook": DOOR, "check --staged": [*LEDGER, "check", "--staged"]}
    for what, command in told.items():
        unit, here, there = [], [], []
        for _ in range(times):
            unit.append(run(UNIT))
            here.append(run(command, whole))
            there.append(run(command, short))
        units = _median(here) / _median(unit)
        ratio = _median(here) / _median(there)
        print(f"one staged page, {what}: {units:.1f} x python -c pass, {within(ratio, LENGTH, 'x the short history')}")


def push(whole: Path, shared: Path, times: int) -> None:
    """One commit pushed to the shared copy, as its hook judges it."""
    git(whole.parent, "clone", "-q", "--bare", str(whole), str(shared))
    subprocess.run([*LEDGER, "hook", "install", "--server"], cwd=shared, env=clean_environment(), check=True,
                   capture_output=True)  # fmt: skip
    head = git(shared, "rev-parse", "HEAD")
    script = git(shared, "cat-file", "-p", f"{head}:script/03.md") + "\n"
    cases = {
        "one page": ("art/proofs/p001.png", pointer(b"another proof")),
        "a line of the closed script": ("script/03.md", script.replace("T: It was", "M: It was", 1).encode()),
    }  # fmt: skip
    for what, (path, data) in cases.items():
        commit = _commit(shared, head, path, data)
        unit, ours = [], []
        for _ in range(times):
            unit.append(run(UNIT))
            ours.append(_received(shared, head, commit))
        ratio = statistics.median(ours) / _median(unit)
        print(f"pre-receive, {what}: {within(ratio, PUSH, 'x python -c pass')}")


def _received(shared: Path, old: str, new: str) -> float:
    """Seconds of the hook as git runs it."""
    start = time.perf_counter()
    subprocess.run(["hooks/pre-receive"], cwd=shared, env={**clean_environment(), "GIT_DIR": "."}, capture_output=True,
                   input=f"{old} {new} refs/heads/main\n".encode(), check=False)  # fmt: skip
    return time.perf_counter() - start


def _commit(shared: Path, head: str, path: str, data: bytes) -> str:
    """A commit on the newest one, in the shared copy and on no branch."""
    blob = git(shared, "hash-object", "-w", "--stdin", given=data)
    index = {**clean_environment(), "GIT_INDEX_FILE": str(shared / "work")}

    def indexed(*args: str) -> str:
        done = subprocess.run(["git", *args], cwd=shared, env=index, capture_output=True, check=True)
        return done.stdout.decode().strip()

    indexed("read-tree", head)
    indexed("update-index", "--cacheinfo", f"100644,{blob},{path}")
    tree = indexed("write-tree")
    (shared / "work").unlink()
    return git(shared, "commit-tree", tree, "-p", head, "-m", "pushed")


def _stage(book: Path, path: str, content: bytes) -> None:
    keep_large(book, content)
    blob = git(book, "hash-object", "-w", "--stdin", given=pointer(content))
    git(book, "update-index", "--cacheinfo", f"100644,{blob},{path}")
    assert hashlib.sha256(content).hexdigest() in git(book, "cat-file", "-p", f":{path}")


def _median(runs: Sequence[Run]) -> float:
    return statistics.median(each.seconds for each in runs)
