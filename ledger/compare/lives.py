"""The life of a line: one line followed through a row of drafts by what was found between each and the next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from ledger.model.change import DraftChange, LineChange, SceneChange
from ledger.model.life import Life, Turn
from ledger.model.script import Line
from ledger.model.words import count_words, normalise

#: A line that was cut is known again by its words if it has so many; "Yes." comes and goes all the time.
TELLING = 3

#: What happened to a line, and the group of scenes in which it is told.
_Told = tuple[LineChange, SceneChange]


def lives_of(wanted: Iterable[tuple[int, Line]], changes: Sequence[DraftChange | None]) -> list[Life]:
    """The lives in which these lines stand, each once, in the order in which they are first met.

    `wanted` names lines by their place in the row of drafts, from 0. `changes[i]` leads from draft i to the next;
    None where nothing changed at all. A line that was cut and stands again later in the same words has one life.
    """
    ways = [_Way(change) for change in changes]
    born = dict.fromkeys(_birth(at, line, ways) for at, line in wanted)
    return _joined([_life(at, line, ways) for at, line in born])


@dataclass
class _Way:
    """From one draft to the next, looked up from either side."""

    change: DraftChange | None
    _by_old: dict[Line, _Told] = field(default_factory=dict)
    _by_new: dict[Line, _Told] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for scene in self.change.scenes if self.change else ():
            for told in scene.lines:
                if told.old:
                    self._by_old[told.old] = told, scene
                if told.new:
                    self._by_new[told.new] = told, scene

    def before(self, line: Line) -> Line | None:
        """The line's other self in the draft before."""
        return self._by_new[line][0].old if self.change else line

    def arrival(self, line: Line, at: int) -> Turn:
        """How a line came in."""
        return Turn(at, *self._by_new[line])

    def onward(self, line: Line, at: int) -> Turn:
        """What became of a line."""
        if self.change is None:
            return Turn(at, LineChange("same", line, line))
        told, scene = self._by_old[line]
        return Turn(at, told, scene, _renamed(told, self.change))


def _renamed(told: LineChange, change: DraftChange) -> tuple[str, str] | None:
    """The old and the new name of a speaker who was renamed throughout."""
    if told.old is None or told.new is None or told.old.speaker == told.new.speaker or told.kind == "reassigned":
        return None
    before, after = told.old.speaker.split(" & "), told.new.speaker.split(" & ")
    return next(((a, b) for a, b in change.cast.renamed if a in before and b in after), None)


def _birth(at: int, line: Line, ways: Sequence[_Way]) -> tuple[int, Line]:
    while at:
        before = ways[at - 1].before(line)
        if before is None:
            break
        at, line = at - 1, before
    return at, line


def _life(at: int, line: Line, ways: Sequence[_Way]) -> Life:
    turns = [ways[at - 1].arrival(line, at) if at else Turn(0, LineChange("added", None, line))]
    here: Line | None = line
    while here is not None and at < len(ways):
        at += 1
        turns.append(ways[at - 1].onward(here, at))
        here = turns[-1].change.new
    return Life(tuple(turns))


def _joined(lives: Sequence[Life]) -> list[Life]:
    """The same lives; where a line that had left came back in the same words, they are one."""
    found: list[Life] = []
    ended: dict[tuple[bool, str], list[int]] = {}
    for life in sorted(lives, key=lambda each: each.turns[0].at):
        gone = ended.get(_known_by(life.first), [])
        earlier = next((n for n in gone if found[n].turns[-1].at < life.turns[0].at), None)
        if earlier is None:
            found.append(life)
        else:
            gone.remove(earlier)
            found[earlier] = Life((*found[earlier].turns, replace(life.turns[0], back=True), *life.turns[1:]))
        if life.gone and count_words(life.last.text) >= TELLING:
            at = len(found) - 1 if earlier is None else earlier
            ended.setdefault(_known_by(life.last), []).append(at)
    return found


def _known_by(line: Line) -> tuple[bool, str]:
    """What a line that comes back is known by: its words, and whether they are lettered."""
    return line.lettered, normalise(line.text)
