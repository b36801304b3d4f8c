"""`python -m tests.bench pages`: how right panels and changes are told on drawn pages, beside a naive rival."""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence

from ledger.model.snapshot import FileAt
from ledger.pictures.files.decode import decode
from ledger.pictures.layout.panels import find_panels
from ledger.pictures.rounds.compare import compare_pictures
from tests.bench.pages.cases import Case, make_case, make_passes
from tests.bench.pages.rival import rival
from tests.bench.pages.score import Answer, Score, table

#: What the rival may reach at most, and how often it must cry over an untouched panel, before pages are too easy.
EASY = (0.60, 0.40)


def ours(case: Case) -> Answer:
    """What the comparison says of page "1"."""
    before, after = ({label: FileAt(label, None) for label in side} for side in (case.old, case.new))
    changes, _ = compare_pictures(
        before,
        after,
        lambda file: case.old[file.path],
        lambda file: case.new[file.path],
        "inks",
        rtl=case.rtl,
    )
    mine = next((change for change in changes if change.page == "1"), None)
    if mine is None:
        return Answer("same", _found(case), frozenset())
    changed = [box for box in mine.panels if box.changed]
    panels = tuple(box.box for box in mine.panels) if mine.kind != "swapped" else _found(case)
    return Answer(mine.kind, panels, frozenset(box.index for box in changed), tuple(box.box for box in changed))


def _found(case: Case) -> tuple[tuple[float, float, float, float], ...]:
    """The panels of the new page, where the comparison lists none."""
    return find_panels(decode(case.new["1"]), rtl=case.rtl)


def across(case: Case) -> str:
    """What is said of a page between two passes."""
    before, after = {"1": FileAt("1.png", None)}, {"1": FileAt("1.png", None)}
    changes, _ = compare_pictures(
        before, after, lambda _: case.old["1"], lambda _: case.new["1"], "inks", across=True, rtl=case.rtl
    )
    return changes[0].kind if changes else "same"


def measured(cases: Sequence[int], answers: dict[str, Callable[[Case], Answer]]) -> dict[str, Score]:
    """The scores of several ways to answer."""
    scores = {name: Score() for name in answers}
    seconds = dict.fromkeys(answers, 0.0)
    for seed in cases:
        case = make_case(seed)
        for name, answer in answers.items():
            start = time.perf_counter()
            said = answer(case)
            seconds[name] += time.perf_counter() - start
            scores[name].add(seed, said, case.truth)
    print(", ".join(f"{name}: {took / len(cases) * 1000:.0f} ms a page" for name, took in seconds.items()))
    return scores


def pages(arguments: Sequence[str]) -> None:
    """The whole measure; see `--help`."""
    wanted = _options(arguments)
    seeds = [seed for part in wanted.seeds for seed in _seeds(part)]
    scores = measured(seeds, {"ours": ours} if wanted.no_rival else {"ours": ours, "rival": rival})
    print(table(scores))
    if "rival" in scores:
        _not_too_easy(scores["rival"])
    if wanted.wrong:
        print("\n".join(scores["ours"].wrong))
    _passes(seeds[: max(10, len(seeds) // 2)])


def _not_too_easy(score: Score) -> None:
    kind, cried = (score.figures[name] for name in ("kind right", "cried over an untouched panel"))
    if kind.right / kind.all > EASY[0] or cried.right / max(1, cried.all) < EASY[1]:
        print("the rival gets so far that these pages are too easy")


def _passes(seeds: Sequence[int]) -> None:
    found, told = {"layout": 0, "same": 0}, {"layout": 0, "same": 0}
    for seed in seeds:
        case = make_passes(seed)
        told[case.truth.kind] += 1
        found[case.truth.kind] += across(case) == "layout"
    print(
        f"from pencils to inks: {found['layout']} of {told['layout']} new layouts found, "
        f"{found['same']} of {told['same']} kept ones called new"
    )


def _options(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser("python -m tests.bench pages", description=__doc__)
    parser.add_argument("--seeds", nargs="+", default=["0-239"], help="seeds or ranges; from 10000 on they are unseen")
    parser.add_argument("--no-rival", action="store_true", help="the comparison alone")
    parser.add_argument("--wrong", action="store_true", help="also lists what was answered wrongly")
    parser.add_argument("--slice", action="store_true", help="the short form that CI runs")
    wanted = parser.parse_args(arguments)
    if wanted.slice:
        wanted.seeds = ["0-19"]
    return wanted


def _seeds(part: str) -> range:
    first, _, last = part.partition("-")
    return range(int(first), int(last or first) + 1)
