"""Rounds of work whose truth is known: forty scenes cut, written, split, merged, moved and reworded by dice.

The words come from a small store, so that every scene looks a little like every other: harder than a real book.
"""

from __future__ import annotations

import random
import re
from collections import defaultdict
from collections.abc import Sequence

import pytest

from ledger.compare import compare_drafts
from ledger.model.change import DraftChange
from tests.compare.typed import typed

THINGS = re.findall(
    r"\w+",
    """tide lamp rope bell gull salt oar quay fog net eel mast chart bar coat drawer ferry herring ladder wick stair
    harbour lantern kettle anchor barrel candle dagger ember flint goose hammer ink jar kite lace mirror needle onion
    plank quill ribbon saddle thimble urn veil whistle yarn zinc apron button collar doll engine fence glove hinge iron
    jug key loom mitten nail oven pulley rake sieve towel umbrella vase wheel axle brick comb desk egg fork""",
)
DEEDS = re.findall(r"\w+", "took left kept broke carried found hid counted mended burned heard drew sold dropped")
GAGS = ["Yes.", "No.", "Not my fault.", "Where?", "Quiet!"]

Group = tuple[tuple[int, ...], tuple[int, ...]]
Rows = list[str]


def sentence(dice: random.Random) -> str:
    parts = [
        f"{dice.choice(['the', 'a', 'my', 'that'])} {dice.choice(THINGS)} {dice.choice(DEEDS)} "
        f"{dice.choice(['the', 'a', 'your', 'no'])} {dice.choice(THINGS)}"
        for _ in range(dice.choice([2, 3, 3, 4]))
    ]
    return " ".join(parts).capitalize() + "."


def row(dice: random.Random) -> str:
    if dice.random() < 0.25:
        return f"{dice.choice('WTOK')}: {dice.choice(GAGS)}"
    return sentence(dice) if dice.random() < 0.25 else f"{dice.choice('WTOK')}: {sentence(dice)}"


def scene(dice: random.Random) -> Rows:
    return [row(dice) for _ in range(dice.randrange(3, 14))]


def reworked(rows: Rows, dice: random.Random, rate: float) -> Rows:
    """What is left of a scene when this share of its rows was worked on."""
    new = []
    for typed_row in rows:
        if dice.random() < rate / 3:
            continue
        words = typed_row.split(" ")
        if dice.random() < rate and len(words) > 5:
            for _ in range(max(1, int(len(words) * dice.choice([0.1, 0.3, 0.5])))):
                words[dice.randrange(1, len(words))] = dice.choice(THINGS)
        new.append(" ".join(words))
        if dice.random() < rate / 3:
            new.append(row(dice))
    return new or rows


def round_of_work(seed: int, rate: float) -> tuple[str, str, set[Group]]:
    """Two drafts and which scenes belong together."""
    dice = random.Random(seed)
    old = [scene(dice) for _ in range(40)]
    new: list[tuple[tuple[int, ...], Rows]] = []
    cut = []
    at = 0
    while at < len(old):
        deed, rows = dice.random(), old[at]
        if deed < 0.06:
            cut.append(at)
        elif deed < 0.12 and len(rows) >= 8:
            new += [
                ((at,), reworked(half, dice, rate / 2)) for half in (rows[: len(rows) // 2], rows[len(rows) // 2 :])
            ]
        elif deed < 0.18 and at + 1 < len(old):
            new.append(((at, at + 1), reworked(rows, dice, rate / 2) + reworked(old[at + 1], dice, rate / 2)))
            at += 1
        else:
            new.append(((at,), reworked(rows, dice, rate)))
            new += [((), scene(dice))] if deed < 0.24 else []
        at += 1
    new.insert(dice.randrange(len(new)), new.pop(dice.randrange(len(new))))
    return draft(old), draft([rows for _, rows in new]), truth(new, cut)


def truth(new: Sequence[tuple[tuple[int, ...], Rows]], cut: Sequence[int]) -> set[Group]:
    by_source: dict[tuple[int, ...], list[int]] = defaultdict(list)
    for at, (source, _) in enumerate(new):
        by_source[source].append(at)
    written = {((), (at,)) for at in by_source.pop((), [])}
    return {(source, tuple(places)) for source, places in by_source.items()} | written | {((at,), ()) for at in cut}


def draft(scenes: Sequence[Rows]) -> str:
    return "\n\n".join("\n\n".join([f"## Scene {at}", *rows]) for at, rows in enumerate(scenes))


def groups(change: DraftChange) -> set[Group]:
    return {(tuple(s.index for s in c.old), tuple(s.index for s in c.new)) for c in change.scenes}


@pytest.mark.parametrize(("rate", "least"), [(0.2, 0.97), (0.5, 0.95), (0.8, 0.85)])
def test_nearly_every_scene_is_found_again(rate: float, least: float) -> None:
    right = every = 0
    for seed in range(8):
        old, new, expected = round_of_work(seed, rate)
        found = groups(compare_drafts(typed(old), typed(new)))
        right += len(found & expected)
        every += len(found | expected)
    assert right / every >= least
