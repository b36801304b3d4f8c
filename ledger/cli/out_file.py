"""The file that `--out` names."""

from __future__ import annotations

from pathlib import Path

from ledger.model.errors import Refusal


def page_file(out: Path) -> Path:
    """The name of a page to write. Raises Refusal for one that ends otherwise."""
    if out.suffix.lower() not in (".html", ".htm"):
        raise Refusal("this is written as a page", path=str(out), remedy="name a file that ends in .html")
    return out
