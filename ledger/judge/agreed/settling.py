"""What settled a late edit: an undo, or a slip or sign-off that came after it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from ledger.judge.agreed.telling import LATE_WAY_OUT, WAY_OUT, Charge, told_findings
from ledger.model.finding import Finding


class Verdicts(NamedTuple):
    """One commit judged: what it is charged with, and what stands in it; `entries` are the names of those it added."""

    commit: str
    subject: str
    charged: tuple[Charge, ...]
    standing: frozenset[tuple[str, ...]]
    entries: tuple[str, ...] = ()


def told_history(
    judged: Sequence[Verdicts], stands: frozenset[tuple[str, ...]], later: Callable[[str], set[str]]
) -> list[Finding]:
    """Findings of a history, each with its commit.

    `stands` is what stands in the newest state, `later` gives the commits that stand on one. A late edit
    that no longer stands is a query that names what settled it; a query that no longer stands needs nobody.
    """
    found: list[Finding] = []
    for place, commit in enumerate(judged):
        open_ones = [c for c in commit.charged if c.identity in stands or _event(c)]
        found += [_unsettled(f, commit.commit) for f in told_findings(open_ones)]
        gone = [c for c in commit.charged if c.identity not in stands and not _event(c) and _blocks(c)]
        for how, charges in _by_settlement(gone, judged[place + 1 :], commit.commit, later).items():
            found += [_settled(f, how, commit.commit) for f in told_findings(charges)]
    return found


def _event(charge: Charge) -> bool:
    """Whether a charge is about the commit itself and not about what stands since."""
    return charge.identity[0] == "loosened"


def _blocks(charge: Charge) -> bool:
    return charge.finding.blocks if charge.finding else charge.level == "block"


def _by_settlement(
    gone: Sequence[Charge], after: Sequence[Verdicts], commit: str, later: Callable[[str], set[str]]
) -> dict[str, list[Charge]]:
    found: dict[str, list[Charge]] = {}
    if not gone:
        return found
    standing_on_it = later(commit)
    following = [each for each in after if each.commit in standing_on_it]
    for charge in gone:
        settler = next((each for each in following if charge.identity not in each.standing), None)
        found.setdefault(_how(settler), []).append(charge)
    return found


def _how(settler: Verdicts | None) -> str:
    if settler is None:
        return "it is not in the newest state any more"
    if settler.entries:
        return f"settled by {' and '.join(settler.entries)} (commit {settler.commit[:10]})"
    return f"undone in commit {settler.commit[:10]} ({settler.subject})"


def _unsettled(finding: Finding, commit: str) -> Finding:
    """A finding that stands: what is recorded already is admitted by a slip of its own kind."""
    return finding._replace(commit=commit, remedy=LATE_WAY_OUT if finding.remedy == WAY_OUT else finding.remedy)


def _settled(finding: Finding, how: str, commit: str) -> Finding:
    message = f"{finding.message}; {how}"
    return finding._replace(level="query", message=message, remedy=None, commit=commit)
