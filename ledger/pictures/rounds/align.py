"""Lays one picture over another: how far tiles of it have moved, by phase correlation, and what most of them agree on.

Phase correlation after Kuglin and Hines, "The phase correlation image alignment method" (1975).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image

Box = tuple[float, float, float, float]

#: The most that what is drawn is taken to have grown or shrunk, and by how much tiles may differ from the rest, in px.
_MOST_SCALE, _AGREE = 0.07, 1.2
#: Tiles that must agree, and the least share of all that can be read.
_ENOUGH, _PART = 4, 0.25


class Fit(NamedTuple):
    """What is at (x, y) in the old picture is at (x + across[0] x + across[1], y + down[0] y + down[1]) in the new."""

    across: tuple[float, float] = (0.0, 0.0)
    down: tuple[float, float] = (0.0, 0.0)

    @property
    def still(self) -> bool:
        """Whether nothing moved."""
        return self == Fit()

    def moved(self, box: Box, size: tuple[int, int]) -> Box:
        """Where a box lies in the new picture; boxes are parts of the page: left, top, width, height."""
        left, top, wide, high = box
        (grown, right), (taller, lower) = self.across, self.down
        x, until_x = _within(left * (1 + grown) + right / size[0], wide * (1 + grown))
        y, until_y = _within(top * (1 + taller) + lower / size[1], high * (1 + taller))
        return (x, y, until_x - x, until_y - y)


def _within(start: float, length: float) -> tuple[float, float]:
    """A stretch's ends, as far as they lie on the page."""
    return min(1.0, max(0.0, start)), min(1.0, max(0.0, start + length))


def fitted(old: Image.Image, new: Image.Image, most: float) -> Fit | None:
    """How a grey picture has moved against an older one of the same size.

    None where it lies there already, nowhere, or was moved: in a picture that was only scaled something stays within
    `most` px of its place.
    """
    rough = _fit(old.reduce(4), new.reduce(4), 96, Fit())
    start = Fit((rough.across[0], 4 * rough.across[1]), (rough.down[0], 4 * rough.down[1])) if rough else Fit()
    fine = _fit(old, _moved(new, start), 160, start)
    fit = fine or start
    near = all(_stays(move, side) <= most for move, side in zip((fit.across, fit.down), old.size, strict=True))
    return None if fit.still or not near else fit


def laid_upon(old: Image.Image, new: Image.Image, fit: Fit) -> Image.Image:
    """The new picture laid over the old one; what it does not cover is as it was, since nobody can tell."""
    whole, laid = old.copy(), _moved(new, fit)
    (left, right), (top, bottom) = (
        (max(0, math.ceil(-move[1] / (1 + move[0])) + 1), min(side, math.floor((side - move[1]) / (1 + move[0])) - 1))
        for move, side in zip((fit.across, fit.down), old.size, strict=True)
    )
    if left < right and top < bottom:
        whole.paste(laid.crop((left, top, right, bottom)), (left, top))
    return whole


def _stays(move: tuple[float, float], side: int) -> float:
    """How far the point that moved least has moved along one axis."""
    ends = (move[1], move[1] + move[0] * side)
    return 0.0 if ends[0] * ends[1] <= 0 else min(abs(end) for end in ends)


def _moved(new: Image.Image, fit: Fit) -> Image.Image:
    """The picture as it would lie had nothing moved; what comes from beyond its edges is white."""
    from PIL import Image, ImageOps

    if fit.still:
        return new
    left, top = (move[1] - move[0] / 2 for move in (fit.across, fit.down))
    box = (left, top, left + (1 + fit.across[0]) * new.width, top + (1 + fit.down[0]) * new.height)
    beyond = math.ceil(max(0.0, -box[0], -box[1], box[2] - new.width, box[3] - new.height))
    sheet = ImageOps.expand(new, beyond, 255)
    here = (box[0] + beyond, box[1] + beyond, box[2] + beyond, box[3] + beyond)
    # Much quicker than a transform by a matrix, and the same where nothing turns.
    return sheet.resize(new.size, Image.Resampling.BICUBIC, box=here)


