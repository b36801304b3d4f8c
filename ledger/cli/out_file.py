"""The file that `--out` names."""

from __future__ import annotations

from pathlib import Path

from ledger.model.errors import Refusal

_PAGE = (".html", ".htm")


def page_file(out: Path) -> Path:
    """The name of a page to write. Raises Refusal for one that ends otherwise."""
    if out.suffix.lower() not in _PAGE:
        raise Refusal("this is written as a page", path=str(out), remedy="name a file that ends in .html")
    return out


def page_or_document(out: Path) -> bool:
    """Whether a file to write is a document of a word processor, not a page. Raises Refusal for one that is neither."""
    if out.suffix.lower() not in (*_PAGE, ".docx"):
        raise Refusal("this is written as a page, or for a word processor", path=str(out),
                      remedy="name a file that ends in .html or .docx")  # fmt: skip
    return out.suffix.lower() == ".docx"
