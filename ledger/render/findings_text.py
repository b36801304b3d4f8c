"""Findings on a terminal: level, rule and place on one line, then what was found and the way out."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.model.finding import Finding
from ledger.model.pages import label_order
from ledger.render.plain import one_line, plural, wrapped

#: How a level is said on a screen.
LEVEL_WORDS = {"block": "block", "query": "look"}


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings by place: file, line, page, panel; then by rule. What has no file comes last."""
    return sorted(
        findings,
        key=lambda f: (
            f.path is None, (f.path or "").encode("utf-8", "surrogateescape"), f.line or 0,
            label_order(f.page or ""), f.panel or 0, f.rule, f.message,
        ),
    )  # fmt: skip


def findings_text(findings: Iterable[Finding]) -> str:
    """Every finding by place, those that block before those to look at, and how many of each."""
    ordered = in_order(findings)
    if not ordered:
        return ""
    blocks = [f for f in ordered if f.blocks]
    looks = [f for f in ordered if not f.blocks]
    return "\n".join([*map(finding_text, blocks), *map(finding_text, looks), _count(len(blocks), len(looks))])


def finding_text(finding: Finding) -> str:
    """One finding in two or three wrapped paragraphs."""
    level = LEVEL_WORDS.get(finding.level, finding.level)
    head = "  ".join(part for part in (f"{level}: {finding.rule}", place_text(finding)) if part)
    parts = [wrapped(head), wrapped(one_line(finding.message), indent="  ", hang="")]
    if finding.remedy:
        parts.append(wrapped(f"To do: {one_line(finding.remedy)}", indent="  "))
    return "\n".join(parts)


def place_text(finding: Finding) -> str:
    """Where it is: `script/01.md:41  p12.3  "Harbour office"  commit 1a2b3c4d5e`."""
    parts = []
    if finding.path:
        parts.append(one_line(finding.path) + (f":{finding.line}" if finding.line else ""))
    if finding.page:
        panel = f".{finding.panel}" if finding.panel else ""
        parts.append(("p" if finding.page[:1].isdigit() else "") + finding.page + panel)
    if finding.scene:
        parts.append(f'"{one_line(finding.scene)}"')
    if finding.commit:
        parts.append(f"commit {finding.commit[:10]}")
    return "  ".join(parts)


def _count(blocks: int, looks: int) -> str:
    said = []
    if blocks:
        said.append(f"{plural(blocks, 'finding')} {'blocks' if blocks == 1 else 'block'}")
    if looks:
        said.append(f"{looks} to look at")
    return ", ".join(said) + "."
