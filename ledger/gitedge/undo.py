"""Taking back the last thing recorded here, while nobody can have built on it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.gitedge.history import Commit, commits
from ledger.gitedge.indexes import copy_index, entries_of, index_info, put_entries
from ledger.gitedge.intake import kept_bytes
from ledger.gitedge.journal import Journal, Move, Plan, held
from ledger.gitedge.remotes import remote_of
from ledger.gitedge.renaming import renames
from ledger.gitedge.repository import path_text
from ledger.gitedge.settling import carry_out, digest_on_disk, index_facts, remembered
from ledger.gitedge.snapshots import resolve_commit
from ledger.gitedge.standing import branch_of, refuse_unless_ready
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt
from ledger.read.entries import entry_name

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

#: Where what was taken back is kept, under the second of its taking back, and for how many days.
KEPT_UNDER = "refs/inkledger/undone"
KEPT_DAYS = 90


@dataclass(frozen=True)
class TakenBack:
    """What was taken back. `kept` are files that were changed since and stay as they are; `paths` what was put back.

    `renamed` tells whether files have the names again that they had before.
    """

    subject: str
    kept: tuple[str, ...]
    entry: str | None
    tag: str | None
    paths: tuple[str, ...]
    renamed: bool = False


def take_back(repo: Repository) -> TakenBack:
    """Takes the newest commit back if this tool recorded it here, nothing stands on it and it never left this machine.

    Branch, tag and index are put back and files of the tool's own making taken away; drafts and pictures stay as they
    are now, under the names they had before it renamed them. Raises Refusal, with nothing changed, where that can't be
    done.
    """
    refuse_unless_ready(repo)
    with held(repo) as journal:
        commit, note = _newest(repo)
        tags = _own_tags(repo, commit.oid, note)
        _refuse_if_built_upon(repo, commit.oid, tags)
        moves, kept = _moves(journal, commit, note)
        names, stay = _names_back(repo, note)
        moves, kept = (*moves, *renames(journal, names, len(commit.changes))), (*kept, *stay)
        index = entries_of(repo)
        back = [c for c in commit.changes if index.get(c.path) == c.new]
        info = index_info(repo, [c.old for c in back if c.old], [c.path for c in back if not c.old])
        carry_out(journal, _planned(journal, commit, tags, path_text(info), moves), [c.path for c in back if c.old])
        _let_go_of_old(journal)
    paths = {move.path for move in moves} | {c.path for c in back}
    named = [c.path for c in commit.changes if c.new and entry_name(c.path)]
    entry = min(named, key=lambda path: (entry_name(path) or ("",))[0] == "alteration", default=None)
    name = entry.removeprefix("ledger/").removesuffix(".toml") if entry else None
    main_tag = next((tag for tag in tags if not tag.startswith("alteration/")), next(iter(tags), None))
    return TakenBack(
        commit.subject, kept, name, main_tag, tuple(sorted(paths, key=lambda p: p.encode("utf-8", "surrogateescape"))),
        bool(names),
    )  # fmt: skip


def _newest(repo: Repository) -> tuple[Commit, dict[str, object]]:
    """The newest commit, with what is remembered of it. Raises Refusal where this tool did not record it here."""
    head = resolve_commit(repo, "HEAD")
    if head is None:
        raise Refusal(
            "nothing is recorded yet, so there is nothing to take back",
            remedy="see where the book stands: inkledger status",
        )
    notes = {str(note["commit"]): note for note in remembered(repo)}
    if head not in notes:
        ours = [oid for oid in notes if repo.ask("merge-base", "--is-ancestor", oid, head)[1] == 0]
        why = "something was committed on top of it" if ours else "the newest commit was not recorded by inkledger here"
        raise Refusal(f"nothing was taken back: {why}", remedy="see what stands there: git log --oneline")
    parent = resolve_commit(repo, f"{head}^")
    (commit,) = commits(repo, [head], [parent] if parent else [])
    return commit, notes[head]


def _own_tags(repo: Repository, commit: str, note: dict[str, object]) -> dict[str, str]:
    """Tag -> id of the tag object, of the tags made with the commit that still stand on it."""
    listed = note.get("tags")
    names = [str(tag) for tag in listed] if isinstance(listed, list) else []
    said = repo.run("for-each-ref", "--format=%(refname) %(objectname) %(*objectname)", "refs/tags").decode()
    lines = [line.split(" ") for line in said.splitlines()]
    there = {name.removeprefix("refs/tags/"): (oid, target) for name, oid, target in lines}
    return {name: there[name][0] for name in names if name in there and there[name][1] == commit}


def _refuse_if_built_upon(repo: Repository, commit: str, tags: Iterable[str]) -> None:
    """Raises Refusal where another branch, tag or stash holds the commit, or a remote was seen to have it."""
    said = repo.run("for-each-ref", f"--contains={commit}", "--format=%(refname)").decode("utf-8", "surrogateescape")
    own = {branch_of(repo), *(f"refs/tags/{tag}" for tag in tags)}
    others = [ref for ref in said.splitlines() if ref not in own and not ref.startswith("refs/inkledger/")]
    for ref in others:
        remote = remote_of(repo, ref)
        if remote:
            raise Refusal(
                f"nothing was taken back: it has left this machine, {remote} has it",
                remedy="record the change that puts it right, as a new round",
            )
    if others:
        kind, _, name = others[0].removeprefix("refs/").partition("/")
        what = {"heads": f"the branch {name}", "tags": f"the tag {name}", "stash": "a stash"}.get(kind, others[0])
        raise Refusal(f"nothing was taken back: {what} stands on it", remedy="see what stands there: git log --all")


def _moves(journal: Journal, commit: Commit, note: dict[str, object]) -> tuple[tuple[Move, ...], tuple[str, ...]]:
    """What happens to the files this tool wrote, and those of them that were changed since and stay."""
    repo = journal.repo
    listed = note.get("written")
    written = {str(path) for path in listed} if isinstance(listed, list) else set()
    moves, kept = [], []
    for number, change in enumerate(c for c in commit.changes if c.path in written and c.new):
        place = repo.in_top(change.path)
        before = digest_on_disk(place)
        if before is None:
            continue
        if not before or not _as_recorded(repo, change.path, place, change.new):
            kept.append(change.path)
            continue
        fresh = None
        if change.old is not None:
            fresh = f".inkledger-{number}"
            waiting = place.rpartition(b"/")[0] + b"/" + fresh.encode()
            journal.note_stray(waiting)
            with open(waiting, "wb") as file:
                file.write(repo.reader.content(change.old.oid or ""))
        moves.append(Move(change.path, fresh, before))
    return tuple(moves), tuple(kept)


def _names_back(repo: Repository, note: dict[str, object]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Name before -> name now of the files that were renamed, whatever they hold now; and those that keep their name.

    All of them go back or none: where one is gone, or something else has its old name, a page would get a wrong number.
    """
    listed = note.get("renamed")
    names = {str(old): str(new) for new, old in listed.items()} if isinstance(listed, dict) else {}
    there = {name: os.path.lexists(repo.in_top(name)) for name in {*names, *names.values()}}
    taken = any(there[old] and old not in names.values() for old in names)
    if taken or not all(there[new] for new in names.values()):
        return {}, tuple(new for new in sorted(names.values()) if there[new])
    return names, ()


