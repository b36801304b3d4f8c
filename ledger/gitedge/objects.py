"""The bytes behind object ids: one git that is asked again and again, large-file pointers followed on this disk."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from typing import IO, TYPE_CHECKING

from ledger.gitedge.large_files import LargeFiles, Pointer, pointed_at
from ledger.model.errors import ContentMissing

if TYPE_CHECKING:
    import subprocess

    from ledger.gitedge.repository import Repository

#: Objects up to this many bytes are kept once read: drafts and entries are, pictures are not.
KEPT_BYTES = 512 * 1024
#: So many bytes are kept at most; then those read first are let go.
ALL_KEPT_BYTES = 64 * 1024 * 1024
#: So many ids are asked for before the answers are read; they fit into a pipe, which holds 64 KiB.
_AT_ONCE = 400
#: A large-file pointer is smaller than this (its specification says so).
POINTER_BYTES = 1024


class Reader:
    """Reads objects through one `git cat-file --batch`, which is started when first asked."""

    def __init__(self, repo: Repository) -> None:
        self._repo = repo
        self._git: subprocess.Popen[bytes] | None = None
        self._kept: dict[str, bytes] = {}
        self._room = ALL_KEPT_BYTES
        self._large: LargeFiles | None = None

    def raw(self, oid: str) -> bytes:
        """The bytes of an object as git has them. Raises ContentMissing."""
        if oid in self._kept:
            return self._kept[oid]
        return next(self._asked([oid]))[1]

    def content(self, oid: str) -> bytes:
        """The bytes of an object, a large-file pointer followed. Raises ContentMissing."""
        return self.followed(self.raw(oid), oid)

    def named(self, name: str) -> bytes | None:
        """The bytes of what a revision of git names (`HEAD:book.toml`); None where it names no file that is here."""
        oid, data = self._named(name, b"blob")
        return data if oid else None

    def commit(self, name: str) -> str | None:
        """The id of the commit that a revision of git names, through tags; None where it names none."""
        return self._named(f"{name}^{{commit}}", b"commit")[0] if name and "\0" not in name else None

    def folder(self, name: str) -> dict[str, str]:
        """Name -> object id of what a folder holds (`HEAD:designs`), folders in it too; empty where there is none."""
        data, width, found = self._named(name, b"tree")[1], len(self._repo.zero) // 2, {}
        while data:
            head, _, rest = data.partition(b"\0")
            found[head.partition(b" ")[2].decode("utf-8", "surrogateescape")] = rest[:width].hex()
            data = rest[width:]
        return found

    def _named(self, name: str, kind: bytes) -> tuple[str | None, bytes]:
        """Id and bytes of what a revision of git names, where it is of that kind."""
        if "\n" in name:
            return None, b""
        git = self._running()
        assert git.stdin is not None and git.stdout is not None
        try:
            git.stdin.write(name.encode("utf-8", "surrogateescape") + b"\n")
            git.stdin.flush()
        except OSError:
            self.close()
            return None, b""
        head = git.stdout.readline().rsplit(b" ", 2)
        if len(head) != 3 or not head[2].strip().isdigit():
            return None, b""
        data = git.stdout.read(int(head[2]))
        git.stdout.read(1)
        return (head[0].decode(), data) if head[1] == kind else (None, b"")

    def followed(self, data: bytes, name: str) -> bytes:
        """The content that a pointer stands for; other bytes as they are. Raises ContentMissing."""
        pointer = pointed_at(data) if len(data) < POINTER_BYTES else None
        return data if pointer is None else self.large.read(pointer, name)

    @property
    def large(self) -> LargeFiles:
        """The local store of large files."""
        if self._large is None:
            self._large = LargeFiles.of(self._repo)
        return self._large

    def warm(self, oids: Iterable[str]) -> None:
        """Reads many small objects at once; what is not here is left to the reading that asks for it."""
        wanted = [oid for oid in dict.fromkeys(oids) if oid not in self._kept]
        if not self._all_read(wanted) and self._repo.partial:
            # Asked for one that it has left out, a partial clone gave up on all that followed.
            sizes = _sizes(self._repo, wanted)
            self._all_read([oid for oid in wanted if sizes[oid] is not None and oid not in self._kept])

    def _all_read(self, wanted: list[str]) -> bool:
        """Reads objects, so many at once; whether all were here."""
        whole = True
        for start in range(0, len(wanted), _AT_ONCE):
            try:
                for _ in self._asked(wanted[start : start + _AT_ONCE]):
                    pass
            except ContentMissing:
                self.close()
                whole = False
        return whole

    def _asked(self, oids: list[str]) -> Iterator[tuple[str, bytes]]:
        """Each object with its bytes, in order. Raises ContentMissing at the first that is not here."""
        git = self._running()
        assert git.stdin is not None and git.stdout is not None
        try:
            git.stdin.write("".join(f"{oid}\n" for oid in oids).encode())
            git.stdin.flush()
        except OSError:
            self.close()
            raise self.missing(oids[0]) from None
        for oid in oids:
            head = git.stdout.readline().split()
            if len(head) != 3 or not head[2].isdigit():
                self.close()
                raise self.missing(oid)
            data = git.stdout.read(int(head[2]))
            git.stdout.read(1)
            self._keep(oid, data)
            yield oid, data

    def _keep(self, oid: str, data: bytes) -> None:
        if len(data) <= KEPT_BYTES and oid not in self._kept:
            self._kept[oid] = data
            self._room -= len(data)
            while self._room < 0:
                self._room += len(self._kept.pop(next(iter(self._kept))))

    def _running(self) -> subprocess.Popen[bytes]:
        if self._git is None or self._git.poll() is not None:
            self.close()
            self._git = self._repo.start("cat-file", "--batch")
        return self._git

    def missing(self, oid: str) -> ContentMissing:
        """That an object is not here, with the reason that fits this repository."""
        return ContentMissing(oid, "not fetched" if self._repo.partial else "lost: git does not have it")

    def close(self) -> None:
        """Ends the git that was asked."""
        git, self._git = self._git, None
        if git is not None:
            for pipe in (git.stdin, git.stdout):
                if pipe is not None:
                    _closed(pipe)
            git.wait()

    def __del__(self) -> None:
        # At the very end of a program nothing of this module may be left; the git ends with its pipes.
        if _closed is not None:
            self.close()


def _closed(pipe: IO[bytes]) -> None:
    try:
        pipe.close()
    except OSError:
        return  # that git is gone already


def has_object(repo: Repository, oid: str) -> bool:
    """Whether git has an object itself; of a large file that is its pointer."""
    return _sizes(repo, [oid])[oid] is not None


def missing_objects(repo: Repository, oids: Iterable[str]) -> frozenset[str]:
    """Those of these object ids whose content is not here: no such object, or a large file that is not in the store."""
    sizes = _sizes(repo, oids)
    gone = {oid for oid, size in sizes.items() if size is None}
    for oid, pointer in _pointers(repo, sizes).items():
        if pointer is None or not os.path.isfile(repo.reader.large.place(pointer)):
            gone.add(oid)
    return frozenset(gone)


def content_sizes(repo: Repository, oids: Iterable[str]) -> dict[str, int]:
    """Object id -> bytes of its content, a large file's own where the object is a pointer; lost ones are left out."""
    sizes = {oid: size for oid, size in _sizes(repo, oids).items() if size is not None}
    pointers = _pointers(repo, dict(sizes))
    return {oid: pointer.size if (pointer := pointers.get(oid)) else size for oid, size in sizes.items()}


