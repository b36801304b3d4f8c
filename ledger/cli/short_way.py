"""Plain questions are answered without the library that reads command lines, which takes longer than the answer.

Only command lines that can mean one thing are taken; every other one, wrong ones and `--help` too, goes the long way.
"""

import os
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, NamedTuple

from ledger.cli.answer import Answer, as_refusal, folder, guarded, say


class Question(NamedTuple):
    """A verb that only looks: the name of its document, its flags, how many references it takes at most."""

    name: str
    flags: dict[str, str]
    references: int = 0


QUESTIONS: dict[tuple[str, ...], Question] = {
    ("compare",): Question("compare", {"--all": "everything", "--all-lines": "all_lines", "--patch": "patch"}, 2),
    ("status",): Question("status", {}),
    ("check",): Question("check", {"--staged": "staged"}),
    ("audit",): Question("audit", {"--since-lock": "since_lock"}, 1),
    ("notes", "list"): Question("notes", {}),
}


class Asked(NamedTuple):
    """A command line that was understood: the verb, the folder after `-C`, `--json`, its flags, what it is about."""

    verb: tuple[str, ...]
    folder: str | None
    as_json: bool
    flags: dict[str, bool]
    references: tuple[str, ...]


def understood(arguments: Sequence[str]) -> Asked | None:
    """What a command line asks; None where that is for the long way to say."""
    verb, at, chosen = _verb_of(arguments)
    if verb not in QUESTIONS or "_INKLEDGER_COMPLETE" in os.environ:
        return None
    question, as_json = QUESTIONS[verb], False
    flags: dict[str, bool] = {}
    references: list[str] = []
    words = iter(arguments[at:])
    for word in words:
        if word == "--json":
            as_json = True
        elif word == "-C":
            chosen = next(words, None)
            if chosen is None:
                return None
        elif word in question.flags:
            flags[question.flags[word]] = True
        elif word.startswith("-") or len(references) == question.references:
            return None
        else:
            references.append(word)
    return Asked(verb, chosen, as_json, flags, tuple(references))


def _verb_of(arguments: Sequence[str]) -> tuple[tuple[str, ...], int, str | None]:
    """The verb, where its own words begin, and the folder named before it."""
    at, chosen = 0, None
    while arguments[at : at + 1] == ["-C"] and at + 1 < len(arguments):
        at, chosen = at + 2, arguments[at + 1]
    size = 2 if arguments[at : at + 1] == ["notes"] else 1
    return tuple(arguments[at : at + size]), at + size, chosen


def answer(asked: Asked) -> int:
    """Answers; gives the exit code."""
    return guarded(partial(_say, asked), asked.verb[0], as_json=asked.as_json, fault_of=as_refusal)


def _say(asked: Asked) -> int:
    found = _of_plain_drafts(asked) or _work(asked.verb)(folder(asked.folder), *_about(asked), **asked.flags)
    return say(found, QUESTIONS[asked.verb].name, asked.as_json)


def _of_plain_drafts(asked: Asked) -> Answer | None:
    """`compare` of two typed drafts that no book holds; None for everything else."""
    if asked.verb != ("compare",) or "patch" in asked.flags:
        return None
    from ledger.cli.looking import compared
    from ledger.desk.plain_pair import compare_plain

    found = compare_plain(asked.folder or os.getcwd(), asked.references)
    return compared(found, **asked.flags) if found else None


def _about(asked: Asked) -> tuple[Any, ...]:
    return (asked.references,) if QUESTIONS[asked.verb].references else ()


def _work(verb: tuple[str, ...]) -> Callable[..., Answer]:
    from ledger.cli import looking

    works: dict[tuple[str, ...], Callable[..., Answer]] = {
        ("compare",): looking.compare, ("status",): looking.status, ("check",): looking.check,
        ("audit",): looking.audit,
        ("notes", "list"): looking.list_notes,
    }  # fmt: skip
    return works[verb]
