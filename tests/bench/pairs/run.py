"""`python -m tests.bench pairs`: how right the comparison is on pairs whose history is known, beside a naive rival."""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from ledger.compare import compare_drafts
from ledger.model.change import Comparison, Side
from ledger.model.script import Draft
from ledger.read.script import read_script
from ledger.render.changes.document import compare_document
from tests.bench.pairs.generate import INTENSITIES, Pair, make_pair
from tests.bench.pairs.rival import rival
from tests.bench.pairs.score import FIGURES, Score, score
from tests.bench.ratio import clean_environment

#: Sizes of books in scenes; a graphic novel of 21,000 words has about 160.
BOOKS = (90, 120, 160, 200)
#: What CI runs.
SLICE = (8, 24, 60, 120)
#: What the rival may reach at most before the pairs are too easy: group exact, moved-line recall.
EASY = {"hard": (0.91, 0.70), "brutal": (0.65, 0.55)}

Answer = Callable[[Pair], Mapping[str, Any]]


def drafts(pair: Pair) -> tuple[Draft, Draft]:
    """Both drafts, read."""
    old, new = (read_script([(name, text.encode())], []) for name, text in (("old.md", pair.old), ("new.md", pair.new)))
    return old, new


def ours(pair: Pair) -> Mapping[str, Any]:
    """What the comparison says, in process."""
    change = compare_drafts(*drafts(pair))
    return compare_document(Comparison(Side("old.md"), Side("new.md"), change), all_lines=True)


def rivals(pair: Pair) -> Mapping[str, Any]:
    """What the rival says."""
    return rival(*drafts(pair))


def by_command(pair: Pair) -> Mapping[str, Any]:
    """What the command says."""
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        for file, text in (("old.md", pair.old), ("new.md", pair.new)):
            (place / file).write_text(text, "utf-8")
        command = [sys.executable, "-m", "ledger", "compare", "old.md", "new.md", "--json", "--all-lines"]
        done = subprocess.run(
            command, cwd=place, env=clean_environment(), capture_output=True, stdin=subprocess.DEVNULL
        )
    answer: Mapping[str, Any] = json.loads(done.stdout)
    return answer


def measured(pairs: Iterable[Pair], answers: Sequence[Answer]) -> tuple[list[Score], list[float]]:
    """The scores of several ways to answer, and the seconds each needed."""
    totals, seconds = [Score() for _ in answers], [0.0 for _ in answers]
    for pair in pairs:
        for n, answer in enumerate(answers):
            start = time.perf_counter()
            said = answer(pair)
            seconds[n] += time.perf_counter() - start
            totals[n].add(score(said, pair.truth))
    return totals, seconds


def table(columns: Mapping[str, Score]) -> str:
    """Figures and recall per operation as Markdown."""
    head = ["", *columns]
    rows = [[name, *(f"{found.share(name):.3f}" for found in columns.values())] for name in FIGURES]
    operations = sorted({name for found in columns.values() for name in found.operations})
    for name in operations:
        counts = [found.operations.get(name) for found in columns.values()]
        rows.append([f"_{name}_", *(f"{c.share:.3f} of {c.right + c.missed}" if c else "" for c in counts)])
    widths = [max(len(row[n]) for row in [head, *rows]) for n in range(len(head))]
    lines = [
        "| " + " | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) + " |"
        for row in [head, *rows]
    ]
    return "\n".join([lines[0], "|" + "|".join("-" * (width + 2) for width in widths) + "|", *lines[1:]])


def pairs(arguments: Sequence[str]) -> None:
    """The whole measure; see `--help`."""
    wanted = _options(arguments)
    seeds = [seed for part in wanted.seeds for seed in _seeds(part)]
    columns: dict[str, Score] = {}
    for intensity in wanted.intensity:
        made = (make_pair(seed, wanted.sizes[n % len(wanted.sizes)], intensity) for n, seed in enumerate(seeds))
        answers = [ours] if wanted.no_rival else [ours, rivals]
        found, seconds = measured(made, answers)
        for name, each, took in zip(("ours", "rival"), found, seconds, strict=False):
            columns[f"{intensity}, {name}"] = each
            print(f"{intensity}, {name}: {len(seeds)} pairs, {took / len(seeds) * 1000:.0f} ms each")
        if len(found) > 1:
            _not_too_easy(intensity, found[1])
    print(table(columns))
    _quiet(seeds[:4], wanted.sizes)
    _as_command(make_pair(seeds[0], wanted.sizes[0], wanted.intensity[-1]))


def _options(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser("python -m tests.bench pairs", description=__doc__)
    parser.add_argument("--seeds", nargs="+", default=["1-40"], help="seeds or ranges of seeds (1-40)")
    parser.add_argument("--sizes", nargs="+", type=int, default=list(BOOKS), help="scenes of the old drafts, in turn")
    parser.add_argument("--intensity", nargs="+", choices=INTENSITIES, default=["hard", "brutal"])
    parser.add_argument("--no-rival", action="store_true", help="the comparison alone, in a fraction of the time")
    parser.add_argument("--slice", action="store_true", help="the short form that CI runs")
    wanted = parser.parse_args(arguments)
    if wanted.slice:
        wanted.seeds, wanted.sizes = ["1-8"], list(SLICE)
    return wanted


def _seeds(part: str) -> range:
    first, _, last = part.partition("-")
    return range(int(first), int(last or first) + 1)


def _not_too_easy(intensity: str, found: Score) -> None:
    group, moved = EASY.get(intensity, (1.0, 1.0))
    if found.share("group exact") > group or found.share("moved-line recall") > moved:
        print(f"{intensity}: the rival gets so far that these pairs are too easy")


def _quiet(seeds: Sequence[int], sizes: Sequence[int]) -> None:
    """Unchanged pairs must raise no alarm."""
    alarms = 0
    for seed in seeds:
        said = ours(make_pair(seed, sizes[0], "none"))
        alarms += sum(s["kind"] != "kept" or s["moved"] or s["renamed"] for s in said["scenes"])
        alarms += sum(line["kind"] != "same" for s in said["scenes"] for line in s["lines"])
        alarms += sum(page["kind"] != "kept" for page in said["pages"]) + len(said["cast"]["renamed"])
    print(f"unchanged pairs: {alarms} alarms on {len(seeds)}")


def _as_command(pair: Pair) -> None:
    """The command must say what the comparison in process says."""
    said, direct = by_command(pair), ours(pair)
    same = all(said[part] == json.loads(json.dumps(direct[part])) for part in ("scenes", "cast", "pages"))
    print(f"the command says {'the same' if same else 'SOMETHING ELSE'}")
