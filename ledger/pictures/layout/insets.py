"""Frames drawn inside a panel, and lines that two panels share instead of a gutter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ledger.pictures.layout.strokes import MOST, Lines, Stroke, level_lines, rectangles, shared_line, strokes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]

Rectangle = tuple[int, int, int, int]

#: The tone under which something is inked, and how much lighter than a line what lies beside it is at least: beside a
#: shared line a panel, beside an inset's frame at times a night.
_INK, _BESIDE_SHARED, _BESIDE_INSET = 112, 45, 12
#: The thickest frame, the least panel beside a shared line, the least inset, how near lines must meet: parts of a
#: page's width.
_FRAME, _SHARED, _INSET, _NEAR = 0.014, 0.09, 0.11, 0.012
#: The least panel that insets are looked for in, as width and height, and the least inset as part of its panel.
_HOST, _LEAST = (0.4, 0.3), (0.27, 0.25)
#: The largest inset, as part of the panel, and which share of it is not inked at least.
_LARGEST, _CLEAR = 0.5, 0.05
#: Ends of strokes at corners that make a frame sure; by how many tones the sides of another one stand out.
_SURE, _STANDS_OUT = 7, 40
#: How much of what a frame holds is of another tone than most of it, in the dark and in the light, and by how much:
#: else it is a black or a white thing.
_DRAWN, _OTHER = (0.04, 0.015), 16


@dataclass(frozen=True)
class Drawing:
    """A small page's tones (paper 255, ink 0), how wide one page is in px, and which way it is read."""

    tones: NDArray[Any]
    unit: int
    rtl: bool
    _lines: dict[tuple[bool, int], Lines] = field(default_factory=dict)

    @cached_property
    def _reach(self) -> int:
        return max(4, round(_FRAME * self.unit))

    def _along(self, lighter: int, *, upright: bool) -> Lines:
        """The level lines, or the upright ones turned."""
        key = upright, lighter
        if key not in self._lines:
            tones = self.tones.T if upright else self.tones
            self._lines[key] = level_lines(tones, _INK, self._reach, lighter)
        return self._lines[key]

    def framed(self, box: Rectangle) -> bool:
        """Whether a box (left, top, right, bottom) has a frame on three sides at least."""
        left, top, right, bottom = box
        return sum(side > 0.9 for side in along_sides(self.tones[top:bottom, left:right] < _INK)) >= 3

    def shared(self, box: Rectangle) -> list[Rectangle]:
        """The panels of a box that lines part, in reading order; the box alone where none does."""
        left, top, right, bottom = box
        across, down = slice(left, right), slice(top, bottom)
        away = round(_SHARED * self.unit)
        rows = shared_line(self._along(_BESIDE_SHARED, upright=False).part(down, across), away)
        if rows:
            parts = [(left, top, right, top + rows[1]), (left, top + rows[0], right, bottom)]
        else:
            columns = shared_line(self._along(_BESIDE_SHARED, upright=True).part(across, down), away)
            if not columns:
                return [box]
            parts = [
                (left, top, left + columns[1], bottom),
                (left + columns[0], top, right, bottom),
            ]
            if self.rtl:
                parts.reverse()
        return [each for part in parts for each in self.shared(part)]

    def insets(self, box: Rectangle) -> list[Rectangle]:
        """The frames drawn inside a panel, in reading order."""
        left, top, right, bottom = box
        wide, high = right - left, bottom - top
        if wide < _HOST[0] * self.unit or high < _HOST[1] * self.unit:
            return []
        least = (
            round(max(_INSET * self.unit, _LEAST[0] * wide)),
            round(max(_INSET * self.unit, _LEAST[1] * high)),
        )
        near = max(4, round(_NEAR * self.unit))
        across, down = slice(left, right), slice(top, bottom)
        upright = strokes(self._along(_BESIDE_INSET, upright=True).part(across, down), least[1] - near)
        sides = [stroke for stroke in upright if near <= stroke.place < wide - near]
        if len(upright) > MOST or not _may_close(sides, least[0], 2 * near):
            return []
        level = strokes(self._along(_BESIDE_INSET, upright=False).part(down, across), least[0] - near)
        found = rectangles(level, sides, least, near) if len(level) <= MOST else []
        chosen: list[Rectangle] = []
        for met, each in found:
            inner = min(each[0], each[1], wide - each[2], high - each[3]) > self._reach
            fits = inner and self._fits((left, top), each, wide * high, sure=met >= _SURE)
            if fits and not any(_meet(each, other) for other in chosen):
                chosen.append(each)
        chosen.sort(key=lambda r: (r[1], -r[0] if self.rtl else r[0]))
        return [(left + a, top + b, left + c, top + d) for a, b, c, d in chosen]

    def _fits(self, corner: tuple[int, int], inset: Rectangle, area: int, *, sure: bool) -> bool:
        """Whether a frame is no more than half of its panel and holds a drawing; one that is not sure must stand out
        on every side, and be no night."""
        import numpy as np

        left, top, right, bottom = (side + corner[n % 2] for n, side in enumerate(inset))
        inside = self.tones[top:bottom, left:right]
        if inside.size >= _LARGEST * area:
            return False
        inner = inside[self._reach : -self._reach, self._reach : -self._reach].astype(np.int16)
        clear = bool((inside >= _INK).mean() > _CLEAR)
        drawn = (np.abs(inner - int(np.median(inner))) > _OTHER).mean() > _DRAWN[clear]
        return bool(drawn) and (sure or (clear and self._stands_out((left, top, right, bottom)) > _STANDS_OUT))

    def _stands_out(self, box: Rectangle) -> float:
        """By how many tones each side of a frame is darker at least than what lies along it: a texture is even."""
        left, top, right, bottom = box
        level, upright = self.tones[:, left:right], self.tones[top:bottom].T
        found = []
        for rows, place in ((level, top), (level, bottom - 1), (upright, left), (upright, right - 1)):
            near = min(place, self._reach)
            along = rows[place - near : place + self._reach + 1].mean(axis=1)
            found.append(float(along.max() - along[near - 1 : near + 2].min()))
        return min(found)


def _may_close(sides: Sequence[Stroke], wide: int, near: int) -> bool:
    """Whether any two upright strokes may be sides of one frame: they begin or end beside each other."""
    return any(
        right.place - left.place >= wide
        and (abs(left.first - right.first) <= near or abs(left.last - right.last) <= near)
        for left in sides
        for right in sides
    )


def _meet(a: Rectangle, b: Rectangle) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def along_sides(drawn: Mask) -> Sequence[float]:
    """How much of each side of a mask is drawn: top, bottom, left, right."""
    return [_most(side) for side in (drawn[:4], drawn[-4:], drawn[:, :4].T, drawn[:, -4:].T)]


def _most(rows: NDArray[Any]) -> float:
    return float(rows.any(axis=0).mean()) if rows.size else 0.0
