"""`python -m tests.bench proofs [--slice] [--seeds 0-5] [--wrong]`: how right a printer's sheets are told.

A seed is a book of 160 made pages of every kind. Its pages come back trimmed, brought to 72 to 150 ppi, mostly grey, as
JPEG; every second book as if scanned: another tone curve, grey paper, a slight turn. Sheets of other books come too,
half of them with the very panels of ours and other drawings in them. Then faults are planted in the order, one by one
and in pairs, and each must be named, and nothing else.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from io import BytesIO
from typing import NamedTuple

from PIL import Image

from ledger.judge.lending.proof_pages import View, judged
from ledger.pictures.returns.known_again import Shelf, brought_down, small
from tests.bench.pages.draw import STYLES, draw_page
from tests.bench.pages.plan import KINDS, Cell, Plan, make_plan

#: Pages of a book; in the short form a few of one.
PAGES, FEW = 160, 24
#: The width of a page in inches (a common trim size), by which pixels an inch become pixels.
WIDTH = 6.625
LEAST_NAMED = 0.99


class Tally(NamedTuple):
    """Pages of ours: all, those named rightly, wrongly; strange sheets: all, those named as ours."""

    pages: int
    named: int
    wrong: int
    strange: int
    taken: int


def proofs(arguments: Sequence[str]) -> None:
    """The whole measure; ends with a line for each target."""
    wanted = _options(arguments)
    count = FEW if wanted.slice else PAGES
    tallies, wrong, spent = [], [], 0.0
    for seed in wanted.seeds:
        start = time.process_time()
        tally, told = looked_through(seed, count)
        spent += time.process_time() - start
        tallies.append(tally)
        wrong += told
    every = Tally(*map(sum, zip(*tallies, strict=True)))
    print(f"{len(tallies)} books of {count} pages: right page named {every.named} of {every.pages} "
          f"({every.named / every.pages:.4f}, at least {LEAST_NAMED}), another page named {every.wrong}; "
          f"strange sheets named as ours {every.taken} of {every.strange} (0); "
          f"{1000 * spent / (every.pages + every.strange):.0f} ms a sheet with drawing it")  # fmt: skip
    found, planted, false = _faults(wanted.seeds, count, wrong)
    print(f"faults of order planted one by one and in pairs: each found in {found} of {planted}, more told in {false}")
    if wanted.wrong:
        print("\n".join(wrong))


# -- pages known again


def looked_through(seed: int, count: int) -> tuple[Tally, list[str]]:
    """A book's proof and as many strange sheets, and what was told wrongly."""
    numbers = range(seed * 100_000, seed * 100_000 + count)
    drawn = {number: _page(number) for number in numbers}
    shelf = Shelf([(str(number), brought_down(page)) for number, page in drawn.items()])
    named = mistaken = taken = 0
    wrong = []
    for number, page in drawn.items():
        pages = shelf.shown(small(proof_of(page, random.Random(number + 7), scanned=bool(seed % 2)))).pages
        named += pages == (str(number),)
        mistaken += bool(pages) and pages != (str(number),)
        if pages != (str(number),):
            wrong.append(f"page {number}: told {pages}")
    for number in numbers:
        strange = _page(number + 50_000) if number % 2 else _drawn_otherwise(number)
        pages = shelf.shown(small(proof_of(strange, random.Random(number + 9), scanned=bool(seed % 2)))).pages
        taken += bool(pages)
        wrong += [f"strange sheet {number}: told {pages}"] if pages else []
    return Tally(count, named, mistaken, count, taken), wrong


def _plan(number: int) -> Plan:
    return make_plan(KINDS[number % len(KINDS)], random.Random(number))


