"""A record in the git folder of what was brought in, and what bringing a file in would be."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from ledger.gitedge.journal import held
from ledger.gitedge.placing import Content
from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal


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

    def was(self, path: str) -> str:
        """The digest of a file as it was written here."""
        return self.files[path].digest

    def came_with(self, path: str) -> str:
        """The name under which a file was written here."""
        return self.files[path].along

    def with_the_same(self, along: str) -> list[str]:
        """Files that came together under this name."""
        return [path for path, known in self.files.items() if known.along == along]

    def keep(self, written: Mapping[str, Content], gone: Sequence[str], along: str) -> None:
        """Remembers what was written. Where the git folder can't be written, a later `bring` asks instead."""
        written_now = {path: Written(digest_of(content), along) for path, content in written.items()}
        try:
            with held(self.repo, index=False) as journal:
                kept = {path: each for path, each in _kept(self.place).items() if path not in gone} | written_now
                document = {path: {"digest": each.digest, "along": each.along} for path, each in sorted(kept.items())}
                ready = Path(journal.in_work("brought"))
                ready.write_text(json.dumps(document, indent=1), "utf-8")
                ready.replace(self.place)
        except Refusal:
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