def _fit(old: Image.Image, new: Image.Image, tile: int, start: Fit) -> Fit | None:
    """What most tiles agree on, on top of `start`; None where too few do."""
    import numpy as np

    a, b = (np.asarray(page, dtype=np.float32) for page in (old, new))
    if min(a.shape) < tile:
        tile = min(a.shape) // 2
    if tile < 24:
        return None
    points, moves = _tiles(a, b, tile)
    if len(points) < _ENOUGH:
        return None
    across, down = (_agreed(points[:, axis], moves[:, axis]) for axis in (0, 1))
    if across is None or down is None:
        return None
    return Fit(_after(start.across, across), _after(start.down, down))


def _after(first: tuple[float, float], then: tuple[float, float]) -> tuple[float, float]:
    """Two moves as one: x -> x + then(x), and what stands there -> by first."""
    return ((1 + first[0]) * (1 + then[0]) - 1, first[1] + then[1] * (1 + first[0]))


def _tiles(a: NDArray[Any], b: NDArray[Any], tile: int) -> tuple[NDArray[Any], NDArray[Any]]:
    """Middles of tiles that show something, and how far each moved."""
    import numpy as np

    window = np.outer(np.hanning(tile), np.hanning(tile)).astype(np.float32)
    high, wide = a.shape
    rows, columns = (
        np.linspace(0, side - tile, max(2, min(6, round(1.4 * side / tile)))).astype(int) for side in (high, wide)
    )
    points, moves = [], []
    for top in rows.tolist():
        for left in columns.tolist():
            one, other = (page[top : top + tile, left : left + tile] for page in (a, b))
            if one.std() < 12 or other.std() < 12:
                continue
            points.append((left + tile / 2, top + tile / 2))
            moves.append(_move((one - one.mean()) * window, (other - other.mean()) * window))
    return np.array(points).reshape(-1, 2), np.array(moves).reshape(-1, 2)


def _move(one: NDArray[Any], other: NDArray[Any]) -> tuple[float, float]:
    """How far the second tile's drawing lies from the first's, in px to a fraction."""
    import numpy as np

    crossed = np.fft.rfft2(one) * np.conj(np.fft.rfft2(other))
    peaks = np.fft.irfft2(crossed / np.maximum(np.abs(crossed), 1e-6) ** 0.8, s=one.shape)
    row, column = np.unravel_index(int(np.argmax(peaks)), peaks.shape)
    size = one.shape[0]
    offsets = []
    for at, line in ((int(column), peaks[row]), (int(row), peaks[:, column])):
        before, here, after = line[at - 1], line[at], line[(at + 1) % size]
        bend = before - 2 * here + after
        part = 0.5 * (before - after) / bend if bend < 0 else 0.0
        offsets.append(-(((at + size // 2) % size) - size // 2 + float(part)))
    return offsets[0], offsets[1]


def _agreed(places: NDArray[Any], moves: NDArray[Any]) -> tuple[float, float] | None:
    """Scale and shift along one axis on which most tiles agree: every pair proposes, all vote, the winners fit."""
    import numpy as np

    first, second = np.triu_indices(len(places), 1)
    apart = places[second] - places[first]
    far = np.abs(apart) > 0.15 * max(1.0, float(np.ptp(places)))
    slopes = (moves[second] - moves[first])[far] / apart[far]
    shifts = moves[first][far] - slopes * places[first][far]
    slopes, shifts = np.append(slopes, np.zeros(len(moves))), np.append(shifts, moves)
    likely = np.abs(slopes) < _MOST_SCALE
    slopes, shifts = slopes[likely], shifts[likely]
    off = np.abs(moves[None, :] - slopes[:, None] * places[None, :] - shifts[:, None])
    votes = (off < _AGREE).sum(axis=1) - off.clip(max=_AGREE).mean(axis=1)
    best = int(np.argmax(votes))
    with_it = off[best] < _AGREE
    if with_it.sum() < max(_ENOUGH, _PART * len(places)):
        return None
    if np.ptp(places[with_it]) < max(1.0, 0.3 * np.ptp(places)):
        return 0.0, float(np.median(moves[with_it]))
    slope, shift = np.polyfit(places[with_it], moves[with_it], 1)
    return float(slope), float(shift)
