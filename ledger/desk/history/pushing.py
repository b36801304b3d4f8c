"""What is about to be pushed, judged commit by commit: rebase, cherry-pick and `--no-verify` pass by other doors."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.desk.casts import cast_lookup
from ledger.desk.history.carried import lost_lookup
from ledger.desk.history.walked import Walked
from ledger.gitedge import snapshots
from ledger.gitedge.history import walk
from ledger.gitedge.remotes import known_of
from ledger.gitedge.repository import Repository
from ledger.judge.agreed.ledger_rules import renumbered
from ledger.judge.agreed.telling import told_findings
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt
from ledger.read.entries import entry_name, entry_of_tag

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
    updates = [Update(*line) for line in updates_of(said, 4)]
    known = known_of(repo, remote[0] if remote else "")
    commits = snapshots.resolve_commits(repo, [u.new for u in updates if not u.deletes])
    old = snapshots.resolve_commits(repo, [u.old for u in updates if not u.creates])
    return (
        *judged_commits(repo, commits.values(), [*old.values(), *known.values()], again(remote, updates)),
        *moved_tags(updates),
        *wrong_tags(repo, updates, commits),
        *dropped_entries(repo, updates, commits, known),
    )


def updates_of(said: bytes, words: int) -> list[list[str]]:
    """The lines that git tells a hook, each of so many words; the last may hold blanks of its own."""
    lines = [line.split(" ", words - 1) for line in said.decode("utf-8", "surrogateescape").split("\n")]
    return [line for line in lines if len(line) == words]


def judged_commits(
    repo: Repository, commits: Iterable[str], known: Iterable[str], again: str, *, must_be_here: bool = False
) -> tuple[Finding, ...]:
    """What the commits that nobody there has yet must answer for; `again` is the way out."""
    fresh = list(dict.fromkeys(commits))
    walked = Walked(cast_lookup(repo), must_be_here, lost_lookup(repo))
    for step in walk(repo, fresh, known) if fresh else ():
        walked.take(step)
    walked.forget()
    late = [_late(f, each.commit, again) for each in walked.judged for f in told_findings(each.charged)]
    return (*walked.cut[:1], *late)


def again(remote: Sequence[str], updates: Sequence[Update]) -> str:
    """How to record the commits of a branch again, this time with the slip in them."""
    branch = next((u.there.removeprefix("refs/heads/") for u in updates if u.there.startswith("refs/heads/")), "main")
    start = f"{remote[0] if remote else 'origin'}/{branch}"
    return f'record it again with its slip: git reset --soft {start}, inkledger alter --reason "...", git commit'


def _late(finding: Finding, commit: str, again: str) -> Finding:
    """A finding of one commit; what is recorded already can't be admitted by a slip that comes after it."""
    return finding._replace(commit=commit, remedy=again if finding.blocks else finding.remedy)


def moved_tags(updates: Sequence[Update]) -> list[Finding]:
    """Tags of entries that the push would move or take away."""
    moved = [u for u in updates if u.there.startswith(_ENTRY_TAGS) and not u.creates and u.old != u.new]
    return [_tag_moved(u.there.removeprefix("refs/tags/"), "delete" if u.deletes else "move") for u in moved]


def _tag_moved(tag: str, how: str) -> Finding:
    message = f"this push would {how} the tag {tag} that others have"
    return Finding("tag-moved", "block", message, remedy="leave the tags of entries as they are")


def wrong_tags(repo: Repository, updates: Sequence[Update], commits: Mapping[str, str]) -> list[Finding]:
    """New tags of entries on something that does not hold the entry: once there, nobody could move them any more."""
    found = []
    for update in updates:
        if not update.creates or update.deletes or not update.there.startswith(_ENTRY_TAGS):
            continue
        tag = update.there.removeprefix("refs/tags/")
        commit, path = commits.get(update.new), entry_of_tag(tag)
        if path is not None and (commit is None or path not in snapshots.entries_at(repo, commit)):
            message = f"the tag {tag} would stand on something that does not hold {path}"
            way = f"git tag -d {tag}, then inkledger doctor makes it where it belongs"
            found.append(Finding("tag-moved", "block", message, path, remedy=way))
    return found


def dropped_entries(
    repo: Repository, updates: Sequence[Update], commits: Mapping[str, str], known: Mapping[str, str]
) -> list[Finding]:
    """Entries that the other side has on a branch and would have on none; `known` are its branches.

    An entry that a merge keeps under a free number is still there.
    """
    gone: dict[tuple[str, str | None], FileAt] = {}
    for update in updates:
        if update.there.startswith("refs/heads/") and not update.creates:
            after = _entries(repo, commits.get(update.new))
            gone.update({key: file for key, file in _entries(repo, update.old).items() if key not in after})
    if not gone:
        return []
    touched = {update.there for update in updates}
    tips = [commits[u.new] for u in updates if u.there.startswith("refs/heads/") and u.new in commits]
    tips += [oid for ref, oid in known.items() if ref not in touched]
    held = {key: file for tip in dict.fromkeys(tips) for key, file in _entries(repo, tip).items()}
    store = snapshots.empty(repo).store
    return [
        Finding("entry-removed", "block", f"after this push the entry {_name(path)} would stand on no branch", path,
                remedy="take what is there into your branch first: git pull")
        for (path, oid), file in sorted(gone.items())
        if (path, oid) not in held and not renumbered(file, held.values(), store)
    ]  # fmt: skip


def _entries(repo: Repository, commit: str | None) -> dict[tuple[str, str | None], FileAt]:
    found = snapshots.entries_at(repo, commit) if commit else {}
    return {(path, file.oid): file for path, file in found.items() if entry_name(path)}


def _name(path: str) -> str:
    return path.removeprefix("ledger/").removesuffix(".toml")