def _page(number: int) -> Image.Image:
    return draw_page(_plan(number), STYLES[number // len(KINDS) % len(STYLES)], crossings=number)


def _drawn_otherwise(number: int) -> Image.Image:
    """A page with the same panels and other drawings in them."""
    plan, dice = _plan(number), random.Random(number + 999)

    def other(cell: Cell) -> Cell:
        return replace(cell, drawing=dice.getrandbits(30))

    halves = tuple(tuple(replace(row, cells=tuple(map(other, row.cells))) for row in rows) for rows in plan.halves)
    insets = tuple((host, spot, dice.getrandbits(30)) for host, spot, _ in plan.insets)
    plan = replace(plan, halves=halves, across=plan.across and other(plan.across), insets=insets)
    return draw_page(plan, STYLES[number // len(KINDS) % len(STYLES)], crossings=number + 999)


def proof_of(page: Image.Image, dice: random.Random, *, scanned: bool) -> bytes:
    """A sheet as a printer sends it, as JPEG."""
    wide, high = page.size
    cut = [dice.choice([0.0, dice.uniform(0, 0.045)]) for _ in range(4)]
    box = (round(wide * cut[0]), round(high * cut[1]), round(wide * (1 - cut[2])), round(high * (1 - cut[3])))
    part = page.convert("RGB").crop(box)
    across = round(WIDTH * (2 if wide > high else 1) * dice.uniform(72, 150) * part.width / wide)
    way = dice.choice([Image.Resampling.BILINEAR, Image.Resampling.LANCZOS, Image.Resampling.BOX])
    sheet = part.resize((across, round(across * part.height / part.width)), way)
    if scanned:
        curve, light, dark = dice.uniform(0.7, 1.4), dice.uniform(225, 255), dice.uniform(0, 40)
        sheet = sheet.convert("L").point([round(dark + (light - dark) * (n / 255) ** curve) for n in range(256)])
        sheet = sheet.rotate(dice.uniform(-0.4, 0.4), Image.Resampling.BILINEAR, fillcolor=round(light))
    kept = BytesIO()
    (sheet.convert("L") if dice.random() < 0.8 else sheet).save(kept, "JPEG", quality=dice.randrange(30, 92))
    return kept.getvalue()


# -- faults of order


Sheets = list[str]
#: A fault: takes the sheets and a die, gives the sheets and what must be told of them, (kind, pages).
Fault = Callable[[Sheets, random.Random], tuple[Sheets, set[tuple[str, str]]]]


def _missing(sheets: Sheets, dice: random.Random) -> tuple[Sheets, set[tuple[str, str]]]:
    at = dice.randrange(len(sheets))
    return sheets[:at] + sheets[at + 1 :], {("missing", sheets[at])}


def _doubled(sheets: Sheets, dice: random.Random) -> tuple[Sheets, set[tuple[str, str]]]:
    at, to = dice.randrange(len(sheets)), dice.randrange(len(sheets))
    return [*sheets[:to], sheets[at], *sheets[to:]], {("doubled", sheets[at])}


def _swapped(sheets: Sheets, dice: random.Random) -> tuple[Sheets, set[tuple[str, str]]]:
    one, other = sorted(dice.sample(range(len(sheets)), 2))
    found = list(sheets)
    found[one], found[other] = found[other], found[one]
    return found, {("swapped", sheets[one])}


def _moved(sheets: Sheets, dice: random.Random) -> tuple[Sheets, set[tuple[str, str]]]:
    at = dice.randrange(len(sheets))
    rest = sheets[:at] + sheets[at + 1 :]
    to = dice.choice([place for place in range(len(sheets)) if abs(place - at) > 1])
    return [*rest[:to], sheets[at], *rest[to:]], {("out-of-order", sheets[at])}


def _strange(sheets: Sheets, dice: random.Random) -> tuple[Sheets, set[tuple[str, str]]]:
    at = dice.randrange(len(sheets) + 1)
    return [*sheets[:at], "strange", *sheets[at:]], {("unknown", "")}


def _blank(sheets: Sheets, dice: random.Random) -> tuple[Sheets, set[tuple[str, str]]]:
    at = dice.randrange(1, len(sheets))
    return [*sheets[:at], "blank", *sheets[at:]], {("blank", "")}


FAULTS: dict[str, Fault] = {
    "missing": _missing, "doubled": _doubled, "swapped": _swapped, "moved": _moved, "strange": _strange,
    "blank": _blank,
}  # fmt: skip


def _faults(seeds: Sequence[int], count: int, wrong: list[str]) -> tuple[int, int, int]:
    """(proofs in which each planted fault was found, all proofs, those in which more was told)."""
    book = [str(number) for number in range(1, count + 1)]
    pairs = [(one, other) for one in FAULTS for other in FAULTS if one < other]
    found = planted = false = 0
    for seed in seeds:
        for names in [*((name,) for name in FAULTS), *pairs]:
            dice = random.Random(f"{seed} {names}")
            half = count // 2
            # Each in a half of the book by itself: two faults on one spot are another fault.
            parts = [book[:half], book[half:]] if len(names) == 2 else [book]
            done = [FAULTS[name](part, dice) for name, part in zip(names, parts, strict=True)]
            must = {each for _, told in done for each in told}
            told = _told(book, [sheet for sheets, _ in done for sheet in sheets])
            planted += 1
            found += must <= told
            false += told > must
            if told != must:
                wrong.append(f"seed {seed}, {' + '.join(names)}: told {sorted(told)}, planted {sorted(must)}")
    return found, planted, false


def _told(book: Sheets, sheets: Sheets) -> set[tuple[str, str]]:
    views = [
        View(at, flat=255.0)
        if sheet == "blank"
        else View(at)
        if sheet == "strange"
        else View(at, (("letters", sheet),))
        for at, sheet in enumerate(sheets, 1)
    ]
    runs = judged([("letters", page) for page in book], views).runs
    pairs = {("swapped", min((each.page, each.other), key=int)) for run in runs for each in run.every
             if each.kind == "swapped"}  # fmt: skip
    return pairs | {(each.kind, each.page) for run in runs for each in run.every if each.kind != "swapped"}


def _options(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser("python -m tests.bench proofs", description=__doc__)
    parser.add_argument("--seeds", nargs="+", default=["0-5"], help="seeds or ranges; from 100 on they are unseen")
    parser.add_argument("--wrong", action="store_true", help="also lists what was told wrongly")
    parser.add_argument("--slice", action="store_true", help="the short form")
    wanted = parser.parse_args(arguments)
    parts = [part.partition("-") for part in (["0-1"] if wanted.slice else wanted.seeds)]
    wanted.seeds = [seed for first, _, last in parts for seed in range(int(first), int(last or first) + 1)]
    return wanted
