"""Design sheets and pages: on which pages of the script somebody is, and since when a page's picture stands."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ledger.judge.resting.made_from import Sources
from ledger.judge.resting.upstream import pictures_in
from ledger.model.book import Pass, Person
from ledger.model.entry import Round
from ledger.model.script import Draft, Line
from ledger.read.state import BookState


def pages_with(draft: Draft, person: Person) -> frozenset[str]:
    """Labels of the pages where somebody speaks or is named in the action.

    Named is who stands there by the name or another name of `[cast]`, whatever the case, or by a key of more than one
    letter as it is typed.
    """
    named = _names(person)
    return frozenset(line.page for line in draft.lines if line.page and _is_in(line, person, named))


def _is_in(line: Line, person: Person, named: re.Pattern[str]) -> bool:
    if line.role == "action":
        return named.search(line.text) is not None
    return person.name in line.speaker.split(" & ")


def _names(person: Person) -> re.Pattern[str]:
    any_case = "|".join(map(re.escape, (person.name, *person.also)))
    exact = f"|{re.escape(person.key)}" if len(person.key) > 1 else ""
    return re.compile(rf"(?<!\w)(?:(?i:{any_case}){exact})(?!\w)")


def drawn_in(state: BookState, pass_: Pass) -> dict[str, Round]:
    """Page label -> the round in which its picture came, or was looked at and let stand (`--stands`).

    A picture keeps its round under another page's name. Pages whose export is not as entered, or gone, are left out:
    nobody can tell yet what they were drawn from.
    """
    mine = [entry for entry in state.entries if isinstance(entry, Round) and entry.pass_name == pass_.name]
    rounds = [(entry, frozenset(entry.files.values())) for entry in sorted(mine, key=lambda entry: -entry.number)]
    if not rounds:
        return {}
    sources = Sources(state)
    entered = pictures_in(rounds[0][0], pass_)
    return {
        label: _since(rounds, label, entered[label])
        for label, files in state.exports(pass_).items()
        if label in entered and sources.known(files[0]) == entered[label]
    }


def _since(rounds: Iterable[tuple[Round, frozenset[str]]], label: str, picture: str) -> Round:
    """The oldest of these rounds that hold the picture without a break; newest first, each with what it holds."""
    found: Round | None = None
    for entry, held in rounds:
        if found is not None and picture not in held:
            break
        found = entry
        if entry.stands and label in entry.page_set:
            break
    assert found is not None
    return found
