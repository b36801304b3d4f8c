"""A small book in a temporary folder, typed in a test and worked on by the real command."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.usual_passes import usual_passes

#: Who commits in the tests; nobody real.
SOMEBODY = {
    "GIT_AUTHOR_NAME": "Odile Marr", "GIT_AUTHOR_EMAIL": "odile@example.org",
    "GIT_COMMITTER_NAME": "Odile Marr", "GIT_COMMITTER_EMAIL": "odile@example.org",
}  # fmt: skip

BOOK = """\
[book]
title = "The Ninth Supper"
reading = "ltr"
pages = 4

[page]
trim_mm = [50.8, 76.2]
bleed_mm = 0
ppi = 25

[cast]
N = "Nell"
J = { name = "Joren Pike", also = ["JOREN"] }
""" + usual_passes("script", "pencils", "inks", "letters")

#: A pass that a helper makes from the inks, to be put behind the others.
FLATS = """
[[pass]]
name = "flats"
kind = "art"
files = "art/flats/p{page}.png"
from = ["inks"]
returns = "flats"
"""

SCRIPT = """\
# Chapter 1: The slipway

## The boat shed

[page 1]
[panel 1]
Rain on tin. Nell sorts nets by feel.

N: Is that you, or the wind?
J: Neither. It's the rent.

[panel 2]
Joren holds up a brass key.

J: Found it in the bilge.
CAP: Nobody had opened the far room in nine years.

## The far room

[page 2]
[panel 1]
A door swollen with damp.

N: Push.
SFX: KRRNK

[panel 2]
Inside, a table laid for four.

N: They never came back for supper.

[page 3]
[panel 1]
Joren sits down as if invited.

J: Then we won't keep them waiting.

[page 4]
[panel 1]
The tide is in under the floor.

N: Listen.
"""


@dataclass(frozen=True)
class Ran:
    """What a command said, and its exit code."""

    out: str
    err: str
    code: int

    @property
    def document(self) -> dict[str, Any]:
        """Standard output as JSON."""
        found: dict[str, Any] = json.loads(self.out)
        return found


class TypedBook:
    """A folder with a book in it; `git` and `ledger` run there."""

    def __init__(self, top: Path) -> None:
        self.top = top
        self.env: dict[str, str] = {}

    def copied(self, to: Path) -> TypedBook:
        """The same book in another folder."""
        shutil.copytree(self.top, to, symlinks=True)
        return TypedBook(to)

    def write(self, path: str, content: str | bytes) -> Path:
        """Writes a file of the book."""
        place = self.top / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content.encode() if isinstance(content, str) else content)
        return place

    def change(self, path: str, old: str, new: str) -> None:
        """Replaces words in a file; they must be there once."""
        place = self.top / path
        text = place.read_bytes().decode()
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {path}"
        place.write_bytes(text.replace(old, new).encode())

    def draw(self, pass_name: str, label: str, seed: int) -> None:
        """An export of the book's page size (50 x 75 px) that differs with `seed`."""
        from PIL import Image, ImageDraw

        picture = Image.new("L", (50, 75), 255)
        pen = ImageDraw.Draw(picture)
        pen.rectangle((3, 3, 46, 36), outline=0)
        pen.rectangle((3, 39, 46, 71), outline=0)
        pen.line((5, 5 + seed % 25, 44, 30), fill=0, width=2)
        pen.ellipse((8 + seed % 20, 42, 24 + seed % 20, 66), fill=0)
        place = self.top / f"art/{pass_name}/p{label}.png"
        place.parent.mkdir(parents=True, exist_ok=True)
        picture.save(place)

    def run(self, *words: str, input: str | None = None, env: dict[str, str] | None = None) -> Ran:
        """Runs a program in the book's folder."""
        done = subprocess.run(
            words, cwd=self.top, env={**os.environ, **SOMEBODY, **self.env, **(env or {})}, text=True,
            input=input, stdin=subprocess.DEVNULL if input is None else None, capture_output=True, check=False,
        )  # fmt: skip
        return Ran(done.stdout, done.stderr, done.returncode)

    def git(self, *words: str, code: int | None = 0) -> str:
        """Runs git; its exit code must be `code` unless that is None. Gives both streams."""
        done = self.run("git", *words)
        assert code is None or done.code == code, f"git {words}: {done.code}\n{done.out}{done.err}"
        return done.out + done.err

    def ledger(self, *words: str, code: int | None = 0, env: dict[str, str] | None = None) -> Ran:
        """Runs inkledger; its exit code must be `code` unless that is None. No traceback may reach a user."""
        done = self.run(sys.executable, "-m", "ledger", *words, env=env)
        assert "Traceback" not in done.err + done.out, done.err
        assert code is None or done.code == code, f"inkledger {words}: {done.code}\n{done.out}{done.err}"
        return done


def typed_book(top: Path) -> TypedBook:
    """The book of this module, laid out in an empty folder with its hooks; nothing entered yet."""
    book = TypedBook(top)
    top.mkdir(parents=True, exist_ok=True)
    book.write("book.toml", BOOK)
    book.ledger("init", "--yes")
    book.write("script/01.md", SCRIPT)
    return book
