"""`python -m tests.bench notes`: how right the fate of notes is told, on books whose history is known."""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.bench.notes.build import make_book
from tests.bench.notes.score import Score
from tests.bench.notes.speed import speed


def measured(seeds: Sequence[int]) -> Score:
    """The score over the books of these seeds, as the real command tells their notes."""
    score = Score()
    with tempfile.TemporaryDirectory() as folder:
        for seed in seeds:
            made = make_book(seed, Path(folder) / str(seed))
            told = {note["id"]: note for note in made.book.ledger("notes", "list", "--json").document["notes"]}
            for name, note in made.notes.items():
                score.add(f"{seed} {name}", note, told[name])
    return score


def notes(arguments: Sequence[str]) -> None:
    """The whole measure; see `--help`."""
    parser = argparse.ArgumentParser("python -m tests.bench notes", description=__doc__)
    parser.add_argument("--seeds", default="0-23", help="a seed or a range; from 10000 on they are unseen")
    parser.add_argument("--wrong", action="store_true", help="also lists what was told wrongly")
    parser.add_argument("--slice", action="store_true", help="the short form that CI runs")
    parser.add_argument("--speed", action="store_true", help="only what the list of 600 notes costs")
    wanted = parser.parse_args(arguments)
    if wanted.speed:
        speed(15)
        return
    first, _, last = ("0-3" if wanted.slice else wanted.seeds).partition("-")
    score = measured(range(int(first), int(last or first) + 1))
    print(score.table())
    if wanted.wrong:
        print("\n".join(score.wrong))
    short = score.falls_short()
    print(f"falls short: {', '.join(short)}" if short else "every goal is reached")
    speed(7 if wanted.slice else 15)
