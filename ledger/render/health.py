"""The doctor's report."""

from __future__ import annotations

from typing import Any

from ledger.model.health import Health
from ledger.render.plain import bytes_words, clip, one_line, plural


def health_document(health: Health) -> dict[str, Any]:
    """The `doctor` document of commands.md §3."""
    from ledger.render.finding_documents import finding_document

    return {
        "missing": [{"path": path, "entry": entry} for path, entry in health.missing],
        "tags_made": list(health.tags_made),
        "findings": [finding_document(finding) for finding in health.findings],
    }


def renumbered_document(health: Health) -> dict[str, Any]:
    """As `health_document`, with the entries that have another number now."""
    return {**health_document(health), "renumbered": [{"old": old, "new": new} for old, new in health.renumbered]}


def renumbered_text(health: Health) -> str:
    """Which entries of the other side stand under another number now."""
    lines = [
        f"{one_line(old)} of the other side stands as {one_line(new)} now; ours keeps its number."
        for old, new in health.renumbered
    ]
    if not lines:
        return "Nothing to do: the two sides of this merge took no number twice."
    return "\n".join([*lines, "It is staged. When the rest of the merge is settled too: git commit"])


def sized_document(health: Health) -> dict[str, Any]:
    """As `health_document`, with what each pass takes, in bytes."""
    sizes = [
        {"pass": each.name, "files": each.files, "bytes": each.now, "contents": each.contents,
         "contents_bytes": each.held} for each in health.sizes
    ]  # fmt: skip
    return {**health_document(health), "sizes": sizes}


def sizes_text(health: Health) -> str:
    """A row a pass: its files now, and all that its rounds hold."""
    rows = [f"{'pass':<16}  {'files now':>22}  {'in all its rounds':>26}"]
    for each in health.sizes:
        now = f"{plural(each.files, 'file')}, {bytes_words(each.now)}"
        held = f"{plural(each.contents, 'content')}, {bytes_words(each.held)}"
        rows.append(f"{clip(one_line(each.name), 16):<16}  {now:>22}  {held:>26}")
    return "\n".join(rows)


def health_text(health: Health) -> str:
    """What is missing, what was mended, or that all is well."""
    lines = [f"missing: {one_line(path)}, named by {one_line(entry)}" for path, entry in health.missing]
    if health.missing:
        lines.append("Bring it back: git fetch --all, git lfs fetch --all, or from a backup.")
    if health.tags_made:
        lines.append(f"Made again {plural(len(health.tags_made), 'tag')}: {', '.join(health.tags_made)}.")
    if health.findings:
        from ledger.render.findings_text import findings_text

        lines.append(findings_text(health.findings))
    return "\n".join(lines) or "Everything that the entries name is here."
