"""A "what if" as typed: `--add 1@40`, `--cut 41-42,100`, `--move 12-13@80`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NoReturn

from ledger.model.errors import Refusal
from ledger.plan.numbering import Wish
from ledger.read.config import MOST_PAGES

_RUN = r"p?0*(\d{1,6})(?:-p?0*(\d{1,6}))?"


def wish_of(adds: Sequence[str], cuts: Sequence[str], moves: Sequence[str]) -> Wish:
    """Raises Refusal naming the option and how it is written."""
    return Wish(
        tuple(_add(part) for typed in adds for part in _parts(typed)),
        tuple(_run("--cut", part, "--cut 41-42 or --cut 41,100") for typed in cuts for part in _parts(typed)),
        tuple(_move(part) for typed in moves for part in _parts(typed)),
    )


def _parts(typed: str) -> Iterator[str]:
    return (part.strip() for part in typed.split(","))


def _add(typed: str) -> tuple[int, int]:
    found = re.fullmatch(r"(\d{1,6})@p?0*(\d{1,6})", typed)
    if not found:
        _refuse("--add", typed, "--add 1@40 (one page after page 40), --add 2@0 (two before page 1)")
    many, after = int(found[1]), int(found[2])
    if not 1 <= many <= MOST_PAGES:
        _refuse("--add", typed, f"--add 1@{after}: at least one page, at most {MOST_PAGES:,}")
    return many, after


def _move(typed: str) -> tuple[int, int, int]:
    run, at, after = typed.rpartition("@")
    if not at or not re.fullmatch(r"p?\d{1,6}", after):
        _refuse("--move", typed, "--move 12-13@80 (pages 12 and 13 behind page 80)")
    return (*_run("--move", run, "--move 12-13@80"), int(after.lstrip("p")))


def _run(option: str, typed: str, form: str) -> tuple[int, int]:
    found = re.fullmatch(_RUN, typed)
    if not found:
        _refuse(option, typed, form)
    first, last = int(found[1]), int(found[2] or found[1])
    if last < first:
        _refuse(option, typed, f"the lower number first: {last}-{first}")
    return first, last


def _refuse(option: str, typed: str, form: str) -> NoReturn:
    raise Refusal(f"{option} {typed!r} can't be read", remedy=f"write it as {form}")
