"""`python -m tests.bench.pages.stages [--pages 10]`: where the time of a comparison goes, stage by stage.

Pages of 2000 x 3000 px in lines, tones and colour are decoded and compared in this process; what each stage took is
processor time, of the best of three runs, as a multiple of a plain decode of both sides.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from typing import Any

from ledger.pictures.files.decode import decode
from ledger.pictures.layout import panels
from ledger.pictures.rounds import align, differences, pair
from tests.bench.pages.cost import _plain, least
from tests.bench.pages.files import _rescaled, saved
from tests.bench.rounds import page

#: The functions that are stages, in the order in which they come; each is looked up in its module when it is called.
TIMED: Mapping[str, tuple[Any, str]] = {
    "equal pixels": (pair, "same_pixels"), "difference": (differences, "differences"), "align": (align, "fitted"),
    "panels": (panels, "lay_out"),
}  # fmt: skip
STAGES = ("decode", "equal pixels", "reduce", "align", "difference", "panels", "verdict")
DEEDS = ("saved anew", "one local change a page", "all shifted", "all rescaled")
TIMES = 3


@contextmanager
def timed(spans: list[tuple[str, float, float]]) -> Iterator[None]:
    """Puts down when each stage begins and ends."""
    plain = {name: getattr(*place) for name, place in TIMED.items()}
    for name, (module, function) in TIMED.items():
        setattr(module, function, _noted(name, plain[name], spans))
    try:
        yield
    finally:
        for name, (module, function) in TIMED.items():
            setattr(module, function, plain[name])


def _noted(name: str, work: Callable[..., Any], spans: list[tuple[str, float, float]]) -> Callable[..., Any]:
    def noted(*given: Any, **named: Any) -> Any:
        start = time.process_time()
        try:
            return work(*given, **named)
        finally:
            spans.append((name, start, time.process_time()))

    return noted


def took(old: bytes, new: bytes) -> dict[str, float]:
    """Seconds of the processor by stage; the pictures are brought down between the first look and the second."""
    spans: list[tuple[str, float, float]] = []
    with timed(spans):
        start = time.process_time()
        sides = decode(old), decode(new)
        decoded = time.process_time()
        pair.verdict(*sides)
        end = time.process_time()
    stages = dict.fromkeys(STAGES, 0.0)
    for name, begun, done in spans:
        stages[name] += done - begun
    ends = {name: done for name, _, done in spans}
    second = min((begun for name, begun, _ in spans if name == "difference"), default=ends["equal pixels"])
    stages |= {"decode": decoded - start, "reduce": second - ends["equal pixels"]}
    stages["difference"] -= stages["align"]
    stages["verdict"] = end - start - sum(stages.values())
    return stages


def _made(number: int) -> dict[str, bytes]:
    """A page as it was, and after each deed."""
    each = page(number)
    return each | {"all rescaled": saved(_rescaled(decode(each["old"]), random.Random(number)), "png")}


def main() -> None:
    """Prints a row for each deed."""
    parser = argparse.ArgumentParser("python -m tests.bench.pages.stages", description=__doc__)
    parser.add_argument("--pages", type=int, default=10, help="how many pages, one of each kind in turn")
    pages = [_made(number) for number in range(parser.parse_args().pages)]
    print("| | " + " | ".join(STAGES) + " | all |\n|" + "---|" * (len(STAGES) + 2))
    for deed in DEEDS:
        plain, total = 0.0, dict.fromkeys(STAGES, 0.0)
        for each in pages:
            runs = [took(each["old"], each[deed]) for _ in range(TIMES)]
            best = min(runs, key=lambda run: sum(run.values()))
            total = {name: total[name] + best[name] for name in STAGES}
            plain += sum(least(partial(_plain, each[side]), TIMES) for side in ("old", deed))
        cells = [*(total[name] for name in STAGES), sum(total.values())]
        print(f"| {deed} | " + " | ".join(f"{cell / plain:.2f}" for cell in cells) + " |")


if __name__ == "__main__":
    main()
