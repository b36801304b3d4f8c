"""Whether a colour is one that mixing makes: of the two colours on both sides of it, or of three that meet.

Mixing follows a straight line, as the file has the tones or in linear light (IEC 61966-2-1). Colours are rows of one or
three channels; what rounding to 8 bits may add to them is allowed for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[Any]
    Mask = NDArray[np.bool_]

#: What rounding may add to a channel of a mix of colours that may be rounded mixes themselves.
_ROUNDED = 1.5


def mixes_of_two(a: Numbers, c: Numbers, b: Numbers) -> Mask:
    """Whether each `c` lies strictly between `a` and `b`."""
    import numpy as np

    if not len(c):
        return np.zeros(0, dtype=bool)
    a, c, b = (_channels(each) for each in (a, c, b))
    widest = np.abs(b - a).argmax(axis=1)[:, None]
    straight = _on_line(a, c, b, widest)
    light = _on_line(_linear(a), _linear(c), _linear(b), widest, own=c)
    return np.asarray(straight | light)


def _on_line(a: Numbers, c: Numbers, b: Numbers, widest: Numbers, own: Numbers | None = None) -> Mask:
    """The same in one of both ways; `own` are the tones of `c` where the others are light."""
    import numpy as np

    start, span = np.take_along_axis(a, widest, 1), np.take_along_axis(b - a, widest, 1)
    share = (np.take_along_axis(c, widest, 1) - start) / np.where(span == 0, 1, span)
    inside = (share[:, 0] > 0) & (share[:, 0] < 1) & (span[:, 0] != 0)
    return np.asarray(inside & _rounds_to(a + share * (b - a), c, own))


def mixes_of_three(a: Numbers, b: Numbers, d: Numbers, c: Numbers) -> Mask:
    """Whether each `c` lies strictly inside the triangle of three colours."""
    import numpy as np

    if not len(c) or c.dtype == np.uint8:
        return np.zeros(len(c), dtype=bool)
    a, b, d, c = (_channels(each) for each in (a, b, d, c))
    straight = _in_triangle(a, b, d, c)
    light = _in_triangle(_linear(a), _linear(b), _linear(d), _linear(c), own=c)
    return np.asarray(straight | light)


def _in_triangle(a: Numbers, b: Numbers, d: Numbers, c: Numbers, own: Numbers | None = None) -> Mask:
    """Shares by least squares: two equations in two unknowns."""
    import numpy as np

    one, two, point = b - a, d - a, c - a
    aa, bb, ab = ((x * y).sum(axis=1) for x, y in ((one, one), (two, two), (one, two)))
    ap, bp = (one * point).sum(axis=1), (two * point).sum(axis=1)
    area = aa * bb - ab * ab
    flat = area <= 1e-6 * aa * bb
    area = np.where(flat, 1, area)
    first, second = (bb * ap - ab * bp) / area, (aa * bp - ab * ap) / area
    inside = ~flat & (first > 0) & (second > 0) & (first + second < 1)
    return np.asarray(inside & _rounds_to(a + first[:, None] * one + second[:, None] * two, c, own))


def _rounds_to(meant: Numbers, c: Numbers, own: Numbers | None) -> Mask:
    import numpy as np

    if own is not None:
        meant, c = _tones(np.clip(meant, 0, 1)), own
    return np.asarray((np.abs(meant - c) <= _ROUNDED).all(axis=1))


def _channels(colours: Numbers) -> Numbers:
    import numpy as np

    if colours.dtype == np.uint8:
        return colours[:, None].astype(np.float32)
    return np.stack([(colours >> shift & 255).astype(np.float32) for shift in (0, 8, 16)], axis=1)


def _linear(tones: Numbers) -> Numbers:
    """Tones as light from 0 to 1 (IEC 61966-2-1)."""
    import numpy as np

    parts = tones / 255
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def _tones(light: Numbers) -> Numbers:
    import numpy as np

    return np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055) * 255
