"""Charges worded as findings: what happened, which sign-off closes it, and the way out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from ledger.judge.agreed.differences import Difference
from ledger.model.entry import Lock, Reopen
from ledger.model.finding import Finding
from ledger.model.pages import label_order, pages_text

#: The way out of what a slip can admit, before it is recorded and after.
WAY_OUT = 'undo it, or say why with a slip: inkledger alter --reason "..."'
LATE_WAY_OUT = 'undo it, or say why with a slip: inkledger alter --late --reason "..."'


class Charge(NamedTuple):
    """One thing that stands against what was agreed; a plain finding, or a difference with the lock that closes it.

    Two charges of equal `identity` are the same one in two states.
    """

    finding: Finding | None
    identity: tuple[str, ...]
    difference: Difference | None = None
    level: str = "block"
    lock: Lock | None = None
    reopen: Reopen | None = None


def told_findings(charges: Sequence[Charge]) -> tuple[Finding, ...]:
    """The findings of charges: the same difference under several sign-offs is told once, kin are told together."""
    found: list[Finding] = list(dict.fromkeys(c.finding for c in charges if c.finding is not None))
    groups: dict[tuple[object, ...], list[Charge]] = {}
    met: Counter[tuple[str, ...]] = Counter()
    for charge in charges:
        if charge.difference is not None:
            kin = charge.difference.kin
            met[charge.identity] += 1
            # Of equal differences (the same short line cut twice) the first stands for the first under every sign-off.
            key = ("kin", *kin) if kin else (met[charge.identity], *charge.difference.identity)
            groups.setdefault(key, []).append(charge)
    return tuple(found + [_told(group) for group in groups.values()])


def _told(group: list[Charge]) -> Finding:
    differences = list(dict.fromkeys(c.difference for c in group if c.difference is not None))
    first = differences[0]
    blocking = [charge for charge in group if charge.level == "block"]
    told = _together(differences) if first.kin and len(differences) > 1 else first.message
    level = "block" if blocking else "query"
    return Finding(
        first.rule, level, f"{told}: {_because(blocking or group)}", first.path, first.line, first.page, first.panel,
        first.scene, _remedy(first, level, blocking or group),
    )  # fmt: skip


def _because(group: list[Charge]) -> str:
    """`closed by lock-pencils-1 and lock-inks-1`; `open by reopen-2`."""
    reopens = list(dict.fromkeys(charge.reopen.name for charge in group if charge.reopen))
    if reopens:
        return f"open by {' and '.join(reopens)}"
    locks = list(dict.fromkeys(charge.lock.name for charge in group if charge.lock))
    return f"closed by {' and '.join(locks)}"


def _remedy(first: Difference, level: str, group: list[Charge]) -> str | None:
    if level == "block":
        return WAY_OUT
    if any(charge.reopen for charge in group):
        return "sign the page off again when it is done: inkledger lock " + (
            group[0].lock.pass_name if group[0].lock else ""
        )
    if first.rule == "action-changed":
        return "see whether the drawing still fits"
    return "see whether it still fits its balloon" if first.rule == "balloon-tight" else None


def _together(differences: list[Difference]) -> str:
    """Kin in one sentence: pages that only got another number, lines whose key was given to somebody else."""
    first = differences[0]
    kin = first.kin or ()
    if first.rule == "speaker-changed":
        _, key, before, after = kin
        lines = f"{len(differences)} lines"
        return f"{key} stands for {after or 'nobody'} now; signed off it was {before or 'nobody'} ({lines})"
    ordered = sorted(differences, key=lambda d: label_order(d.on[0] or ""))
    old = pages_text(d.pages[0] for d in ordered if d.pages[0])
    new = pages_text(d.pages[-1] for d in ordered if d.pages[-1])
    return f"Pages {old} now stand as {new}"
