"""A book in a temporary folder, worked on with git alone, as a user would."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

#: When everything in these tests happens.
NOON = "2026-03-02T12:00:00+01:00"


@dataclass(frozen=True)
class Book:
    """A repository and the folder it is in."""

    top: Path

    @classmethod
    def new(cls, top: Path, files: Mapping[str, str | bytes], *, form: str = "sha1") -> Book:
        """A new repository; the files, if any, are its first commit."""
        top.mkdir(parents=True)
        book = cls(top)
        book.git("init", "-q", "--template=", f"--object-format={form}")
        if files:
            book.write(files)
            book.commit("first")
        return book

    def git(self, *args: str | bytes, check: bool = True, input: bytes | None = None, **env: str) -> str:
        """Runs git as the user would and gives what it said."""
        return self.git_bytes(*args, check=check, input=input, **env).decode("utf-8", "surrogateescape").strip()

    def git_bytes(self, *args: str | bytes, check: bool = True, input: bytes | None = None, **env: str) -> bytes:
        """As `git`, as bytes."""
        dates = {"GIT_AUTHOR_DATE": NOON, "GIT_COMMITTER_DATE": NOON}
        done = subprocess.run(
            ["git", *args], cwd=self.top, env={**os.environ, **dates, **env}, capture_output=True, input=input
        )
        assert not check or done.returncode == 0, done.stderr.decode()
        return done.stdout

    def write(self, files: Mapping[str, str | bytes]) -> None:
        """Writes files of the book; their folders are made."""
        for path, content in files.items():
            place = self.top / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content if isinstance(content, bytes) else content.encode())

    def read(self, path: str) -> bytes:
        """A file as it lies on disk."""
        return (self.top / path).read_bytes()

    def commit(self, message: str = "work", *paths: str) -> str:
        """Commits these paths, or everything; gives the commit's id."""
        self.git("add", "-A", "--", *(paths or (".",)))
        self.git("commit", "-q", "-m", message)
        return self.git("rev-parse", "HEAD")

    def staged(self) -> dict[str, str]:
        """Path -> object id, as `git ls-files -s` says it."""
        lines = self.git_bytes("ls-files", "-s", "-z").split(b"\0")[:-1]
        pairs = [line.partition(b"\t") for line in lines]
        return {name.decode("utf-8", "surrogateescape"): facts.split()[1].decode() for facts, _, name in pairs}

    def status(self) -> str:
        """`git status --porcelain`."""
        return self.git_bytes("status", "--porcelain").decode("utf-8", "surrogateescape").rstrip("\n")

    def all_files(self) -> dict[str, bytes]:
        """Every file of the working tree, git's own folder left out."""
        return {
            str(place.relative_to(self.top)): place.read_bytes()
            for place in sorted(self.top.rglob("*"))
            if place.is_file() and ".git" not in place.relative_to(self.top).parts[:1]
        }
