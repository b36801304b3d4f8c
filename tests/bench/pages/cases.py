"""Two rounds of a page with what became of it: the same under a disturbance, or changed, often under one as well."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageDraw

from tests.bench.pages.draw import STYLES, Patch, draw_page, pencilled
from tests.bench.pages.files import DISTURBANCES, disturbed, first_form, saved
from tests.bench.pages.plan import KINDS, Box, Panel, Plan, fractions, make_plan, panels_of, relaid

#: Shares of ink between which a panel is neither clearly touched up nor clearly redrawn: not made here.
TOUCHED, DRAWN_ANEW = (0.004, 0.24), 0.42


@dataclass(frozen=True)
class Truth:
    """What is so: kind, panels of the new page as boxes (left, top, width, height), which of them changed (from 1)."""

    page_kind: str
    style: str
    change: str
    disturbance: str
    kind: str
    panels: tuple[Box, ...]
    changed: frozenset[int]


@dataclass(frozen=True)
class Case:
    """Page label -> file, before and after; page "1" is the one asked about."""

    seed: int
    old: Mapping[str, bytes]
    new: Mapping[str, bytes]
    rtl: bool
    truth: Truth


def make_case(seed: int) -> Case:
    """A page and its next round; page kinds in turn, two of five the same."""
    dice = random.Random(seed * 7919 + 13)
    kind = KINDS[seed % len(KINDS)]
    turn = seed // len(KINDS)
    style = STYLES[(seed + turn) % len(STYLES)]
    plan = make_plan(kind, dice)
    deed = {0: "same", 1: "touch-up", 2: "same", 3: dice.choice(["redrawn one", "redrawn several"]), 4: "same",
            5: ("layout", "swapped", "touch-up", "redrawn one")[turn // 6 % 4]}[turn % 6]  # fmt: skip
    noise = dice.choice(DISTURBANCES)
    if deed != "same" and dice.random() < 0.4:
        noise = "saved again"
    return _DEEDS.get(deed.split()[0], _redrawn)(seed, plan, style, deed, noise, dice)


def _case(
    seed: int, plan: Plan, style: str, deed: str, noise: str, dice: random.Random,
    pages: tuple[Image.Image, Image.Image], kind: str, changed: frozenset[int] = frozenset(),
) -> Case:  # fmt: skip
    old, new = pages
    boxes = tuple(fractions(panel, plan.size) for panel in panels_of(plan))
    truth = Truth(plan.kind, style, deed, noise, kind, boxes, changed)
    return Case(
        seed, {"1": saved(old, first_form(style, dice))}, {"1": disturbed(new, noise, style, dice)}, plan.rtl, truth
    )


def _same(seed: int, plan: Plan, style: str, deed: str, noise: str, dice: random.Random) -> Case:
    page = draw_page(plan, style, crossings=seed)
    return _case(seed, plan, style, deed, noise, dice, (page, page), "same")


def _touched(seed: int, plan: Plan, style: str, deed: str, noise: str, dice: random.Random) -> Case:
    """One panel corrected, at times two."""
    before, laid = draw_page(plan, style, crossings=seed), panels_of(plan)
    chosen = dice.sample(range(len(laid)), min(len(laid), dice.choice([1, 1, 1, 2])))
    while True:
        patches = {n: Patch(dice.getrandbits(30), dice.uniform(0.12, 0.3)) for n in chosen}
        after = draw_page(plan, style, patches, crossings=seed)
        shares = [share(before, after, laid, n) for n in range(len(laid))]
        if all(TOUCHED[0] < shares[n] < TOUCHED[1] for n in chosen) and _clear_of_others(shares, chosen):
            return _case(seed, plan, style, deed, noise, dice, (before, after), "touch-up", _counted(chosen))


def _redrawn(seed: int, plan: Plan, style: str, deed: str, noise: str, dice: random.Random) -> Case:
    before, laid = draw_page(plan, style, crossings=seed), panels_of(plan)
    count = 1 if deed == "redrawn one" else dice.randrange(2, max(3, len(laid) + 1))
    chosen = sorted(dice.sample(range(len(laid)), min(len(laid), count)))
    for _ in range(60):
        drawings = {laid[n].drawing: dice.getrandbits(30) for n in chosen}
        after = draw_page(_with_drawings(plan, drawings), style, crossings=seed)
        shares = [share(before, after, laid, n) for n in range(len(laid))]
        if all(shares[n] > DRAWN_ANEW for n in chosen) and _clear_of_others(shares, chosen):
            return _case(seed, plan, style, deed, noise, dice, (before, after), "redrawn", _counted(chosen))
    return _same(seed, plan, style, "same", noise, dice)


def _clear_of_others(shares: list[float], chosen: list[int]) -> bool:
    return all(share < 0.001 for n, share in enumerate(shares) if n not in chosen)


def _counted(chosen: list[int]) -> frozenset[int]:
    return frozenset(n + 1 for n in chosen)


def _with_drawings(plan: Plan, drawings: Mapping[int, int]) -> Plan:
    halves = tuple(
        tuple(
            replace(row, cells=tuple(replace(c, drawing=drawings.get(c.drawing, c.drawing)) for c in row.cells))
            for row in rows
        )
        for rows in plan.halves
    )
    across = plan.across and replace(plan.across, drawing=drawings.get(plan.across.drawing, plan.across.drawing))
    insets = tuple((host, box, drawings.get(drawing, drawing)) for host, box, drawing in plan.insets)
    return replace(plan, halves=halves, across=across, insets=insets)


def share(before: Image.Image, after: Image.Image, laid: list[Panel], n: int) -> float:
    """Which share of a panel's ink differs, of two clean drawings; insets that lie in it are not its ink."""
    mask = Image.new("1", before.size)
    pen = ImageDraw.Draw(mask)
    pen.polygon([*laid[n].corners], fill=1)
    for inset in laid[n + 1 :]:
        if not inset.inset or laid[n].inset:
            break
        left, top, right, bottom = inset.box
        pen.rectangle((left - 10, top - 10, right + 10, bottom + 10), fill=0)
    inside = np.asarray(mask)
    a, b = (255 - np.asarray(page.convert("L"), dtype=np.int32)[inside] for page in (before, after))
    return float(np.abs(a - b).sum() / max(1, np.maximum(a, b).sum()))


