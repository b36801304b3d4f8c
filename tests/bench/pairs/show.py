"""`python -m tests.bench.pairs.show --seed 3 --size 90 --intensity hard`: what was said wrong of a pair, in words.

Scenes are shown whole with `--scenes old12 new14`.
"""

from __future__ import annotations

import argparse
import re

from tests.bench.pairs.generate import INTENSITIES, Pair, make_pair
from tests.bench.pairs.run import ours
from tests.bench.pairs.score import score

_PLACES = re.compile(r"^line (\d+) > (\d+): said (?:\((\d+), (\d+), |None)")


def main() -> None:
    parser = argparse.ArgumentParser("python -m tests.bench.pairs.show", description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--size", type=int, default=60, help="scenes of the old draft")
    parser.add_argument("--intensity", choices=INTENSITIES, default="hard")
    parser.add_argument("--of", choices=["scene", "line", "page", "panel", "renames"], help="only these")
    parser.add_argument("--scenes", nargs="+", default=[], help="scenes to show whole, such as old12 new14")
    wanted = parser.parse_args()
    pair = make_pair(wanted.seed, wanted.size, wanted.intensity)
    for name in wanted.scenes:
        print(scene(pair, name[:3], int(name[3:])), end="\n\n")
    if not wanted.scenes:
        for wrong in score(ours(pair), pair.truth).wrong:
            if not wanted.of or wrong.startswith(wanted.of):
                print("\n".join([wrong, *words(pair, wrong)]))


def scene(pair: Pair, side: str, at: int) -> str:
    """A scene as it is typed, without page and panel marks."""
    typed = pair.truth.old if side == "old" else pair.truth.new
    ends = [*typed.headings, len(typed.rows) + 1]
    rows = typed.rows[ends[at] - 1 : ends[at + 1] - 1]
    return "\n".join([f"--- {side} {at}", *(row for row in rows if row and not row.startswith("["))])


def words(pair: Pair, wrong: str) -> list[str]:
    """The rows of a line that was said wrong: as they are, and what they were paired with."""
    places = _PLACES.match(wrong)
    if places is None:
        return []
    sides = pair.truth.old.rows, pair.truth.new.rows
    named = zip(("old", "new", "said old", "said new"), (0, 1, 0, 1), places.groups(), strict=True)
    return [f"  {name}: {sides[side][int(line) - 1]}" for name, side, line in named if line and line != "0"]


if __name__ == "__main__":
    main()
