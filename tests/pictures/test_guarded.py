"""Pictures of strangers are unpacked by assistants alone, bounded in time and memory, whatever is asked of them."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.pictures import assistants, guarded
from ledger.pictures.files.header import Unreadable
from tests.pictures.drawn import inked, saved
from tests.pictures.test_bad_files import BAD, huge
from tests.test_rooms import LEDGER, MODULES

#: What unpacks a picture in the process that calls it.
UNPACKING = {
    "ledger.pictures.files.decode": {"decode", "digest", "inks", "look", "same_picture", "verify"},
    "ledger.pictures.files.ink": {"heaviest_ink"},
    "ledger.pictures.leaves": {"leaf"},
    "ledger.pictures.rounds.pair": {"became", "verdict", "across_passes"},
    "ledger.pictures.plates": {"plate", "difference"},
}

#: The large ones can be read where one picture at a time is asked for.
NO_PAGES = [what for what in BAD if "that are all there" not in what and "of colour" not in what]

ASKED: dict[str, Callable[[bytes], object]] = {
    "look": guarded.look,
    "verify": guarded.verify,
    "digest": guarded.digest,
    "became": lambda data: guarded.became(data, saved(inked())),
    "plate": lambda data: guarded.plate(data, [], 100, 10_000),
    "difference": lambda data: guarded.difference(saved(inked()), data, [], []),
    "leaf": lambda data: guarded.leaf(data, 10_000),
    "ink": lambda data: guarded.heaviest_ink(data, 300),
}


def test_no_other_room_unpacks_a_picture_itself() -> None:
    for path in MODULES:
        if path.relative_to(LEDGER).parts[0] == "pictures":
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom):
                named = {alias.name for alias in node.names}
                assert not named & UNPACKING.get(node.module or "", set()), f"{path} imports {sorted(named)}"


@pytest.mark.parametrize("what", NO_PAGES)
def test_whatever_is_asked_of_a_bad_file_it_is_named(what: str) -> None:
    data = BAD[what][0]()
    for name, ask in ASKED.items():
        if name == "look" and "zero" not in what and "60,000" not in what:
            continue
        with pytest.raises(Unreadable):
            ask(data)
    assert guarded.mark(data) is None


def stand_still() -> None:
    assistants.allow(0)
    while True:
        os.read(os.pipe()[0], 1)


def test_an_assistant_that_stands_still_is_stopped() -> None:
    answer = assistants.one(stand_still)
    assert isinstance(answer, assistants.Broken) and "too long" in answer.why


def mine() -> int:
    return os.getpid()


def open_files() -> list[int]:
    return sorted(int(place.name) for place in Path("/proc/self/fd").iterdir())


def test_one_assistant_serves_many_single_questions_and_one_that_dies_is_replaced() -> None:
    first = assistants.one(mine)
    assert assistants.one(mine) == first != os.getpid()
    os.kill(first, 9)
    os.waitid(os.P_PID, first, os.WEXITED | os.WNOWAIT)
    second = assistants.one(mine)
    assert second not in (first, os.getpid())


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_an_assistant_holds_nothing_open_that_is_not_its_own() -> None:
    place = os.open(os.devnull, os.O_RDONLY)
    try:
        answers = dict(assistants.done([(open_files, ())]))
    finally:
        os.close(place)
    # Three streams to nowhere, two pipes, and the folder that is being listed.
    assert len(answers[0]) <= 6, answers


# -- every verb: what is unpacked is not unpacked in the command's own process

BOOK = """\
[book]
title = "The Ninth Supper"
reading = "ltr"
pages = 4
[page]
trim_mm = [50.8, 76.2]
bleed_mm = 0
ppi = 25
ink_limit = 300
[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
locks = ["drawing"]
"""
#: The command, and what most memory its process ever held, in kilobytes.
MEASURED = """\
import sys
from ledger.cli.frame import run
code = run(sys.argv[1:])
sys.stdout.flush()
held = next(row for row in open('/proc/self/status') if row.startswith('VmHWM'))
sys.stderr.write(f"held {held.split()[1]}\\n")
sys.exit(code)
"""
#: Bytes that the large picture takes once it is unpacked.
LARGE = (13_000, 12_000)


def ran(here: Path, *words: str) -> tuple[int, str, int]:
    """Exit code, what was said, kilobytes held."""
    env = {"PATH": os.environ["PATH"], "HOME": str(here.parent), "GIT_CONFIG_GLOBAL": os.devnull, "LC_ALL": "C",
           **{f"GIT_{who}_{what}": value for who in ("AUTHOR", "COMMITTER")
              for what, value in (("NAME", "Odile Marr"), ("EMAIL", "odile@example.org"))}}  # fmt: skip
    command = [sys.executable, "-c", MEASURED, "-C", str(here), *words]
    done = subprocess.run(command, capture_output=True, text=True, env=env, cwd=LEDGER.parent)
    assert "Traceback" not in done.stdout + done.stderr, done.stderr
    said, _, held = done.stderr.rpartition("held ")
    return done.returncode, done.stdout + said, int(held or 0)


def book(top: Path, pages: dict[str, bytes]) -> Path:
    here = top / "book"
    (here / "art" / "inks").mkdir(parents=True)
    (here / "book.toml").write_text(BOOK, "utf-8")
    for name, data in pages.items():
        (here / "art" / "inks" / name).write_bytes(data)
    for words in (["init", "-q", "-b", "main"], ["config", "user.name", "Odile Marr"],
                  ["config", "user.email", "odile@example.org"]):  # fmt: skip
        subprocess.run(["git", "-C", str(here), *words], check=True)
    return here


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_no_verb_unpacks_a_large_page_in_its_own_process(tmp_path: Path) -> None:
    small = saved(inked(1))
    here = book(tmp_path, {"p1.png": small, "p2.png": small, "p3.png": huge(*LARGE)})
    places = here / "art" / "inks"

    def held(*words: str, codes: tuple[int, ...] = (0, 1)) -> None:
        code, said, most = ran(here, *words)
        assert code in codes, said
        assert most * 1024 < LARGE[0] * LARGE[1], f"{words[0]} held {most} KB"

    held("check")
    held("enter", "inks", "-m", "first", codes=(0,))
    held("lock", "inks", codes=(0,))
    (places / "p3.png").write_bytes(huge(LARGE[0], LARGE[1] - 200))
    for words in (["check"], ["status"], ["compare", "inks-1"], ["page", "3"], ["page", "3", "--out", "../page.html"],
                  ["memo", "inks-1", "--out", "../memo.html"], ["compare", "inks-1", "--out", "../diff"],
                  ["enter", "inks", "--class", "AA", "--reason", "as asked", "-m", "again"]):  # fmt: skip
        held(*words, codes=(0, 1, 2))


def test_a_file_no_page_can_be_is_named_by_every_verb_that_reads_it(tmp_path: Path) -> None:
    small = saved(inked(1))
    here = book(tmp_path, {"p1.png": small, "p2.png": saved(inked(2))})
    assert ran(here, "enter", "inks", "-m", "first")[0] == 0
    assert ran(here, "lock", "inks")[0] == 0
    place = here / "art" / "inks" / "p2.png"
    for what, data in (("a bomb", BAD["a head of 60,000 x 60,000 px"][0]()), ("cut short", small[:-40])):
        place.write_bytes(data)
        for words in (["check"], ["compare", "inks-1"], ["enter", "inks", "-m", "again"]):
            code, said, _ = ran(here, *words, "--json")
            assert code in (0, 1, 2) and "export-unreadable" in said and "p2.png" in said, (what, words, said)
