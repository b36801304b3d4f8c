"""`python -m tests.bench.pages.cost`: what finding the panels of a page of 2000 x 3000 px costs beside decoding its
PNG, in processor time, the least of four times each."""

from __future__ import annotations

import io
import random
import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PIL import Image

from ledger.pictures.files.decode import decode
from ledger.pictures.layout.panels import lay_out
from tests.bench.pages.draw import STYLES, draw_page
from tests.bench.pages.files import saved
from tests.bench.pages.plan import make_plan

SIZE = (2000, 3000)
KINDS = ("grid", "slanted", "bleed", "inset", "crossing", "black")


def least(work: Callable[[], object], times: int = 4) -> float:
    """Seconds of the processor."""
    took = []
    for _ in range(times):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return min(took)


def _plain(data: bytes) -> object:
    return Image.open(io.BytesIO(data)).load()


def main() -> None:
    """Prints milliseconds and ratios for each way of drawing."""
    for style in STYLES:
        rows = []
        for seed, kind in enumerate(KINDS):
            data = saved(draw_page(replace(make_plan(kind, random.Random(seed)), size=SIZE), style), "png")
            page = decode(data)
            plain = least(partial(_plain, data))
            rows.append((plain, least(partial(lay_out, page))))
        plain, panels = (statistics.median(column) * 1000 for column in zip(*rows, strict=True))
        ratio = statistics.median(found / decoded for decoded, found in rows)
        print(f"{style}: decoded in {plain:.0f} ms, panels found in {panels:.0f} ms, {ratio:.2f} plain decodes")


if __name__ == "__main__":
    main()
