"""The hook: with nothing closed staged, and with a script file staged under a sign-off."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.ratio import clean_environment, ratios
from tests.usual_passes import usual_passes

DOOR = [sys.executable, "-I", "-m", "ledger.cli.door", "pre-commit"]
#: The most units of `python -c pass` that each may take.
NOTHING, SCRIPT = 4.0, 9.0

BOOK = """
[book]
title = "The Salt Lantern"
pages = 24

[page]
trim_mm = [168.3, 258.8]
ppi = 300

[cast]
W = "Wren"
T = "Tomas Arde"
""" + usual_passes("script", "pencils")


def chapter(number: int) -> str:
    """A chapter of eight pages, about 500 words."""
    pages = [
        f"[page {8 * (number - 1) + page}]\n\n"
        + "\n\n".join(
            f"[panel {panel}]\nWren at the gauge, hand on the rail, the water {panel} steps below.\n\n"
            f"W: You said the map was here, on page {page}, and it is not.\nT: It was. {{whisper}}"
            for panel in range(1, 5)
        )
        for page in range(1, 9)
    ]
    return f"# Chapter {number}: The tide gauge\n\n## Harbour office, before dawn\n\n" + "\n\n".join(pages) + "\n"


def git(folder: Path, *args: str) -> str:
    done = subprocess.run(
        ["git", "-c", "user.name=Ida Kestrel", "-c", "user.email=ida@example.org", *args],
        cwd=folder, env=clean_environment(), capture_output=True, text=True, check=True,
    )  # fmt: skip
    return done.stdout


def build(folder: Path) -> None:
    """A book of three chapters, its pencils signed off."""
    git(folder, "init", "-q", "-b", "main")
    (folder / "script").mkdir()
    (folder / "ledger").mkdir()
    (folder / "book.toml").write_text(BOOK, "utf-8")
    for number in (1, 2, 3):
        (folder / f"script/0{number}.md").write_text(chapter(number), "utf-8")
    git(folder, "add", "-A")
    git(folder, "commit", "-qm", "script")
    ids = [line.split() for line in git(folder, "ls-files", "-s", "script").splitlines()]
    files = "".join(f'"{path}" = "{oid}"\n' for _, oid, _, path in ids)
    (folder / "ledger/lock-pencils-1.toml").write_text(
        'entry   = "lock"\npass    = "pencils"\nnumber  = 1\ndate    = 2026-03-02T17:20:00+01:00\n'
        f'by      = "Ida Kestrel <ida@example.org>"\nscopes  = ["structure"]\n\n[files]\n{files}',
        "utf-8",
    )
    git(folder, "add", "-A")
    git(folder, "commit", "-qm", "lock-pencils-1")


def door(times: int) -> bool:
    """Prints the ratios; gives whether those that are bounded hold."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        build(folder)
        (folder / "letter.txt").write_text("Dear Marsh, here are the pages.\n", "utf-8")
        git(folder, "add", "letter.txt")
        nothing = ratios({"nothing": DOOR}, cwd=folder, times=times)["nothing"]
        words = staged(folder, times, "and it is not", "and it isn't")
        late = staged(folder, times, "T: It was. {whisper}", "W: It was. {whisper}")
    told = {
        "nothing closed staged": (nothing, NOTHING),
        "a script file staged, words changed": (words, SCRIPT),
        "a script file staged, speakers changed, judged in full and refused": (late, SCRIPT),
    }
    for what, (found, most) in told.items():
        print(f"hook, {what}: {found:.1f} x python -c pass (at most {most:.0f})")
    return nothing <= NOTHING and words <= SCRIPT


def staged(folder: Path, times: int, old: str, new: str) -> float:
    """The ratio of the hook with a chapter staged in which some words are other ones."""
    script = folder / "script/02.md"
    script.write_text(chapter(2).replace(old, new), "utf-8")
    git(folder, "add", "script")
    return ratios({"script": DOOR}, cwd=folder, times=times)["script"]
