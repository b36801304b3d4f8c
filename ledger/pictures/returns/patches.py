"""Patches of a mask: pixels that hang together, corners included, found from their runs along rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[Any]
    Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Patches:
    """Runs in reading order, an array each: row, first column, the column after the last, and number of the patch.

    Patches are numbered from 0 to `count` - 1 in the order of their first pixels; `shape` is that of the mask.
    """

    y: Numbers
    left: Numbers
    right: Numbers
    of: Numbers
    count: int
    shape: tuple[int, int]

    def any(self, runs: Mask) -> Mask:
        """The patches that have any of the runs so marked."""
        import numpy as np

        found = np.zeros(self.count, dtype=bool)
        found[self.of[runs]] = True
        return found

    def at_edge(self) -> Mask:
        """The patches that reach an edge of the mask."""
        high, wide = self.shape
        return self.any((self.y == 0) | (self.y == high - 1) | (self.left == 0) | (self.right == wide))

    def kept(self, patches: Mask) -> Patches:
        """Some of the patches, numbered as before."""
        return self.of_runs(patches[self.of])

    def of_runs(self, own: Mask) -> Patches:
        """Some of the runs, their patches numbered as before."""
        return Patches(self.y[own], self.left[own], self.right[own], self.of[own], self.count, self.shape)

    def pixels(self) -> tuple[Numbers, Numbers, Numbers]:
        """Rows, columns and patches of all pixels, in reading order."""
        import numpy as np

        long = self.right - self.left
        before = np.cumsum(long) - long
        x = np.arange(long.sum()) - np.repeat(before - self.left, long)
        return np.repeat(self.y, long), x, np.repeat(self.of, long)

    def whole(self, of: Numbers, pixels: Mask) -> Mask:
        """The patches all pixels of which are marked; `of` are the patches of the pixels as `pixels()` gives them."""
        import numpy as np

        found = np.zeros(self.count, dtype=bool)
        found[of] = True
        found[of[~pixels]] = False
        return found


def patches(mask: Mask) -> Patches:
    """The patches of a mask of rows."""
    import numpy as np

    high, wide = mask.shape
    framed = np.zeros((high, wide + 2), dtype=bool)
    framed[:, 1:-1] = mask
    flat = framed.ravel()
    ends = np.flatnonzero(flat[1:] != flat[:-1])
    y, left = divmod(ends[::2], wide + 2)
    right = ends[1::2] - y * (wide + 2)
    of = _joined(len(y), *_touching(y, left, right, wide + 2))
    firsts, of = np.unique(of, return_inverse=True)
    return Patches(y, left, right, of, len(firsts), (high, wide))


def _touching(y: Numbers, left: Numbers, right: Numbers, wide: int) -> tuple[Numbers, Numbers]:
    """Pairs of runs that touch: one, and one in the row below."""
    import numpy as np

    below = (y + 1) * wide
    first = np.searchsorted(y * wide + right, below + left, "left")
    after = np.searchsorted(y * wide + left, below + right, "right")
    several = np.maximum(after - first, 0)
    one = np.repeat(np.arange(len(y)), several)
    other = np.arange(several.sum()) - np.repeat(np.cumsum(several) - several - first, several)
    return one, other


def _joined(count: int, one: Numbers, other: Numbers) -> Numbers:
    """The least run of each patch, for each of its runs."""
    import numpy as np

    least = np.arange(count)
    while True:
        a, b = least[one], least[other]
        apart = a != b
        if not apart.any():
            return least
        one, other, a, b = one[apart], other[apart], a[apart], b[apart]
        np.minimum.at(least, np.maximum(a, b), np.minimum(a, b))
        while (nearer := least[least]).tobytes() != least.tobytes():
            least = nearer
