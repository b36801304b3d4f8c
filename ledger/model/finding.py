"""Findings: what a rule has to say about a place in the book."""

from typing import NamedTuple

#: Group -> rule names. The names are part of the contract; other programs read them.
RULES: dict[str, tuple[str, ...]] = {
    "structure": (
        "page-added", "page-cut", "page-moved", "panel-added", "panel-cut", "panel-moved",
        "scene-added", "scene-cut", "scene-moved", "scene-split", "scene-merged",
        "line-added", "line-cut", "line-moved", "speaker-changed",
    ),
    "wording": ("wording-changed", "balloon-tight", "action-changed"),
    "drawing": (
        "layout-changed", "panel-redrawn", "touch-up", "page-swapped", "export-added", "export-missing",
    ),
    "ledger": (
        "entry-changed", "entry-removed", "lock-loosened", "rules-loosened", "number-taken",
        "tag-moved", "history-cut",
    ),
    "exports": (
        "export-unreadable", "export-size", "export-mode", "ink-limit", "page-duplicate",
        "page-reverted", "page-stale", "export-behind", "lfs-raw", "not-as-signed",
    ),
    "script": (
        "unknown-key", "page-number", "page-gap", "panel-count", "spread-side", "reveal-side",
        "over-limit", "text-dropped", "encoding", "name-clash",
    ),
    "notes": ("note-unread", "note-number"),
    "returns": (
        "return-count", "return-names", "return-size", "return-mode", "line-art-changed",
        "edges-smoothed", "pixels-uncoloured", "basis-moved",
    ),
}  # fmt: skip

RULE_NAMES: frozenset[str] = frozenset(name for names in RULES.values() for name in names)
LEVELS: tuple[str, ...] = ("off", "query", "block")


class Finding(NamedTuple):
    """One thing a rule found.

    `level` is "block" or "query". `path` is relative to the book's top folder, `line` counts from 1,
    `page` is a page label ("12", "24-25"), `panel` counts from 1 and is None before any panel mark,
    `scene` is a title, `commit` a full object id (audit and push doors only).
    """

    rule: str
    level: str
    message: str
    path: str | None = None
    line: int | None = None
    page: str | None = None
    panel: int | None = None
    scene: str | None = None
    remedy: str | None = None
    commit: str | None = None

    @property
    def blocks(self) -> bool:
        """Whether this finding stops what was asked for."""
        return self.level == "block"

    def at_level(self, level: str) -> "Finding":
        """The same finding at another level."""
        return self._replace(level=level)
