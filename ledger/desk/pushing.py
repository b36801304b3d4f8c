"""What is about to be pushed, judged commit by commit: rebase, cherry-pick and `--no-verify` pass by other doors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.desk.casts import cast_lookup
from ledger.desk.walked import Walked
from ledger.gitedge import snapshots
from ledger.gitedge.history import walk
from ledger.gitedge.remotes import known_of
from ledger.gitedge.repository import Repository
from ledger.judge.telling import told_findings
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt
from ledger.read.entries import entry_name

_ENTRY_TAGS = ("refs/tags/pass/", "refs/tags/lock/", "refs/tags/alteration/")


@dataclass(frozen=True, slots=True)
class Update:
    """One ref of a push: what it is to be here and there; an id of zeros stands for none."""

    here: str
    new: str
    there: str
    old: str

    @property
    def deletes(self) -> bool:
        return not self.new.strip("0")

    @property
    def creates(self) -> bool:
        return not self.old.strip("0")


def push_findings(folder: str, remote: Sequence[str], said: bytes) -> tuple[Finding, ...]:
    """What stops a push: `said` is what git tells its hook, a line `local-ref id remote-ref id` for each ref."""
    repo = Repository.find(folder)
    lines = [line.split(" ") for line in said.decode("utf-8", "surrogateescape").splitlines()]
    updates = [Update(*line) for line in lines if len(line) == 4]
    known = known_of(repo, remote[0] if remote else "")
    commits = {u.new: oid for u in updates if not u.deletes and (oid := snapshots.resolve_commit(repo, u.new))}
    old = [oid for u in updates if not u.creates and (oid := snapshots.resolve_commit(repo, u.old))]
    walked = Walked(cast_lookup(repo))
    for step in walk(repo, list(commits.values()), [*old, *known.values()]) if commits else ():
        walked.take(step)
    again = _again(remote, updates)
    late = [_late(f, each.commit, again) for each in walked.judged for f in told_findings(each.charged)]
    return (*walked.cut[:1], *late, *_tags(updates), *_dropped(repo, updates, commits, known))


def _again(remote: Sequence[str], updates: Sequence[Update]) -> str:
    """How to record the commits of a branch again, this time with the slip in them."""
    branch = next((u.there.removeprefix("refs/heads/") for u in updates if u.there.startswith("refs/heads/")), "main")
    start = f"{remote[0] if remote else 'origin'}/{branch}"
    return f'record it again with its slip: git reset --soft {start}, inkledger alter --reason "...", git commit'


def _late(finding: Finding, commit: str, again: str) -> Finding:
    """A finding of one commit; what is recorded already can't be admitted by a slip that comes after it."""
    return finding._replace(commit=commit, remedy=again if finding.blocks else finding.remedy)


def _tags(updates: Sequence[Update]) -> list[Finding]:
    """Tags of entries that the push would move or take away."""
    moved = [u for u in updates if u.there.startswith(_ENTRY_TAGS) and not u.creates and u.old != u.new]
    return [_tag_moved(u.there.removeprefix("refs/tags/"), "delete" if u.deletes else "move") for u in moved]


def _tag_moved(tag: str, how: str) -> Finding:
    message = f"this push would {how} the tag {tag} that others have"
    return Finding("tag-moved", "block", message, remedy="leave the tags of entries as they are")


def _dropped(
    repo: Repository, updates: Sequence[Update], commits: dict[str, str], known: dict[str, str]
) -> list[Finding]:
    """Entries that the remote has on a branch and would have on none."""
    gone: dict[str, FileAt] = {}
    for update in updates:
        if update.there.startswith("refs/heads/") and not update.creates:
            gone.update(_entries(repo, update.old))
    if not gone:
        return []
    touched = {update.there for update in updates}
    tips = [*commits.values(), *(oid for ref, oid in known.items() if ref not in touched)]
    held = {(path, file.oid) for tip in tips for path, file in _entries(repo, tip).items()}
    return [
        Finding("entry-removed", "block", f"after this push the entry {_name(path)} would stand on no branch", path,
                remedy="take what is there into your branch first: git pull")
        for path, file in sorted(gone.items())
        if (path, file.oid) not in held
    ]  # fmt: skip


def _entries(repo: Repository, commit: str) -> dict[str, FileAt]:
    if snapshots.resolve_commit(repo, commit) is None:
        return {}
    files = snapshots.at_commit(repo, commit).files
    return {path: file for path, file in files.items() if entry_name(path)}


def _name(path: str) -> str:
    return path.removeprefix("ledger/").removesuffix(".toml")