def _relaid(seed: int, plan: Plan, style: str, deed: str, noise: str, dice: random.Random) -> Case:
    after = relaid(plan, dice)
    pages = (draw_page(plan, style, crossings=seed), draw_page(after, style, crossings=seed))
    return _case(seed, after, style, deed, noise, dice, pages, "layout")


def _swapped(seed: int, plan: Plan, style: str, deed: str, noise: str, dice: random.Random) -> Case:
    """Two pages of one size exchanged."""
    other = replace(make_plan(plan.kind, dice), size=plan.size)
    mine, others = draw_page(plan, style, crossings=seed), draw_page(other, style, crossings=seed + 1)
    case = _case(seed, other, style, deed, noise, dice, (mine, others), "swapped")
    form = first_form(style, dice)
    return replace(case, old={**case.old, "2": saved(others, form)}, new={**case.new, "2": saved(mine, form)})


_DEEDS: Mapping[str, Callable[..., Case]] = {
    "same": _same, "touch-up": _touched, "redrawn": _redrawn, "layout": _relaid, "swapped": _swapped,
}  # fmt: skip


def make_passes(seed: int) -> Case:
    """A page in pencil and the same in ink; every other one laid out anew in between."""
    dice = random.Random(seed * 104729 + 7)
    plan = make_plan(KINDS[seed % len(KINDS)], dice)
    after = relaid(plan, dice) if seed // len(KINDS) % 2 else plan
    drawings = {panel.drawing: dice.getrandbits(30) for panel in panels_of(plan) if dice.random() < 0.3}
    pencils = pencilled(draw_page(_with_drawings(plan, drawings), "tones", crossings=seed), dice)
    inks = draw_page(after, "lines", crossings=seed)
    boxes = tuple(fractions(panel, after.size) for panel in panels_of(after))
    kind = "same" if after is plan else "layout"
    truth = Truth(plan.kind, "passes", kind, "inked", kind, boxes, frozenset())
    return Case(seed, {"1": saved(pencils, "png")}, {"1": saved(inks, "tiff g4")}, plan.rtl, truth)
