"""The life of a long book written into a repository in one go, by `git fast-import`."""

from __future__ import annotations

import hashlib
import subprocess
from collections.abc import Iterable, Iterator
from datetime import timedelta
from pathlib import Path

from ledger.gitedge.tags import tag_message, tag_of
from tests.bench.long.story import BY, START, Deed, Life, Size
from tests.bench.ratio import clean_environment

#: Pointers are laid out as they are: nearly all that they point at is nowhere.
_UNFILTERED = {"process": "", "clean": "cat", "smudge": "cat", "required": "false"}


def git(folder: Path, *args: str, given: bytes | None = None) -> str:
    """Runs git there as its user would."""
    done = subprocess.run(
        ["git", "-c", "user.name=Ida Kestrel", "-c", "user.email=ida@example.org", *args],
        cwd=folder, env=clean_environment(), input=given, capture_output=True, check=True,
    )  # fmt: skip
    return done.stdout.decode().strip()


def build(folder: Path, size: Size, *, together: int = 1) -> Path:
    """The book in a new repository, its files laid out; with `together` so many deeds make one commit."""
    folder.mkdir(parents=True)
    git(folder, "init", "-q", "-b", "main")
    for key, value in _UNFILTERED.items():
        git(folder, "config", f"filter.lfs.{key}", value)
    life = Life(size)
    deeds = life.deeds()
    stream = b"".join(_stream(_joined(deeds, together) if together > 1 else deeds))
    git(folder, "fast-import", "--quiet", given=stream)
    for content in life.contents:
        keep_large(folder, content)
    git(folder, "reset", "-q", "--hard")
    git(folder, "repack", "-adq")
    return folder


def keep_large(folder: Path, content: bytes) -> None:
    """Puts a content into the store of large files."""
    digest = hashlib.sha256(content).hexdigest()
    place = folder / f".git/lfs/objects/{digest[:2]}/{digest[2:4]}/{digest}"
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(content)


def _joined(deeds: Iterable[Deed], together: int) -> Iterator[Deed]:
    """So many deeds as one, all in a row."""
    now = Deed("")
    for count, deed in enumerate(deeds, 1):
        now.message, now.files = deed.message, {**now.files, **deed.files}
        now.entries += deed.entries
        if count % together == 0:
            yield now
            now = Deed("")
    if now.files:
        yield now


def _stream(deeds: Iterable[Deed]) -> Iterator[bytes]:
    """What `git fast-import` reads. A branch grows aside while the main line waits, then both are joined."""
    tip, side = 0, 0
    brought: dict[str, bytes | None] = {}
    tags: list[bytes] = []
    for marks, deed in enumerate(deeds, 1):
        when = _ident(marks)
        yield b"commit refs/heads/%s\nmark :%d\n" % (b"side" if deed.aside else b"main", marks)
        yield b"author %s\ncommitter %s\n%s" % (when, when, _data(deed.message.encode()))
        below = side if deed.aside and side else tip
        if below:
            yield b"from :%d\n" % below
        if deed.joins and side:
            yield b"merge :%d\n" % side
            deed.files, brought, side = {**brought, **deed.files}, {}, 0
        for path, data in deed.files.items():
            yield (
                b"M 100644 inline %s\n%s" % (path.encode(), _data(data))
                if data is not None
                else b"D %s\n" % (path.encode())
            )
        yield b"\n"
        for entry in deed.entries:
            if tag_of(entry):
                said = _data(tag_message(entry).encode())
                tags.append(b"tag %s\nfrom :%d\ntagger %s\n%s" % (tag_of(entry).encode(), marks, when, said))
        if deed.aside:
            side = marks
            brought |= deed.files
        else:
            tip = marks
    yield b"reset refs/heads/side\nfrom %s\n\n" % (b"0" * 40)
    yield from tags


def _ident(at: int) -> bytes:
    return b"%s %d +0000" % (BY.encode(), int((START + timedelta(hours=4 * at)).timestamp()))


def _data(data: bytes) -> bytes:
    return b"data %d\n%s\n" % (len(data), data)
