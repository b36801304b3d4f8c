"""Where the chapters of a draft go: the files of a text pass, numbered."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path, PurePosixPath

from ledger.desk.opening import OpenBook
from ledger.model.book import Pass
from ledger.model.errors import Refusal
from ledger.read.chapters import Piece
from ledger.read.patterns import matches

#: The last number in the name of a file.
_LAST_NUMBER = re.compile(r"(\d+)(?=[^\d/]*\Z)")


def target_of(book: OpenBook, here: Path, to: str | None) -> tuple[Pass, str | None]:
    """The text pass that a draft is for, and the path asked for as the book writes it. Raises Refusal."""
    known = book.working.book
    if to is None:
        script = known.main_script()
        if script is None:
            raise Refusal("this book has no text pass", path="book.toml", remedy='add one: [[pass]] name = "script"')
        return script, None
    for base in (book.repo.top, here):
        path = PurePosixPath(os.path.relpath(os.path.normpath(base / to), book.repo.top)).as_posix()
        for pass_ in known.passes:
            if pass_.kind == "text" and matches(path, pass_):
                return pass_, path
    places = ", ".join(place for each in known.passes if each.kind == "text" for place in each.files)
    raise Refusal(f"--to {to} is no place of a text pass", remedy=f"name a file of one of them ({places})")


def placed(pieces: Sequence[Piece], pass_: Pass, to: str | None) -> dict[str, Piece]:
    """A path for every chapter: numbered as they are, or on from `to`; one file where the place has no number."""
    if to is not None and len(pieces) == 1:
        return {to: pieces[0]}
    start = None
    if to is not None:
        number = _LAST_NUMBER.search(to)
        if number is None:
            return {to: _whole(pieces)}
        start, width = int(number[1]), len(number[1])
        pattern = f"{to[: number.start()]}*{to[number.end() :]}"
    else:
        starred = next((each for each in pass_.files if each.rpartition("/")[2].count("*") == 1), None)
        if starred is None or "*" in starred.rpartition("/")[0]:
            return {_only_place(pass_): _whole(pieces)}
        pattern, width = starred, 2
    numbers = _numbers(pieces, start)
    width = max(width, len(str(numbers[-1])))
    suffix = "" if pattern.lower().endswith((".md", ".txt")) else ".md"
    return {
        f"{pattern.replace('*', f'{n:0{width}d}')}{suffix}": piece for n, piece in zip(numbers, pieces, strict=True)
    }


def _numbers(pieces: Sequence[Piece], start: int | None) -> list[int]:
    """The chapters' own numbers where each has one and they rise; else counted on."""
    own = [piece.number for piece in pieces if piece.number is not None]
    if start is None and len(own) == len(pieces) and all(a < b for a, b in pairwise(own)):
        return own
    return list(range(1 if start is None else start, (1 if start is None else start) + len(pieces)))


def _whole(pieces: Sequence[Piece]) -> Piece:
    return Piece(pieces[0].title, pieces[0].number, b"".join(piece.data for piece in pieces))


def _only_place(pass_: Pass) -> str:
    """The one file of a pass that has no star in its name. Raises Refusal where that can't be told."""
    place = next((each for each in pass_.files if "*" not in each), None)
    if place is None:
        raise Refusal(
            f"where a file of {pass_.name} goes can't be told from {', '.join(pass_.files)}",
            remedy="name it with --to",
        )
    return place
