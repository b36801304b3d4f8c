"""`python -m tests.bench returns [--slice] [--seeds 0-239] [--wrong]`: how right pages that come back are judged.

Each return is judged as it was made and saved anew in another form; then with a fault or a pair of them, in turn, both
ways again. A return is right when each planted fault is named by its rule and nothing else is. Then whole folders go
through the command itself (`tests.bench.returns.folders`).
"""

from __future__ import annotations

import argparse
import copy
import random
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path

from ledger.pictures.returns.lent import known
from ledger.pictures.returns.returned import Wanted, judge_line_art, judge_returned
from tests.bench.returns.faults import FAULTS, Planted
from tests.bench.returns.folders import returned_folders
from tests.bench.returns.made import PACKED, make_return, packed

#: Each fault by itself, and every two.
_CHOSEN = (*((name,) for name in FAULTS), *combinations(FAULTS, 2))


def returns(arguments: Sequence[str]) -> None:
    """The whole measure; see `--help`."""
    wanted = _options(arguments)
    score: Counter[tuple[str, str]] = Counter()
    wrong: list[str] = []
    for seed in wanted.seeds:
        for name, planted in _planted(seed):
            for way, said in _said(seed, planted):
                right = planted.must <= said <= planted.must | planted.may
                score[name, "all"] += 1
                score[name, "right"] += right
                if not right:
                    wrong.append(f"seed {seed} ({planted.made.plan.kind}), {name}, {way}: said {sorted(said)}")
    _tell(score, f"{len(wanted.seeds)} made returns, each judged as made and saved anew; right of all:")
    wrong += _folders(wanted.folders)
    if wanted.wrong:
        print("\n".join(wrong))


def _folders(count: int) -> list[str]:
    """Tells how right the folders of so many books are judged; gives what was wrong."""
    score: Counter[tuple[str, str]] = Counter()
    wrong = []
    with tempfile.TemporaryDirectory() as top:
        for name, form, fault in returned_folders(range(0, 10 * count, 10), Path(top)):
            score[name, "all"] += 1
            score[name, "right"] += not fault
            if fault:
                wrong.append(f"folder, {name}, {form}: {fault}")
    _tell(score, f"whole folders of {count} books, through the command, as made and saved anew; right of all:")
    return wrong


def _tell(score: Counter[tuple[str, str]], head: str) -> None:
    names = sorted({name for name, _ in score}, key=lambda name: (name != "good", name.count("+"), name))
    print(head)
    for name in names:
        print(f"  {name:<24} {score[name, 'right']:>5} of {score[name, 'all']}")
    good = score["good", "all"] - score["good", "right"]
    right, all_ = (sum(score[name, what] for name in names if name != "good") for what in ("right", "all"))
    print(f"good ones refused: {good}; faults named rightly: {right} of {all_} ({right / max(1, all_):.4f})")


def _planted(seed: int) -> Iterator[tuple[str, Planted]]:
    """The return as it was made, and with a fault or a pair of faults: from one seed to the next another."""
    made = make_return(seed)
    yield "good", Planted(made)
    chosen = _CHOSEN[seed % len(_CHOSEN)]
    dice = random.Random(seed)
    planted = Planted(copy.copy(made))
    planted.made.flats = made.flats.copy()
    for name in chosen:
        if not FAULTS[name](planted, dice):
            return
    yield " + ".join(chosen), planted


def _said(seed: int, planted: Planted) -> Iterator[tuple[str, set[str]]]:
    """What is named of a return as made and saved anew, with the line art at hand and with its sums alone."""
    dice = random.Random(seed)
    made = planted.made
    given = packed(made.given, "png 1")
    asked, sums = Wanted(made.plan.size, 0, "rgb", 8), known(given)
    for form in ("png 1", dice.choice(PACKED[1:])):
        lines = given if made.lines is made.given and form == "png 1" else packed(made.lines, form)
        flats = _file(planted, form)
        faults = [*judge_returned("flats", flats, given, asked, sums), judge_line_art(lines, given)]
        far = judge_line_art(lines, None, sums)
        said = {fault.rule for fault in faults if fault}
        if (far is None) != (faults[-1] is None):
            said.add("the sums say otherwise")
        if planted.lines_at and (faults[-1] is None or faults[-1].at != planted.lines_at):
            said.add("another pixel")
        yield form, said


def _file(planted: Planted, form: str) -> bytes:
    if planted.raw is not None:
        return planted.raw
    flats = planted.made.flats
    if planted.jpeg:
        return packed(flats, "jpeg 92")
    return packed(flats, "tiff lzw" if flats.mode == "CMYK" else form)


def _options(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser("python -m tests.bench returns", description=__doc__)
    parser.add_argument("--seeds", nargs="+", default=["0-239"], help="seeds or ranges; from 10000 on they are unseen")
    parser.add_argument("--wrong", action="store_true", help="also lists what was judged wrongly")
    parser.add_argument("--slice", action="store_true", help="the short form")
    wanted = parser.parse_args(arguments)
    wanted.folders = 1 if wanted.slice else 7
    parts = [part.partition("-") for part in (["0-9"] if wanted.slice else wanted.seeds)]
    wanted.seeds = [seed for first, _, last in parts for seed in range(int(first), int(last or first) + 1)]
    return wanted
