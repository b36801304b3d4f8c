"""Findings on a terminal: level, rule and place on one line, then what was found and the way out."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.model.finding import Finding
from ledger.model.pages import label_order, pages_text, pages_words
from ledger.render.like_findings import drawn_together, for_pages
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
    """Every finding by place, those that block before those to look at, and how many of each.

    What is the same of many pages is told once, with the pages.
    """
    ordered = in_order(findings)
    if not ordered:
        return ""
    blocks = [f for f in ordered if f.blocks]
    looks = [f for f in ordered if not f.blocks]
    told = [_group_text(group) for level in (blocks, looks) for group in drawn_together(level)]
    return "\n".join([*told, _count(len(blocks), len(looks))])


def _group_text(group: tuple[Finding, ...]) -> str:
    """One finding, or one told for all its pages."""
    first = group[0]
    if len(group) == 1:
        return finding_text(first)
    folder = one_line((first.path or "").rpartition("/")[0])
    pages = pages_text({str(f.page) for f in group})
    head = f"{_level(first)}: {first.rule} {folder + '/ ' if folder else ''}{pages_words(pages)}"
    others = f"the same on the other {len(group) - 1} of these pages"
    parts = [wrapped(head), wrapped(f"{one_line(first.message)}; {others}", indent="  ", hang="")]
    if first.remedy:
        parts.append(wrapped(f"To do: {one_line(for_pages(first.remedy, str(first.page), pages))}", indent="  "))
    return "\n".join(parts)


def _level(finding: Finding) -> str:
    return LEVEL_WORDS.get(finding.level, finding.level)


def finding_text(finding: Finding) -> str:
    """One finding in two or three wrapped paragraphs."""
    head = "  ".join(part for part in (f"{_level(finding)}: {finding.rule}", place_text(finding)) if part)
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
