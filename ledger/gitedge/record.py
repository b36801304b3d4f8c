"""Recording: entries, memos and files become one commit with its tag, or nothing changes at all."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ledger.gitedge.indexes import copy_index, index_info, put_entries, refresh, tree_with
from ledger.gitedge.intake import kept_bytes
from ledger.gitedge.journal import Journal, Move, Plan, held
from ledger.gitedge.placing import Later, ready, refuse_in_the_way, written_beside
from ledger.gitedge.renaming import renames
from ledger.gitedge.repository import path_bytes, path_text
from ledger.gitedge.settling import carry_out, index_facts
from ledger.gitedge.standing import branch_of, refuse_unless_ready
from ledger.gitedge.tags import missing_tags, ref_of, tag_of, write_tag
from ledger.model.entry import Alteration, Entry
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.snapshot import FileAt
from ledger.read.entries import entry_name, read_entry

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository


@dataclass(frozen=True)
class Recording:
    """What is to become one commit.

    `contents` goes into the commit and is written to the working tree; `taken` are files as `intake.kept_as` took them
    from there; `removed` are paths that are gone; `past` goes into the commit while the working tree stays as it is.
    `renamed` (new path -> old path) are files of the working tree to be renamed; the commit has them by `taken` and
    `removed`. `beside` are files of the working tree that are written with it, over what is there; what of them goes
    into the commit stands in `taken` as well.
    `tag` is the tag of the entry among the contents; what it says comes from that entry. `base`, if given, is the
    commit that all this was judged against.
    """

    contents: Mapping[str, bytes] = field(default_factory=dict)
    taken: Mapping[str, FileAt] = field(default_factory=dict)
    removed: tuple[str, ...] = ()
    past: Mapping[str, bytes] = field(default_factory=dict)
    message: str = ""
    tag: str | None = None
    tag_message: str = ""
    base: str | None = None
    renamed: Mapping[str, str] = field(default_factory=dict)
    beside: Mapping[str, Later] = field(default_factory=dict)


@dataclass(frozen=True)
class Recorded:
    """The commit that was made, and its tag if it has one."""

    commit: str
    tag: str | None


def record(repo: Repository, recording: Recording) -> Recorded:
    """Records, all or nothing, beside the user's index.

    Files entered stand in the index as they were committed; every other entry stays as it is, staged or half-staged.
    Raises Refusal, with nothing changed, where git is in the middle of something, its index is locked, the folder
    can't be written, the tag is there already, or a file to be written would cover somebody's unrecorded work.
    """
    refuse_unless_ready(repo)
    with held(repo) as journal:
        plan = _planned(journal, recording)
        written = [*recording.contents, *recording.renamed, *(set(recording.beside) & set(recording.taken))]
        carry_out(journal, plan, written)
    return Recorded(plan.new, recording.tag)


def _planned(journal: Journal, recording: Recording) -> Plan:
    repo = journal.repo
    branch, head = branch_of(repo), repo.reader.commit("HEAD")
    assert branch is not None
    if recording.base is not None and recording.base != head:
        raise Refusal("something was committed meanwhile, so nothing was recorded", remedy="try again")
    kept = kept_bytes(repo, {**recording.past, **recording.contents})
    moves = _made_ready(journal, recording.contents, kept)
    moves += renames(journal, recording.renamed, len(recording.contents))
    free = len(recording.contents) + len(recording.renamed)
    moves += tuple(ready(journal, n, path, data) for n, (path, data) in enumerate(recording.beside.items(), free))
    info = index_info(repo, [*recording.taken.values(), *kept.values()], recording.removed)
    tree = tree_with(repo, journal.in_work("tree"), head, info)
    commit = _commit(repo, tree, head, recording.message)
    facts = index_facts(repo.index_path)
    copy_index(repo.index_path, journal.in_work("index"))
    put_entries(repo, journal.in_work("index"), info)
    refresh(repo, journal.in_work("index"), recording.taken)
    tags = _tags(repo, recording, commit)
    headline = recording.message.partition("\n")[0]
    return Plan(
        branch, head or repo.zero, commit, tuple((ref_of(tag), oid, repo.zero) for tag, oid in tags.items()),
        f"inkledger: {headline}", path_text(info), facts, moves,
        {"commit": commit, "written": sorted(recording.contents), "tags": sorted(tags),
         "renamed": dict(recording.renamed)},
    )  # fmt: skip


def _commit(repo: Repository, tree: str, head: str | None, message: str) -> str:
    said = message.replace("\0", " ").encode("utf-8", "replace") + b"\n"
    above = ["-p", head] if head else []
    return repo.run("commit-tree", tree, *above, input=said).decode().strip()


def _tags(repo: Repository, recording: Recording, commit: str) -> dict[str, str]:
    """Tag -> tag object: the recording's own, and those of slips that were committed by git and have none yet."""
    entries = [entry for path, data in recording.contents.items() if (entry := _entry(path, data)) is not None]
    made = {tag_of(entry): write_tag(repo, entry, commit) for entry in entries if tag_of(entry)}
    if recording.tag and recording.tag not in made:
        raise Refusal(f"no entry among what is recorded has the tag {recording.tag}")
    return {**missing_tags(repo, _slips(repo)), **made}


def _entry(path: str, data: bytes) -> Entry | None:
    return read_entry(path, data) if entry_name(path) else None


def _slips(repo: Repository) -> list[Entry]:
    """The slips of the newest commit that can be read."""
    found: list[Entry] = []
    for name, oid in repo.reader.folder("HEAD:ledger").items():
        path = f"ledger/{name}"
        named = entry_name(path)
        if named and named[0] == "alteration":
            try:
                entry = read_entry(path, repo.reader.content(oid))
            except (Refusal, ContentMissing):
                continue
            found.append(entry)
    return [entry for entry in found if isinstance(entry, Alteration)]


def _made_ready(journal: Journal, contents: Mapping[str, bytes], kept: Mapping[str, FileAt]) -> tuple[Move, ...]:
    """Writes what goes into the working tree beside its place, so that a full disk is met before anything changes."""
    moves = []
    for number, (path, data) in enumerate(contents.items()):
        before = _before(journal.repo, path, data, kept[path])
        if before == data:
            continue
        name = written_beside(journal, number, path, data)
        moves.append(Move(path, name, None if before is None else hashlib.sha256(before).hexdigest()))
    return tuple(moves)


def _before(repo: Repository, path: str, data: bytes, kept: FileAt) -> bytes | None:
    """What lies at a path that is to be written. Raises Refusal where it is somebody's unrecorded work."""
    refuse_in_the_way(repo, path)
    place = repo.in_top(path)
    if not os.path.lexists(place):
        return None
    with open(place, "rb") as file:
        found = file.read()
    if found == data or _recorded(repo, path, found, kept):
        return found
    raise Refusal(
        "this file would be written, but it holds changes that are not recorded", path=path,
        remedy="move it elsewhere, or record it first: inkledger save",
    )  # fmt: skip


def _recorded(repo: Repository, path: str, found: bytes, kept: FileAt) -> bool:
    """Whether these bytes are what the newest commit holds there, or what is to be recorded."""
    oid = kept_bytes(repo, {path: found}, write=False)[path].oid
    said = repo.run("ls-tree", "-z", "HEAD", path_bytes(path), check=False)
    return oid in (kept.oid, said.partition(b"\t")[0].decode().rpartition(" ")[2])
