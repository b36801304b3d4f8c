"""Patterns of `book.toml`: which files belong to a pass, and which page a file stands for."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from ledger.model.book import Pass
from ledger.model.pages import page_label

#: `p{page}` with any padding, a spread, front and back matter, the cover (convention §2).
_PAGE = r"\d+(?:-p?\d+)?|[fb]\d+|cover"
_HOLE = re.compile(r"((?<![A-Za-z0-9])p\{page\}|\{page\}|\*+)")
_TEXT_ENDS = (".md", ".txt")
#: So many paths are remembered with whether they belong to a pass.
_ASKED = 1 << 16


def matches(path: str, pass_: Pass) -> bool:
    """Whether a file belongs to a pass; in an art pass only a file that stands for a page does."""
    return _belonging(pass_.kind, pass_.files)[path]


def among(paths: Iterable[str], pass_: Pass) -> list[str]:
    """Those of these paths that belong to a pass; what was asked before, or lies elsewhere, costs next to nothing."""
    return list(filter(_belonging(pass_.kind, pass_.files).__getitem__, paths))


class _Belonging(dict[str, bool]):
    """Path -> whether it belongs to a pass of these patterns; each is asked once, since histories ask again and again.

    A path of plain signs that does not begin as any pattern does needs no closer look.
    """

    def __init__(self, kind: str, files: tuple[str, ...]) -> None:
        self._kind, self._files = kind, files
        self._starts = tuple(_fixed(pattern) for pattern in files)

    def __missing__(self, path: str) -> bool:
        if len(self) >= _ASKED:
            self.clear()
        self[path] = belongs = (path.startswith(self._starts) or not path.isascii()) and self._asked(path)
        return belongs

    def _asked(self, path: str) -> bool:
        if self._kind == "art":
            return _label(path, self._files) is not None
        name = composed(path)
        return name.lower().endswith(_TEXT_ENDS) and any(_compiled(p).match(name) for p in self._files)


@lru_cache(maxsize=64)
def _belonging(kind: str, files: tuple[str, ...]) -> _Belonging:
    return _Belonging(kind, files)


def _fixed(pattern: str) -> str:
    """The folder part of a pattern before anything that varies."""
    fixed = pattern.partition("*")[0].partition("{")[0]
    return fixed[: fixed.rfind("/") + 1]


def label_of(path: str, pass_: Pass) -> str | None:
    """The label of the page that a file of an art pass stands for ("12", "24-25", "f1", "cover"), or None."""
    return _label(path, pass_.files) if pass_.kind == "art" else None


@lru_cache(maxsize=1 << 16)
def _label(path: str, patterns: tuple[str, ...]) -> str | None:
    name = composed(path)
    for pattern in patterns:
        found = _compiled(pattern).match(name)
        if found:
            typed = found["page"] if "{page}" in pattern else name.rpartition("/")[2].rpartition(".")[0]
            label = page_label(typed)
            if label is not None:
                return label
    return None


def fits(path: str, pattern: str) -> bool:
    """Whether a path fits one pattern, such as that of masters or of a design sheet."""
    return _compiled(pattern).match(composed(path)) is not None


def in_reading_order(paths: Iterable[str]) -> list[str]:
    """Paths in byte order of their composed form (NFC), the order in which files are read."""
    return sorted(paths, key=lambda path: composed(path).encode("utf-8", "surrogateescape"))


def composed(path: str) -> str:
    """A path with accents as single signs (NFC), so that every machine matches and orders it alike."""
    return path if path.isascii() else unicodedata.normalize("NFC", path)


@lru_cache(maxsize=256)
def _compiled(pattern: str) -> re.Pattern[str]:
    """`*` stays within one folder and takes no name that begins with a dot; the second `{page}` repeats the first."""
    parts: list[str] = []
    named = False
    for piece in filter(None, _HOLE.split(composed(pattern))):
        if "{page}" in piece:
            token = f"p(?:{_PAGE})|[fb]\\d+|cover" if piece[0] == "p" else f"p?(?:{_PAGE})"
            parts.append("(?P=page)" if named else f"(?P<page>{token})")
            named = True
        elif piece[0] == "*":
            hidden = not parts or parts[-1].endswith("/")
            parts.append(r"(?!\.)[^/]*" if hidden else "[^/]*")
        else:
            parts.append(re.escape(piece))
    return re.compile("".join(parts) + r"\Z")


def path_of(path: str, pass_: Pass, label: str, width: int) -> str | None:
    """The path of an export under another page's name, numbers padded to at least `width` digits; None where no
    pattern of the pass says how such a name is built.
    """
    name = composed(path)
    for pattern in pass_.files:
        found = _compiled(pattern).match(name)
        if not found or page_label(found["page"] if "{page}" in pattern else "") is None:
            continue
        typed = found["page"]
        now = _typed_as(typed, label, width)
        before, after = name[: found.start("page")], name[found.end("page") :]
        made = before + now + (after.replace(typed, now) if pattern.count("{page}") > 1 else after)
        return made if label_of(made, pass_) == label else None
    return None


def _typed_as(typed: str, label: str, width: int) -> str:
    """A label as a file name spells it, in the manner of another: `p041` -> `p042`, `p064-p065` -> `p066-p067`."""
    p = "p" if typed[0] == "p" else ""
    wide = max(width, len(re.match(r"p?(\d+)", typed)[1]) if re.match(r"p?\d", typed) else 0)  # type: ignore[index]
    between = "-p" if "-p" in typed else "-"
    return p + between.join(number.zfill(wide) for number in label.split("-"))
