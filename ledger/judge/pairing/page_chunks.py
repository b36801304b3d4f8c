"""A file of a script taken apart at its page marks, without reading it.

Only where that is certain: where every page of the file has a plain mark of its own (`[page 12]`), below an empty line,
and nothing in what is typed can be taken for another mark or hides one.
"""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from ledger.judge.agreed.first_look import without_remarks

_MARK = re.compile(r"(?m)^\[page ([1-9]\d{0,4})\]$")
#: Anything else that might be meant as a page mark, or as something that hides marks.
_LIKE_A_MARK = re.compile(r"(?im)^\W*pages?\b|\[\W*page")
_LEFT_OUT = re.compile(r"(?i)\[\W*omitted")
_LIKE_HTML = re.compile(r"(?i)<[!a-z/?]")
_HIDING = ("\n ", "```", "~~~", "\r", "\t", "\f", "\v", "\0", "\ufeff")


class Paged(NamedTuple):
    """What a file is typed as: the text before the first mark, then that of each page from its mark on.

    `numbers` are those of the marks, `begins` the lines of the file, from 1, with which these texts begin.
    """

    numbers: tuple[int, ...]
    typed: tuple[str, ...]
    begins: tuple[int, ...]


@lru_cache(maxsize=128)
def paged(data: bytes) -> Paged | None:
    """A file taken apart at its page marks, None where it is not certain that these are all of them."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return None
    if text[:1] == " " or any(sign in text for sign in _HIDING):
        return None
    marks = list(_MARK.finditer(text))
    if _hidden(text, len(marks)):
        return None
    if any(mark.start() > 1 and text[mark.start() - 2] != "\n" for mark in marks):
        return None  # a mark below words might belong to their paragraph
    places = [0, *(mark.start() for mark in marks)]
    typed = tuple(text[at:end] for at, end in pairwise([*places, len(text)]))
    begins = [1]
    for part in typed[:-1]:
        begins.append(begins[-1] + part.count("\n"))
    return Paged(tuple(int(mark[1]) for mark in marks), typed, tuple(begins))


def _hidden(text: str, marks: int) -> bool:
    """Whether anything but a plain mark might be one, or comments and the like stand where they may hide some."""
    rest = "\n".join(without_remarks(text)) if "<" in text else text
    if _LIKE_HTML.search(rest) or _LEFT_OUT.search(rest):
        return True
    return rest.lower().count("page") != marks and _LIKE_A_MARK.search(_MARK.sub("", rest)) is not None