def _as_recorded(repo: Repository, path: str, place: bytes, recorded: FileAt | None) -> bool:
    with open(place, "rb") as file:
        found = kept_bytes(repo, {path: file.read()}, write=False)[path]
    return recorded is not None and found.oid == recorded.oid


def _planned(journal: Journal, commit: Commit, tags: dict[str, str], info: str, moves: tuple[Move, ...]) -> Plan:
    repo = journal.repo
    branch = branch_of(repo)
    assert branch is not None
    facts = index_facts(repo.index_path)
    copy_index(repo.index_path, journal.in_work("index"))
    put_entries(repo, journal.in_work("index"), info.encode("utf-8", "surrogateescape"))
    under = f"{KEPT_UNDER}/{int(time.time())}-{commit.oid[:12]}"
    keeping = [(f"{under}/commit", commit.oid), *((f"{under}/{tag}", oid) for tag, oid in tags.items())]
    refs = [(name, oid, repo.zero) for name, oid in keeping]
    refs += [(f"refs/tags/{tag}", repo.zero, oid) for tag, oid in tags.items()]
    above = commit.parents[0] if commit.parents else repo.zero
    return Plan(branch, commit.oid, above, tuple(refs), f"inkledger: undo {commit.subject}", info, facts, moves)


def _let_go_of_old(journal: Journal) -> None:
    """Lets go of what was taken back longer ago than it is kept; git cleans it away in its own time."""
    repo = journal.repo
    said = repo.run("for-each-ref", "--format=%(refname) %(objectname)", KEPT_UNDER).decode("utf-8", "surrogateescape")
    oldest = time.time() - KEPT_DAYS * 24 * 3600
    lines = []
    for line in said.splitlines():
        name, _, oid = line.rpartition(" ")
        second = name.removeprefix(f"{KEPT_UNDER}/").partition("-")[0]
        if second.isdigit() and int(second) < oldest:
            lines.append(f"delete {name} {oid}\n")
    if lines:
        told = "".join(lines).encode("utf-8", "surrogateescape")
        repo.ask("update-ref", "--stdin", input=told, holding=journal.file)
