"""Holds an answer about two rounds of a page against the truth. Strict: half right is wrong."""

from __future__ import annotations

import statistics
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from tests.bench.pages.cases import Truth
from tests.bench.pages.plan import BORDERED, Box

#: The least overlap at which a box is said to be the panel's.
MEANT = 0.5


@dataclass(frozen=True)
class Answer:
    """What is said of page "1": its kind, the panels of the new page, which of them changed (from 1)."""

    kind: str
    panels: tuple[Box, ...]
    changed: frozenset[int]
    changed_boxes: tuple[Box, ...] = ()


@dataclass
class Share:
    """So many of so many."""

    right: int = 0
    all: int = 0

    def tell(self, right: bool) -> None:
        """Counts one."""
        self.right += right
        self.all += 1

    def __str__(self) -> str:
        return f"{self.right / self.all:.3f} of {self.all}" if self.all else "-"


@dataclass
class Score:
    """Figures by name, kinds by page kind, change and disturbance; `wrong` says in words what went wrong."""

    figures: dict[str, Share] = field(default_factory=lambda: defaultdict(Share))
    overlaps: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def add(self, seed: int, answer: Answer, truth: Truth) -> None:
        """Scores one answer."""
        right = answer.kind == truth.kind
        self.figures["kind right"].tell(right)
        for name in (f"page: {truth.page_kind}", f"change: {truth.change}", f"disturbance: {truth.disturbance}"):
            self.figures[name].tell(right)
        if truth.kind == "same":
            self.figures["false change on same"].tell(answer.kind != "same")
        else:
            self.figures["kind right, changed pages"].tell(right)
            self.figures["missed change"].tell(answer.kind == "same")
        exact = self._changed(answer, truth)
        count = self._panels(answer, truth)
        if not right or not exact or not count:
            said = f"{answer.kind} {sorted(answer.changed)}, {len(answer.panels)} panels"
            true = f"{truth.kind} {sorted(truth.changed)}, {len(truth.panels)} panels"
            self.wrong.append(f"{seed} {truth.page_kind}, {truth.style}, {truth.disturbance}: {said}; true: {true}")

    def _changed(self, answer: Answer, truth: Truth) -> bool:
        """The changed panels, by index and by place; and the cries over panels nobody touched."""
        exact = answer.changed == truth.changed and all(
            any(overlap(truth.panels[n - 1], box) >= MEANT for box in answer.changed_boxes) for n in truth.changed
        )
        if truth.kind in ("touch-up", "redrawn"):
            self.figures["changed panels exact"].tell(exact)
        if truth.kind in ("same", "touch-up", "redrawn"):
            for n, box in enumerate(truth.panels, 1):
                if n not in truth.changed:
                    cried = any(
                        _covered(box, said) >= MEANT or overlap(box, said) >= MEANT for said in answer.changed_boxes
                    )
                    self.figures["cried over an untouched panel"].tell(cried)
        return exact or truth.kind not in ("touch-up", "redrawn")

    def _panels(self, answer: Answer, truth: Truth) -> bool:
        right = len(answer.panels) == len(truth.panels)
        self.figures["panel count right"].tell(right)
        self.figures[f"panels: {truth.page_kind}"].tell(right)
        if truth.page_kind in BORDERED:
            self.figures["panel count right, bordered"].tell(right)
        pairs = zip(answer.panels, truth.panels, strict=True) if right else ()
        overlaps = [overlap(said, true) for said, true in pairs] or [0.0] * len(truth.panels)
        self.overlaps += overlaps
        self.figures["reading order right"].tell(right and min(overlaps) >= MEANT)
        return right

    @property
    def overlap(self) -> float:
        """The median overlap of a panel with the one said under its number; 0 where the count is wrong."""
        return statistics.median(self.overlaps) if self.overlaps else 0.0


def overlap(a: Box, b: Box) -> float:
    """Common area of two boxes over the area of both together."""
    common = _common(a, b)
    both = a[2] * a[3] + b[2] * b[3] - common
    return common / both if both > 0 else 0.0


def _covered(a: Box, b: Box) -> float:
    return _common(a, b) / (a[2] * a[3]) if a[2] * a[3] else 0.0


def _common(a: Box, b: Box) -> float:
    wide = min(a[0] + a[2], b[0] + b[2]) - max(a[0], b[0])
    high = min(a[1] + a[3], b[1] + b[3]) - max(a[1], b[1])
    return max(0.0, wide) * max(0.0, high)


def table(columns: dict[str, Score]) -> str:
    """The figures as Markdown."""
    names = sorted({name for score in columns.values() for name in score.figures}, key=_in_order)
    rows = [["", *columns], ["median overlap", *(f"{score.overlap:.3f}" for score in columns.values())]]
    rows += [[name, *(str(score.figures[name]) for score in columns.values())] for name in names]
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    lines = ["| " + " | ".join(cell.ljust(wide) for cell, wide in zip(row, widths, strict=True)) + " |" for row in rows]
    return "\n".join([lines[0], "|" + "|".join("-" * (wide + 2) for wide in widths) + "|", *lines[1:]])


def _in_order(name: str) -> tuple[Sequence[bool], str]:
    return ((":" in name,), name)
