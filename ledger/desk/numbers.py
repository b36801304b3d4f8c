"""The ledger's numbers: which entry is the newest, which number is next, which pass a name means."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

from ledger.gitedge.repository import Repository
from ledger.gitedge.tags import recorded_as, tags_there
from ledger.model.book import Book, Pass
from ledger.model.entry import Alteration, Entry, Lock, Reopen, Round
from ledger.model.errors import Refusal
from ledger.read.state import BookState

_Kind = TypeVar("_Kind", bound=Entry)


def rounds_of(entries: Iterable[Entry], pass_name: str) -> list[Round]:
    """The rounds of a pass, oldest number first."""
    found = [e for e in entries if isinstance(e, Round) and e.pass_name == pass_name]
    return sorted(found, key=lambda e: e.number)


def newest_round(entries: Iterable[Entry], pass_name: str) -> Round | None:
    """The newest round of a pass, or None."""
    found = rounds_of(entries, pass_name)
    return found[-1] if found else None


def locks_of(entries: Iterable[Entry], pass_name: str) -> list[Lock]:
    """The sign-offs of a pass, oldest number first."""
    return sorted((e for e in entries if isinstance(e, Lock) and e.pass_name == pass_name), key=lambda e: e.number)


def slips(entries: Iterable[Entry]) -> list[Alteration]:
    """The alteration slips, oldest number first; reopenings are none."""
    found = [e for e in entries if isinstance(e, Alteration) and not isinstance(e, Reopen)]
    return sorted(found, key=lambda e: e.number)


def next_number(states: Iterable[BookState | None], stem: str) -> int:
    """The next free number of `ledger/<stem>-<n>.toml`, counting files that are there, readable or not."""
    taken = {0}
    for state in states:
        for path in state.snapshot.under("ledger") if state else ():
            number = path.removeprefix(f"ledger/{stem}-").removesuffix(".toml")
            if path.startswith(f"ledger/{stem}-") and number.isdecimal():
                taken.add(int(number))
    return max(taken) + 1


def free_number(repo: Repository, states: Iterable[BookState | None], stem: str, tags: str) -> int:
    """As `next_number`, over numbers that an entry on another branch here has, whose tag `<tags>/<n>` is there."""
    number, there = next_number(states, stem), tags_there(repo)
    while f"{tags}/{number}" in there and _held(repo, f"{tags}/{number}", f"ledger/{stem}-{number}.toml"):
        number += 1
    return number


def _held(repo: Repository, tag: str, path: str) -> bool:
    return bool(recorded_as(repo, [path], f"refs/tags/{tag}^{{commit}}"))


def the_pass(book: Book, name: str) -> Pass:
    """The pass of this name. Raises Refusal naming the nearest one."""
    found = book.pass_named(name)
    if found is not None:
        return found
    import difflib

    names = [p.name for p in book.passes]
    near = difflib.get_close_matches(name, names, 1)
    remedy = f"did you mean {near[0]}?" if near else f"passes of this book: {', '.join(names) or 'none'}"
    raise Refusal(f"{name!r} is no pass of this book", remedy=remedy)


def basis_of(entries: Iterable[Entry], pass_: Pass) -> Mapping[str, str]:
    """Upstream pass -> its newest round, for the passes that have one."""
    kept = list(entries)
    newest = {name: newest_round(kept, name) for name in pass_.comes_from}
    return {name: found.name for name, found in newest.items() if found}
