"""Pixels that were left without colour in a page that is laid under line art (trade fact T-173).

Transparent is right outside the panels only. Where the panels were found on the line art, a transparent pixel is a
fault when it lies in one, further in than frames are wide, and no paper joins it to the ground around the panels; so is
a transparent patch that lies in a panel all of it. Where panels are unsure, a transparent patch must reach the page's
edge.

White is a colour too: balloons, snow and eyes are filled with it. In flats without transparency it is a gap only where
a whole patch of it lies under solid ink, in a panel where panels are known and away from the page's edge where not, and
no white that can be seen is near: nobody fills what nobody sees with white alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.pictures.returns.patches import Patches, patches

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Numbers = NDArray[Any]
    Mask = NDArray[np.bool_]

#: How far inside a panel's outline nothing is accused, in px of the small page that panels are looked for on (some 390
#: to 550 px across), where frames are 1 to 2 px wide.
_SLACK = 4
#: Below which tone ink hides what is under it.
_SOLID = 64
#: How far in px white that can be seen is near.
_NEAR = 4


class Bare(NamedTuple):
    """The first pixel without colour in reading order, from the left and the top from 0, and how many there are."""

    x: int
    y: int
    pixels: int


@dataclass(frozen=True)
class _Inside:
    """The small page: what lies in a panel, what lies well within one, and the ground with what is near it."""

    panel: Mask
    within: Mask
    ground: Mask
    near_ground: Mask

    def at(self, mask: Mask, y: Numbers, x: Numbers, shape: tuple[int, int]) -> Mask:
        """What a mask says of pixels of a page of this height and width."""
        import numpy as np

        high, wide = mask.shape
        return np.asarray(mask[y * high // shape[0], x * wide // shape[1]])

    def on(self, mask: Mask, found: Patches) -> Mask:
        """The runs that a mask marks any pixel of."""
        import numpy as np

        high, wide = mask.shape
        sums = np.zeros((high, wide + 1), dtype=np.int32)
        np.cumsum(mask, axis=1, out=sums[:, 1:])
        row = found.y * high // found.shape[0]
        first, last = found.left * wide // found.shape[1], (found.right - 1) * wide // found.shape[1]
        return np.asarray(sums[row, last + 1] > sums[row, first])


def uncoloured(
    alpha: Image.Image | None, line_art: Callable[[], Image.Image | None], white: Callable[[], Mask] | None
) -> Bare | None:
    """The pixels without colour of a decoded page with its `alpha` ("L"), None for a page that has none.

    `line_art` gives the decoded line art, and is only asked where it is needed; None where there is none of this size.
    `white` gives the pixels that are white, where white can be a gap, as in flats; None where it can't.
    """
    import numpy as np

    if alpha is not None:
        return _transparent(np.asarray(alpha) < 255, line_art())
    return _white(white(), line_art) if white else None


def half_transparent(alpha: Image.Image) -> Bare | None:
    """The pixels that are neither opaque nor transparent."""
    import numpy as np

    several = sum(alpha.histogram()[1:255])
    if not several:
        return None
    tones = np.asarray(alpha).ravel()
    y, x = divmod(int(np.argmax((tones > 0) & (tones < 255))), alpha.width)
    return Bare(x, y, several)


def _transparent(mask: Mask, lines: Image.Image | None) -> Bare | None:
    found = patches(mask)
    inside = _inside(lines) if lines is not None else None
    if inside is None:
        return _first(*found.kept(~found.at_edge()).pixels()[:2])
    bad = inside.within & ~inside.near_ground
    beyond, within, ground = (found.any(inside.on(m, found)) for m in (~inside.panel, inside.within, inside.ground))
    hole = ~found.at_edge() & ~beyond & (within | ~ground)
    found = found.of_runs(inside.on(bad, found) | hole[found.of])
    y, x, of = found.pixels()
    bare = inside.at(bad, y, x, found.shape) | hole[of]
    return _first(y[bare], x[bare])


def _white(mask: Mask, line_art: Callable[[], Image.Image | None]) -> Bare | None:
    import numpy as np

    found = patches(mask)
    found = found.kept(~found.at_edge())
    lines = line_art() if len(found.y) else None
    if lines is None:
        return None
    solid = np.asarray(lines.convert("L")) < _SOLID
    found = found.kept(~found.any(~solid[found.y, found.left]))
    y, x, of = found.pixels()
    hidden = found.whole(of, solid[y, x])
    if not hidden.any():
        return None
    found = found.kept(hidden)
    y, x, of = found.pixels()
    alone = ~_near(mask & ~solid, y, x)
    if alone.any() and (inside := _inside(lines)):
        alone &= inside.at(inside.within, y, x, found.shape)
    bare = found.whole(of, alone)[of]
    return _first(y[bare], x[bare])


def _near(seen: Mask, y: Numbers, x: Numbers) -> Mask:
    """Whether any pixel so marked lies within a few px of the places."""
    import numpy as np

    high, wide = seen.shape
    sums = np.zeros((high + 1, wide + 1), dtype=np.int32)
    np.cumsum(np.cumsum(seen, axis=0, dtype=np.int32), axis=1, out=sums[1:, 1:])
    top, bottom = np.maximum(y - _NEAR, 0), np.minimum(y + _NEAR + 1, high)
    left, right = np.maximum(x - _NEAR, 0), np.minimum(x + _NEAR + 1, wide)
    return np.asarray(sums[bottom, right] - sums[top, right] - sums[bottom, left] + sums[top, left] > 0)


def _inside(lines: Image.Image) -> _Inside | None:
    """What of the line art lies in panels; None where they can't be told for sure."""
    import numpy as np

    from ledger.pictures.layout.ground import grounds, small_tones
    from ledger.pictures.layout.panels import lay_out

    layout = lay_out(lines)
    if layout.map is None or layout.ruled or (layout.map == layout.map[0, 0]).all():
        return None
    owners = np.asarray(layout.map)
    _, ground = grounds(small_tones(lines))[0]
    around = patches(ground)
    outer = around.kept(around.at_edge())
    y, x, _ = outer.pixels()
    outside = np.zeros(owners.shape, dtype=bool)
    outside[y, x] = True
    within = (owners > 0) & (_spread(owners, np.maximum) == owners) & (_spread(owners, np.minimum) == owners)
    return _Inside(owners > 0, within, outside, _spread(outside, np.maximum))


def _spread(values: Numbers, choose: Callable[[Numbers, Numbers], Numbers]) -> Numbers:
    """The greatest (or least) value within the slack of each pixel."""
    import numpy as np

    for axis in (0, 1):
        wide = np.pad(values, [(_SLACK, _SLACK) if each == axis else (0, 0) for each in (0, 1)], mode="edge")
        long = values.shape[axis]
        spread = values
        for step in range(2 * _SLACK + 1):
            spread = choose(spread, wide.take(np.arange(step, step + long), axis))
        values = spread
    return np.asarray(values)


def _first(y: Numbers, x: Numbers) -> Bare | None:
    return Bare(int(x[0]), int(y[0]), len(y)) if len(y) else None
