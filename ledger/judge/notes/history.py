"""What following notes is read from: the rounds of the passes, their content, and the content now."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from ledger.judge.notes.chains import Chain, read_chain, spelled
from ledger.judge.notes.pictures import Pictures
from ledger.judge.notes.places import Place
from ledger.judge.notes.trails import Way, way_between
from ledger.model.note import NotesRound
from ledger.model.script import Draft, Line


@dataclass(frozen=True, slots=True)
class Moment:
    """A round of a pass; `number` None is the content now."""

    pass_name: str
    number: int | None

    @property
    def now(self) -> Moment:
        """The same pass now."""
        return Moment(self.pass_name, None)


class Shelf(Protocol):
    """Where the content lies."""

    def about(self, notes: NotesRound) -> Moment | None:
        """The round that a notes round was made on; None where that is not known."""

    def moment(self, name: str) -> Moment | None:
        """The round of this name (`script-4`; a pass alone is its newest round), or None."""

    def numbers(self, pass_name: str) -> Sequence[int]:
        """The rounds of a pass, oldest first."""

    def drawn(self, pass_name: str) -> bool:
        """Whether it is an art pass."""

    def draft(self, moment: Moment) -> Draft | None:
        """The draft of a text pass; None where its content is not here."""

    def pictures(self, moment: Moment) -> Pictures | None:
        """The exports of an art pass."""

    def script_under(self, moment: Moment) -> Moment | None:
        """The script round that a round of an art pass was made from."""


@dataclass(frozen=True)
class NoteHistory:
    """The shelf, with every draft and every way between two drafts looked at once.

    `known_by` names the content of a moment, None where it has no name; `memory` holds what was found out about the
    same content before, and what is found out is added.
    """

    shelf: Shelf
    memory: dict[str, str] = field(default_factory=dict)
    known_by: Callable[[Moment], str | None] = lambda moment: None
    _drafts: dict[Moment, Draft | None] = field(default_factory=dict)
    _pictures: dict[Moment, Pictures | None] = field(default_factory=dict)
    _ways: dict[tuple[Moment, Moment], Way | None] = field(default_factory=dict)
    _about: dict[str, Moment | None] = field(default_factory=dict)
    _chains: dict[tuple[str, Moment, Moment], Chain] = field(default_factory=dict)
    _contents: dict[tuple[Moment, ...], str | None] = field(default_factory=dict)
    _lines: dict[Moment, tuple[Sequence[Line], dict[Line, int]]] = field(default_factory=dict)

    def about(self, notes: NotesRound) -> Moment | None:
        """The round that a notes round was made on."""
        if notes.path not in self._about:
            self._about[notes.path] = self.shelf.about(notes)
        return self._about[notes.path]

    def moment(self, name: str) -> Moment | None:
        """The round of this name; one after those that are asked about plays no part."""
        found = self.shelf.moment(name)
        return found if found and self.is_there(found) else None

    def to_come(self, name: str) -> bool:
        """Whether it names a round after those that are asked about."""
        return self.shelf.moment(name) is not None and self.moment(name) is None

    def drawn(self, moment: Moment) -> bool:
        """Whether it is a round of an art pass."""
        return self.shelf.drawn(moment.pass_name)

    def script_under(self, moment: Moment) -> Moment | None:
        """The script round that a round of an art pass was made from."""
        return self.shelf.script_under(moment)

    def draft(self, moment: Moment) -> Draft | None:
        """The draft at a moment."""
        if moment not in self._drafts:
            self._drafts[moment] = self.shelf.draft(moment)
        return self._drafts[moment]

    def pictures(self, moment: Moment) -> Pictures | None:
        """The exports at a moment."""
        if moment not in self._pictures:
            self._pictures[moment] = self.shelf.pictures(moment)
        return self._pictures[moment]

    def way(self, start: Moment, end: Moment) -> Way | None:
        """The way between two drafts; None where nothing changed, or one of them is not here."""
        if (start, end) not in self._ways:
            old, new = self.draft(start), self.draft(end)
            self._ways[start, end] = way_between(old, new) if old is not None and new is not None else None
        return self._ways[start, end]

    def chain(self, place: Place, start: Moment, end: Moment) -> Chain:
        """Where a place of the draft at `start` is at `end`, followed from each round between to the next."""
        name = (_key(place), start, end)
        if name not in self._chains:
            steps = [start, *self.between(start, end), end]
            if len(steps) > 2 and self.known_by(end) and self.known_by(end) == self.known_by(steps[-2]):
                del steps[-2]
            self._chains[name] = self._remembered_chain(place, steps) or self._followed_chain(place, steps)
        return self._chains[name]

    def _followed_chain(self, place: Place, steps: Sequence[Moment]) -> Chain:
        end = steps[-1]
        # A round whose content is not here is passed by.
        before = next((each for each in reversed(steps[1:-1]) if self.draft(each) is not None), steps[0])
        known = self.chain(place, steps[0], before) if before != steps[0] else Chain((place,))
        way = self.way(before, end)
        found = known.onward(way)
        draft = self.draft(end)
        name = self._chain_name(place, steps) if way is not None else None
        if name and draft is not None:
            self.memory[name] = spelled(found, draft, self._numbered(end, draft)[1])
        return found

    def _remembered_chain(self, place: Place, steps: Sequence[Moment]) -> Chain | None:
        name = self._chain_name(place, steps)
        word, draft = self.memory.get(name) if name else None, self.draft(steps[-1])
        if word is None or draft is None:
            return None
        return read_chain(word, draft, self._numbered(steps[-1], draft)[0], place)

    def _chain_name(self, place: Place, steps: Sequence[Moment]) -> str | None:
        """What a chain is remembered under: only one that ends with the newest round, or now if nothing changed since.
        Every draft that was looked at in between would push out what is known of pictures.
        """
        end, newest = steps[-1], self.newest(steps[-1].pass_name)
        if newest is None or (
            end != newest and (end.number is not None or self.known_by(end) != self.known_by(newest))
        ):
            return None
        return self._name(f"chain\n{_key(place)}", steps)

    def _numbered(self, moment: Moment, draft: Draft) -> tuple[Sequence[Line], dict[Line, int]]:
        """The lines of a draft, and where in it each is."""
        if moment not in self._lines:
            lines = draft.lines
            self._lines[moment] = lines, {line: n for n, line in enumerate(lines)}
        return self._lines[moment]

    def _name(self, question: str, moments: Sequence[Moment]) -> str | None:
        """What the answer to a question about some moments is remembered under; None where their content is not
        known."""
        several = tuple(moments)
        if several not in self._contents:
            keys = [self.known_by(moment) for moment in several]
            self._contents[several] = None if None in keys else _digest("\n".join(map(str, keys)))
        content = self._contents[several]
        return None if content is None else f"note-{_digest(question + content)[:40]}"

    def once(self, question: str, moments: Sequence[Moment], answer: Callable[[], bool]) -> bool:
        """The answer to a question about some moments, asked once for all time where their content is known."""
        name = self._name(question, moments)
        if name is None:
            return answer()
        if self.memory.get(name) not in ("yes", "no"):
            self.memory[name] = "yes" if answer() else "no"
        return self.memory[name] == "yes"

    def since(self, moment: Moment) -> list[Moment]:
        """The rounds of the same pass after this one, oldest first."""
        return [
            Moment(moment.pass_name, number)
            for number in self.shelf.numbers(moment.pass_name)
            if moment.number is not None and number > moment.number
        ]

    def is_there(self, moment: Moment) -> bool:
        """Whether it is one of the rounds that are asked about."""
        return moment.number is None or moment.number in self.shelf.numbers(moment.pass_name)

    def between(self, start: Moment, end: Moment) -> list[Moment]:
        """The rounds of the same pass after one moment and before another, oldest first; none on the way back."""
        return [each for each in self.since(start) if end.number is None or (each.number or 0) < end.number]

    def earlier(self, moment: Moment) -> Moment | None:
        """The round of the same pass before this one."""
        before = [n for n in self.shelf.numbers(moment.pass_name) if moment.number is not None and n < moment.number]
        return Moment(moment.pass_name, before[-1]) if before else None

    def newest(self, pass_name: str) -> Moment | None:
        """The newest round of a pass."""
        numbers = self.shelf.numbers(pass_name)
        return Moment(pass_name, numbers[-1]) if numbers else None


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _key(place: Place) -> str:
    """What tells a place of a draft from every other."""
    return (
        f"{place.kind} {place.told()} {[line.line for line in place.lines[:1]]} {[s.index for s in place.scenes[:1]]}"
    )
