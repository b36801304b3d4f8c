"""Two drafts -> what changed: words, lines, scenes, cast, pages; knows nothing of locks."""

from __future__ import annotations

from ledger.compare.drafts import compare_drafts

__all__ = ["compare_drafts"]
