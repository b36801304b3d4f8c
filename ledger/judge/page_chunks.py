"""Two states of a script held against each other page by page, without reading them: where can they differ at all?

It only ever answers where that is certain: where every page of the script has a plain mark of its own (`[page 12]`, one
after the other) and nothing in what changed can be taken for a mark, a heading or a block of another kind.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from ledger.judge.first_look import without_remarks

_MARK = re.compile(r"\[page ([1-9]\d{0,4})\]")
#: Anything that might be meant as a page mark, or as something that hides marks.
_LIKE_A_MARK = re.compile(r"(?im)^\W*pages?\b|\[\W*(?:page|omitted)|```|~~~|<[!a-z/?]|\0|\ufeff|\r|\t|\f|\v|^ ")
#: Lines that leave no doubt how they are read, whatever stands around them: empty, a panel's mark, a heading, words.
_PLAIN = re.compile(r"(?:\[panel(?: \d+)?\]|(?:#{1,2} )?[^\W\d_][^\[\]#<>|\\`=]*)?")


class Paged(NamedTuple):
    """A file's pages: the numbers of its marks, and the lines from each mark to the next; `front` stands before all.

    These lines are those without remarks that stand apart. `typed` is the same as it is typed: the text before the
    first mark, then that of each page with its mark; `begins` are the lines of the file, from 1, where these begin.
    """

    front: tuple[str, ...]
    numbers: tuple[int, ...]
    chunks: tuple[tuple[str, ...], ...]
    typed: tuple[str, ...]
    begins: tuple[int, ...]


class Apart(NamedTuple):
    """Labels of the pages on which two states differ, and of all pages of either."""

    changed: frozenset[str]
    pages: frozenset[str]


def apart(old: Mapping[str, bytes], new: Mapping[str, bytes]) -> Apart | None:
    """On which pages two states of a script can differ, path -> bytes in reading order; None where that is not certain.

    Both have the same files and the same page marks then.
    """
    if list(old) != list(new):
        return None
    changed: set[str] = set()
    numbers: list[int] = []
    for path in old:
        before, after = paged(old[path]), paged(new[path])
        if before is None or after is None or before.numbers != after.numbers or before.front != after.front:
            return None
        numbers += before.numbers
        for number, then, now in zip(before.numbers, before.chunks, after.chunks, strict=True):
            if then != now:
                if not (_certain(then) and _certain(now) and _headings(then) == _headings(now)):
                    return None
                changed.add(str(number))
    if not numbers or numbers != list(range(numbers[0], numbers[0] + len(numbers))):
        return None
    return Apart(frozenset(changed), frozenset(map(str, numbers)))


def whole(files: Mapping[str, bytes]) -> str:
    """All files as one text, without remarks that stand apart."""
    return "\n".join("\n".join(without_remarks(data.decode("utf-8"))) for data in files.values())


def laid_over(old: Mapping[str, bytes], new: Mapping[str, bytes], labels: Collection[str]) -> str:
    """As `whole`, of the old files with these pages as the new ones have them; both held apart before."""
    told = []
    for path in old:
        before, after = paged(old[path]), paged(new[path])
        assert before is not None and after is not None
        lines = [*before.front]
        for number, then, now in zip(before.numbers, before.chunks, after.chunks, strict=True):
            lines += [f"[page {number}]", *(now if str(number) in labels else then)]
        told.append("\n".join(lines))
    return "\n".join(told)


@lru_cache(maxsize=128)
def paged(data: bytes) -> Paged | None:
    """A file taken apart at its page marks, None where it is not certain that these are all of them."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return None
    lines = without_remarks(text)
    marks = [(at, found) for at, line in enumerate(lines) if (found := _MARK.fullmatch(line))]
    others = "\n".join("" if line.startswith("[page ") and _MARK.fullmatch(line) else line for line in lines)
    if _LIKE_A_MARK.search(others):
        return None
    if any(at and lines[at - 1] for at, _ in marks):
        return None  # a mark below words might belong to their paragraph
    places = [at for at, _ in marks] + [len(lines)]
    chunks = (tuple(lines[at + 1 : end]) for at, end in pairwise(places))
    typed = text.split("\n")
    begins = [0, *(at for at, line in enumerate(typed) if line.startswith("[page ") and _MARK.fullmatch(line))]
    return Paged(
        tuple(lines[: places[0]]), tuple(int(found[1]) for _, found in marks), tuple(chunks),
        tuple("\n".join(typed[at:end]) for at, end in pairwise([*begins, len(typed)])), tuple(at + 1 for at in begins),
    )  # fmt: skip


def _certain(lines: tuple[str, ...]) -> bool:
    """Whether a page's lines are empty ones, marks of panels, headings and words: nothing reaches beyond the page."""
    return not (lines and lines[-1]) and all(_PLAIN.fullmatch(line) for line in lines)


def _headings(lines: tuple[str, ...]) -> list[str]:
    return [line for line in lines if line[:1] == "#"]
