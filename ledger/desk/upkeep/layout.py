"""What a book's folder holds from the start: folders, git's attributes, a word about the ledger."""

from __future__ import annotations

from pathlib import PurePosixPath

from ledger.judge.exports.large_files import LargeFileRules
from ledger.model.book import Book, Pass

#: Folders of the convention that belong to no pass.
_ALWAYS = ("designs", "notes", "ledger", "memos")

#: The attributes by which git-lfs keeps a file.
_LARGE = "filter=lfs diff=lfs merge=lfs -text"

#: A word for whoever opens the folder of the ledger.
LEDGER_README = "ledger/README.md"

_LEDGER_README = """\
# The ledger of this book

One small file for every round, sign-off, alteration slip and delivery, written once by inkledger and never
edited: the hooks and the audit hold every later edit or deletion against it. `inkledger rounds` reads them out.
"""


def ledger_readme() -> str:
    """A word for whoever opens the folder."""
    return _LEDGER_README


def folders(book: Book) -> list[str]:
    """Folders to lay out, relative to the book's top."""
    passes = [str(PurePosixPath(pattern).parent) for each in book.passes for pattern in each.files]
    return [name for name in dict.fromkeys([*passes, *_ALWAYS]) if name != "." and "*" not in name]


def attributes(book: Book, *, lfs: bool = False) -> str:
    """`.gitattributes`: text and entries are kept byte for byte, art is not compared as text.

    With `lfs` the exports of every art pass go through git-lfs.
    """
    kept = _LARGE if lfs else "-text -diff -merge"
    lines = [
        "# Text and entries are kept byte for byte: what you typed is what a round holds.",
        "*.md -text",
        "*.txt -text",
        "*.toml -text",
        "# Exports are pictures: git keeps them, inkledger compares them.",
        *dict.fromkeys(f"{_quoted(place)} {kept}" for each in book.passes for place in _places(each)),
    ]
    return "\n".join(lines) + "\n"


def lines_for_lfs(book: Book, there: str) -> list[str]:
    """What a `.gitattributes` that is there already lacks for the exports of every art pass to go through git-lfs."""
    rules = LargeFileRules(there)
    lacking = [each for each in book.passes if not all(rules.sends(_example(place)) for place in _places(each))]
    return list(dict.fromkeys(f"{_quoted(place)} {_LARGE}" for each in lacking for place in _places(each)))


def _example(place: str) -> str:
    return place.lstrip("/").replace("*", "p001")


def _places(pass_: Pass) -> list[str]:
    """Attribute patterns for the exports of an art pass: everything of that ending in its folder."""
    if pass_.kind != "art":
        return []
    patterns = [PurePosixPath(pattern) for pattern in pass_.files]
    return [f"/{p.parent}/*{p.suffix}" if str(p.parent) != "." else f"/*{p.suffix}" for p in patterns]


def _quoted(place: str) -> str:
    """A pattern as git's attribute files spell it: in quotes where it holds a blank."""
    return '"' + place.replace("\\", "\\\\").replace('"', '\\"') + '"' if " " in place else place
