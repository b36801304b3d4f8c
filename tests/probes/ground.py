"""The ground the probes stand on: a signed book with our hooks, and the two bare copies it is pushed to.

`guarded.git` has our hook, `open.git` has none. Built once, copied for each probe. All that is ours in a probe is the
command as it was installed from the wheel, and the hooks that it put in.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ledger.model.entry import Lock
from tests.books import Book
from tests.desk.signed_book import BY, WHEN, page, record

TOML = """[book]
title = "The Salt Lantern"
pages = 4

[page]
trim_mm = [50.8, 76.2]
ppi = 25

[cast]
W = "Wren"
T = "Tomas Arde"
M = "Mara"

[[pass]]
name = "outline"
kind = "text"
files = "outline/*.md"

[[pass]]
name = "script"
kind = "text"
files = "script/*.md"

[[pass]]
name = "pencils"
kind = "art"
files = "art/pencils/p{page}.png"
from = ["script"]

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
from = ["script"]
locks = ["structure", "drawing"]
"""
SCRIPT = """# Chapter 1: The tide gauge

## Harbour office

[page 1]
[panel 1]
Wren shoulders the door open. Paper everywhere.

W: You said the map was here.
T: It was.

[panel 2]
Tomas lifts the lamp.

T: Somebody oiled the hinge.
T: Not me.

## The long pier

[page 2]
[panel 1]
M: Three hours to high water.

[page 3]
[panel 1]
A gull looks at the reader.

M: Two and a half.
"""


@dataclass(frozen=True)
class Ground:
    """A folder with the book and its two copies, and the command that is installed."""

    home: Path
    program: Path

    @property
    def book(self) -> Book:
        """The book that is worked on."""
        return Book(self.home / "book")

    def copied(self, to: Path) -> Ground:
        """Everything once more, in another folder."""
        shutil.copytree(self.home, to, symlinks=True)
        return Ground(to, self.program)

    def without_hooks(self, to: Path) -> Ground:
        """The control: the same, our hooks taken away."""
        other = self.copied(to)
        other.hooks.rename(other.hooks.with_name("hooks.away"))
        return other

    @property
    def hooks(self) -> Path:
        """The folder of the book's hooks."""
        return self.home / "book/.git/hooks"

    def with_hooks(self) -> None:
        """Puts the hooks back where they were taken away."""
        away = self.hooks.with_name("hooks.away")
        if away.exists():
            away.rename(self.hooks)

    def ledger(self, *words: str, input: str | None = None, **env: str) -> tuple[int, str]:
        """Runs the installed command in the book; gives exit code and all that was said."""
        return act(self.book, str(self.program), *words, input=input, **env)

    def held(self) -> dict[str, object]:
        """All that an act may touch: refs, index, files, the hooks, both copies."""
        book, inside = self.book, self.home / "book/.git"
        return {
            "refs": _refs(inside),
            "index": book.git_bytes("ls-files", "-s", "-z"),
            "files": {str(p.relative_to(book.top)): p.read_bytes() for p in _files(book.top)},
            "hooks": {p.name: p.read_bytes() for p in _files(self.hooks)},
            "copies": [_refs(self.home / name) for name in ("guarded.git", "open.git")],
            "objects there": sorted(map(str, (self.home / "guarded.git/objects").rglob("*"))),
        }


def _refs(git_dir: Path) -> dict[str, bytes]:
    """Every ref as git keeps it, and HEAD."""
    places = [git_dir / "HEAD", git_dir / "packed-refs", *_files(git_dir / "refs")]
    return {str(place.relative_to(git_dir)): place.read_bytes() for place in places if place.exists()}


def _files(place: Path) -> list[Path]:
    return [p for p in sorted(place.rglob("*")) if p.is_file() and ".git" not in p.relative_to(place).parts[:1]]


def act(book: Book, *words: str, input: str | None = None, **env: str) -> tuple[int, str]:
    """Runs git (or another program, if the first word is a path) in the book; gives exit code and all that was said."""
    program = [] if words[0].startswith("/") else [shutil.which("git") or "git"]
    done = subprocess.run([*program, *words], cwd=book.top, env={**os.environ, **env}, capture_output=True, text=True,
                          input=input, errors="replace")  # fmt: skip
    said = done.stdout + done.stderr
    assert "Traceback" not in said, said
    return done.returncode, said


def signed(home: Path, program: Path, form: str = "sha1") -> Ground:
    """Three pages, of which `inks` is signed off for the first two; a letter since."""
    ground = Ground(home, program)
    book = laid_out(ground, form)
    assert ground.ledger("hook", "install")[0] == 0
    for name in ("guarded", "open"):
        book.git("init", "-q", "--bare", "--template=", f"--object-format={form}", f"../{name}.git")
        book.git("remote", "add", name, f"../{name}.git")
        book.git("push", "-q", "--no-verify", name, "main", "--tags")
    assert ground.ledger("-C", "../guarded.git", "hook", "install", "--server")[0] == 0
    return ground


def laid_out(ground: Ground, form: str = "sha1") -> Book:
    """The book alone, with git alone."""
    files: Mapping[str, str | bytes] = {
        "book.toml": TOML, "script/01.md": SCRIPT, "outline/01.md": "# The tide gauge\n\n- Wren finds the map\n",
        ".gitignore": ".DS_Store\n", **{f"art/inks/p00{n}.png": page(5 * n) for n in (1, 2, 3)},
        **{f"art/pencils/p00{n}.png": page(4 * n) for n in (1, 2, 3)},
    }  # fmt: skip
    book = Book.new(ground.home / "book", files, form=form)
    closed = {path: oid for path, oid in book.staged().items() if path.startswith(("script/", "art/inks/p00"))}
    closed = {path: oid for path, oid in closed.items() if not path.endswith("p003.png")}
    record(book, Lock(path="ledger/lock-inks-1.toml", number=1, date=WHEN, by=BY, pass_name="inks", pages="1-2",
                      scopes=("structure", "drawing"), files=closed))  # fmt: skip
    book.git("tag", "-a", "-m", "lock-inks-1", "lock/inks/1")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    return book
