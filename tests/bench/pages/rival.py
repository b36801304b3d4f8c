"""A naive rival: whatever differs by a few tones, looked at on a grid of two by three."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from tests.bench.pages.cases import Case
from tests.bench.pages.score import Answer

#: A field counts as changed where more than this share of its ink differs.
FEW, MUCH = 0.01, 1 / 3
GRID = (2, 3)


def rival(case: Case) -> Answer:
    """What pixel difference says."""
    old, new = (Image.open(io.BytesIO(side["1"])) for side in (case.old, case.new))
    before, after = (_grey(page) for page in (old, new.resize(old.size) if new.size != old.size else new))
    boxes = [(x / GRID[0], y / GRID[1], 1 / GRID[0], 1 / GRID[1]) for y in range(GRID[1]) for x in range(GRID[0])]
    shares = [_share(before, after, box) for box in boxes]
    changed = frozenset(n for n, share in enumerate(shares, 1) if share > FEW)
    kind = "same" if not changed else "redrawn" if max(shares) > MUCH else "touch-up"
    return Answer(kind, tuple(boxes), changed, tuple(boxes[n - 1] for n in changed))


def _grey(page: Image.Image) -> np.ndarray:
    if page.mode.startswith("I"):
        return np.asarray(page).astype(np.int32) // 257
    return np.asarray(page.convert("L"), dtype=np.int32)


def _share(before: np.ndarray, after: np.ndarray, box: tuple[float, float, float, float]) -> float:
    high, wide = before.shape
    part = (
        slice(int(box[1] * high), int((box[1] + box[3]) * high)),
        slice(int(box[0] * wide), int((box[0] + box[2]) * wide)),
    )
    a, b = 255 - before[part], 255 - after[part]
    return float(np.abs(a - b).sum() / max(1, np.maximum(a, b).sum()))
