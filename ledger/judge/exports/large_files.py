"""Which files the book's `.gitattributes` sends to git-lfs, as far as its own top folder says so."""

from __future__ import annotations

import re
from functools import lru_cache

from ledger.model.errors import ContentMissing
from ledger.read.state import BookState

ATTRIBUTES = ".gitattributes"
_QUOTED = re.compile(r'\s*"((?:[^"\\]|\\.)*)"(.*)')
_WILD = re.compile(r"\*\*/|/\*\*\Z|\*|\?|\[[^\]]+\]")
_AS = {"**/": "(?:.*/)?", "/**": "/.*", "*": "[^/]*", "?": "[^/]"}


class LargeFileRules:
    """The lines of `.gitattributes` that say anything of filters; the last that fits a path counts."""

    def __init__(self, text: str = "") -> None:
        self._lines: list[tuple[str, bool]] = []
        for row in text.splitlines():
            pattern, attributes = _parted(row)
            said = [each for each in attributes if each.lstrip("-!").partition("=")[0] == "filter"]
            if said and not pattern.startswith("#"):
                self._lines.append((pattern, said[-1] == "filter=lfs"))

    def __bool__(self) -> bool:
        return any(large for _, large in self._lines)

    def sends(self, path: str) -> bool:
        """Whether a file belongs into git-lfs."""
        return next((large for pattern, large in reversed(self._lines) if _fits(path, pattern)), False)


def _parted(row: str) -> tuple[str, list[str]]:
    """Pattern and attributes of a line; a pattern with a blank in it stands in quotes (gitattributes)."""
    quoted = _QUOTED.match(row)
    if quoted:
        return re.sub(r"\\(.)", r"\1", quoted[1]), quoted[2].split()
    pattern, *attributes = row.split() or [""]
    return pattern, attributes


def large_file_rules(state: BookState) -> LargeFileRules:
    """The rules of a state; none where it has no `.gitattributes` that can be read."""
    file = state.snapshot.files.get(ATTRIBUTES)
    if file is None or not file.regular:
        return LargeFileRules()
    try:
        return LargeFileRules(state.snapshot.read(ATTRIBUTES).decode("utf-8", "replace"))
    except (ContentMissing, OSError):
        return LargeFileRules()


def _fits(path: str, pattern: str) -> bool:
    """Without a slash a pattern is about the name alone, with one about the path from the top (gitattributes)."""
    name = path if "/" in pattern.rstrip("/") else path.rpartition("/")[2]
    return _compiled(pattern.lstrip("/")).match(name) is not None


@lru_cache(maxsize=64)
def _compiled(pattern: str) -> re.Pattern[str]:
    parts, at = [], 0
    for wild in _WILD.finditer(pattern):
        parts += [re.escape(pattern[at : wild.start()]), _AS.get(wild[0], wild[0].replace("[!", "[^"))]
        at = wild.end()
    try:
        return re.compile("".join([*parts, re.escape(pattern[at:])]) + r"\Z")
    except re.error:  # a range that runs backwards fits nothing
        return re.compile(r"(?!)")
