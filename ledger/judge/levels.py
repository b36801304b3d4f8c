"""Levels: what `[rules]` raises and lowers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ledger.model.finding import LEVELS, RULES, Finding

#: Rules that `[rules]` never lowers.
_FIXED = frozenset(RULES["ledger"])
#: Those of them that tell and do not stop.
_ONLY_TOLD = ("history-cut", "lock-loosened", "rules-loosened")


def rank(level: str) -> int:
    """Levels in order: off, query, block."""
    return LEVELS.index(level) if level in LEVELS else 0


def level_under(rule: str, rules: Mapping[str, str]) -> str | None:
    """What `[rules]` says of a rule, or None."""
    said = rules.get(rule)
    return said if said in LEVELS else None


def raised(finding: Finding, *rules: Mapping[str, str]) -> Finding:
    """A finding of something closed: `[rules]` can raise it, never lower it; of several books the strictest counts."""
    return finding.at_level(raised_level(finding.rule, finding.level, *rules))


def raised_level(rule: str, level: str, *rules: Mapping[str, str]) -> str:
    """The level of a finding of something closed, as `raised` gives it."""
    said = [stated for each in rules if (stated := level_under(rule, each)) is not None]
    return max([level, *said], key=rank) if said else level


def lowered_in_vain(rules: Mapping[str, str]) -> tuple[Finding, ...]:
    """What `[rules]` says of rules of the ledger that it can't bring about: they are never lowered."""
    usual = {**dict.fromkeys(_FIXED, "block"), **dict.fromkeys(_ONLY_TOLD, "query")}
    vain = [rule for rule, floor in usual.items() if rank(rules.get(rule, floor)) < rank(floor)]
    return tuple(
        Finding(
            "rules-loosened", "query", f"[rules] says {rules[rule]!r} of {rule}, which changes nothing: rules of the"
            " ledger are never lowered", "book.toml", remedy="take that line out of [rules]",
        )
        for rule in sorted(vain)
    )  # fmt: skip


def apply_rules(findings: Iterable[Finding], *rules: Mapping[str, str]) -> tuple[Finding, ...]:
    """Findings of things that no lock closes, raised and lowered; of several books the strictest counts."""
    found = []
    for finding in findings:
        said = [level_under(finding.rule, each) or finding.level for each in rules] or [finding.level]
        level = max(said, key=rank)
        if finding.rule in _FIXED:
            level = max(level, finding.level, key=rank)
        if level != "off":
            found.append(finding.at_level(level))
    return tuple(found)
