"""Holds what `notes list` says against the truth. Strict: half right is wrong."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ledger.read.anchors import read_anchor
from tests.bench.notes.asked import Note, Spot
from tests.bench.pages.score import Share

#: The least (or, for alarms and silence, the most) that each figure may be.
GOALS = {"evidence right": 0.97, "standing right": 0.98, "places now right": 0.98, "false alarms": 0.01,
         "wrong silently": 0.0}  # fmt: skip
_MOST = ("false alarms", "wrong silently")


@dataclass
class Score:
    """Figures by name; `wrong` says in words what went wrong."""

    figures: dict[str, Share] = field(default_factory=lambda: defaultdict(Share))
    wrong: list[str] = field(default_factory=list)

    def add(self, where: str, note: Note, said: Mapping[str, Any]) -> None:
        """Scores what is said of one note."""
        evidence = said["evidence"] in note.now.evidence
        then = _spot(said["place_then"]) == note.then or note.kind == "chapter"
        now = _now_right(note, said)
        standing = _standing_right(note, said["standing"])
        self.figures["notes"].tell(True)
        self.figures["evidence right"].tell(evidence)
        self.figures[f"evidence: {note.kind}"].tell(evidence)
        self.figures["places then right"].tell(then)
        self.figures["places now right"].tell(now)
        if note.candidates:
            self.figures["candidates right"].tell(len(said["candidates"]) == min(20, note.candidates))
        if standing is not None:
            self.figures["standing right"].tell(standing)
            self.figures[f"standing: {note.state}"].tell(standing)
            if not note.standing and note.beside is False:
                self.figures["false alarms"].tell(bool(said["standing"]))
        quiet = not said["standing"] and said["evidence"] != "unplaced"
        missed = standing is False and quiet
        silent = quiet and (not then or not now or missed)
        self.figures["wrong silently"].tell(silent)
        if not (evidence and then and now) or standing is False:
            kind = "SILENT " if silent else ""
            self.wrong.append(
                f"{kind}{where} {note.kind}, {note.state}: {said['place_then']} -> {said['place_now']}, "
                f"{said['evidence']}, {said['standing']}; true: {note.then} -> {_few(note)}, "
                f"{'/'.join(sorted(note.now.evidence))}, {sorted(note.standing or [])}, beside {note.beside}"
            )

    def table(self) -> str:
        """The figures, those with a goal first."""
        rows = []
        for name in [*GOALS, *sorted(set(self.figures) - set(GOALS))]:
            share = self.figures[name]
            goal = f"  (goal: at {'most' if name in _MOST else 'least'} {GOALS[name]})" if name in GOALS else ""
            # One in thousands must not be read as none.
            count = f"  {share.right} of them" if name in _MOST and share.right else ""
            rows.append(f"{name:28} {share}{goal}{count}")
        return "\n".join(rows)

    def falls_short(self) -> list[str]:
        """Figures that miss their goal."""
        shares = {name: self.figures[name].right / max(1, self.figures[name].all) for name in GOALS}
        return [n for n, share in shares.items() if (share > GOALS[n] if n in _MOST else share < GOALS[n])]


def _few(note: Note) -> list[Spot]:
    return sorted(note.now.spots, key=str)[:3]


def _spot(told: str | None) -> Spot:
    anchor = read_anchor(told) if told else None
    return (anchor.page or "", anchor.panel or 0, anchor.scene or "") if anchor else None


def _now_right(note: Note, said: Mapping[str, Any]) -> bool:
    if note.kind == "chapter":
        return True
    told = _spot(said["place_now"])
    return told in note.now.spots and (told is None) == (said["evidence"] in ("cut", "unplaced") or note.whole)


def _standing_right(note: Note, said: list[str]) -> bool | None:
    """Whether what asks for a person is right; None where that can be seen either way."""
    if note.standing is None:
        return None
    told = set(said) - {"two-on-one-spot"}
    beside = note.beside is None or ("two-on-one-spot" in said) == note.beside
    return told == note.standing and beside