def blobs_among(repo: Repository, oids: Iterable[str]) -> frozenset[str]:
    """Those of these object ids, all of them here, that are the content of a file: no tree, no commit, no tag."""
    asked = "".join(f"{oid}\n" for oid in sorted(oids)).encode()
    said = repo.run("cat-file", "--batch-check=%(objectname) %(objecttype)", input=asked, check=False) if asked else b""
    return frozenset(line.partition(" ")[0] for line in said.decode().splitlines() if line.endswith(" blob"))


def large_digests(repo: Repository, oids: Iterable[str]) -> dict[str, str]:
    """Object id -> SHA-256 in hex of the large file it points at, for those of these ids that are pointers."""
    found = _pointers(repo, _sizes(repo, oids))
    return {oid: pointer.digest for oid, pointer in found.items() if pointer is not None}


def _sizes(repo: Repository, oids: Iterable[str]) -> dict[str, int | None]:
    """Object id -> size in bytes, None for one that is not here."""
    wanted = sorted({oid for oid in oids if oid})
    if not wanted:
        return {}
    how, asked = ["--batch-check=%(objectname) %(objectsize)"], "".join(f"{oid}\n" for oid in wanted).encode()
    if repo.partial:
        # Asked for one object that it has left out, a partial clone would give up on all that follow.
        how, asked = [*how, "--batch-all-objects", "--unordered"], b""
    lines = repo.run("cat-file", *how, input=asked, check=False).decode().splitlines()
    found = {oid: int(size) for oid, _, size in (line.partition(" ") for line in lines) if size.isdigit()}
    return {oid: found.get(oid) for oid in wanted}


def _pointers(repo: Repository, sizes: dict[str, int | None]) -> dict[str, Pointer | None]:
    """Object id -> what it points at, for the pointers among these; None for an object that can't be read."""
    small = [oid for oid, size in sizes.items() if size is not None and size < POINTER_BYTES]
    repo.reader.warm(small)
    found: dict[str, Pointer | None] = {}
    for oid in small:
        try:
            pointer = pointed_at(repo.reader.raw(oid))
        except ContentMissing:
            found[oid] = None
        else:
            if pointer is not None:
                found[oid] = pointer
    return found
