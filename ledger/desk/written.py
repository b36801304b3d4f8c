"""Files put into the book's folder all together, and a record in the git folder of what was put there."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal

#: What a file is made of: its bytes, or another file to be copied.
Content = bytes | Path


@dataclass(frozen=True)
class Written:
    """A file that was put there: the digest of its bytes, and a name for what came together with it."""

    digest: str
    along: str


class Record:
    """What `bring` wrote, kept beside git's own files; where it can't be read nothing is known to be ours."""

    def __init__(self, repo: Repository) -> None:
        self.repo = repo
        self.place = Path(repo.in_git_dir("inkledger")) / "brought.json"
        self.files = _kept(self.place)

    def ours(self, path: str) -> bool:
        """Whether a file is there as it was written, byte for byte."""
        known, there = self.files.get(path), self.repo.top / path
        return known is not None and there.is_file() and known.digest == digest_of(there)

    def with_the_same(self, along: str) -> list[str]:
        """Files that came together under this name."""
        return [path for path, known in self.files.items() if known.along == along]

    def keep(self, written: Mapping[str, Content], gone: Sequence[str], along: str) -> None:
        """Remembers what was written. Where the git folder can't be written, a later `bring` asks instead."""
        fresh = {path: each for path, each in self.files.items() if path not in gone}
        fresh |= {path: Written(digest_of(content), along) for path, content in written.items()}
        document = {path: {"digest": each.digest, "along": each.along} for path, each in sorted(fresh.items())}
        try:
            self.place.parent.mkdir(exist_ok=True)
            _replace(self.place, json.dumps(document, indent=1).encode())
        except OSError:
            return


def _kept(place: Path) -> dict[str, Written]:
    try:
        found = json.loads(place.read_bytes())
        return {str(path): Written(str(each["digest"]), str(each["along"])) for path, each in found.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def digest_of(content: Content) -> str:
    """SHA-256 of bytes or of a file, in hex."""
    if isinstance(content, bytes):
        return hashlib.sha256(content).hexdigest()
    with content.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def state_of(record: Record, path: str, content: Content) -> str:
    """What putting a file there would be: "new", "unchanged", "replaced", or "clash"."""
    there = record.repo.top / path
    if not os.path.lexists(there):
        return "new"
    if there.is_symlink() or not there.is_file():
        raise Refusal("this is no plain file, so nothing is written there", path=path, remedy="move it elsewhere")
    if digest_of(there) == digest_of(content):
        return "unchanged"
    return "replaced" if record.ours(path) else "clash"


def put_files(top: Path, contents: Mapping[str, Content], gone: Sequence[str]) -> None:
    """Writes every file, or none where one can't be written. Raises Refusal with the file and the reason."""
    fresh: list[tuple[Path, Path]] = []
    path = ""
    try:
        for path, content in contents.items():
            place = top / path
            _refuse_links(top, place, path)
            if place.is_dir():
                raise Refusal("a folder of this name is there", path=path, remedy="move it elsewhere")
            place.parent.mkdir(parents=True, exist_ok=True)
            fresh.append((_beside(place, content), place))
        for ready, place in fresh:
            ready.replace(place)
        for path in gone:
            (top / path).unlink(missing_ok=True)
    except OSError as fault:
        raise Refusal(
            f"it can't be written ({fault.strerror})", path=path,
            remedy="see whether the folder may be written to and the disk has room",
        ) from fault  # fmt: skip
    finally:
        for ready, _ in fresh:
            ready.unlink(missing_ok=True)


def _refuse_links(top: Path, place: Path, path: str) -> None:
    for each in (place, *place.parents):
        if each == top:
            return
        if each.is_symlink():
            raise Refusal("this leads through a link", path=path, remedy="put the folder itself there")


def _beside(place: Path, content: Content) -> Path:
    """A complete file next to its place, ready to take it."""
    handle, name = tempfile.mkstemp(dir=place.parent, prefix=".inkledger-")
    ready = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            if isinstance(content, bytes):
                file.write(content)
            else:
                with content.open("rb") as source:
                    shutil.copyfileobj(source, file, 1 << 20)
        ready.chmod(place.stat().st_mode & 0o777 if place.exists() else 0o666 & ~_umask())
    except BaseException:
        ready.unlink(missing_ok=True)
        raise
    return ready


def _replace(place: Path, data: bytes) -> None:
    _beside(place, data).replace(place)


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
