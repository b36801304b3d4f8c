"""What a push to this repository brings, judged before any of it is taken in: all refs together, all or nothing.

The hook of a bare repository passes through here. What is pushed is only read; nothing of it is run or written.
"""

from __future__ import annotations

from ledger.desk.history.pushing import Update, dropped_entries, judged_commits, moved_tags, updates_of, wrong_tags
from ledger.gitedge import snapshots
from ledger.gitedge.remotes import led_on, refs_here
from ledger.gitedge.repository import Repository
from ledger.model.finding import Finding


def received_findings(folder: str, said: bytes) -> tuple[Finding, ...]:
    """What stops a push: `said` is what git tells its hook, a line `old-id new-id ref` for each ref.

    Every commit counts that no ref had before, whatever name it comes under.
    """
    repo = Repository.served(folder)
    led = led_on(repo)
    updates = [Update(ref, new, led.get(ref, ref), old) for old, new, ref in updates_of(said, 3)]
    here = refs_here(repo)
    commits = snapshots.resolve_commits(repo, [update.new for update in updates if not update.deletes])
    late = judged_commits(repo, commits.values(), here.values(), _again(updates), must_be_here=True)
    branches = {ref: oid for ref, oid in here.items() if ref.startswith("refs/heads/") and ref not in led}
    return (
        *late,
        *moved_tags(updates),
        *wrong_tags(repo, updates, commits),
        *dropped_entries(repo, updates, commits, branches),
    )


def _again(updates: list[Update]) -> str:
    """How whoever pushed records the commits of a branch again, this time with the slip in them."""
    branch = next((u.there.removeprefix("refs/heads/") for u in updates if u.there.startswith("refs/heads/")), "main")
    return (
        f'record it again with its slip: git reset --soft origin/{branch}, inkledger alter --reason "...", git commit'
    )
