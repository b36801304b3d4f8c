"""Where the panels of a page lie: ten kinds of page, laid out in rows and cells, and their re-laying."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

Point = tuple[float, float]
Polygon = tuple[Point, ...]
Box = tuple[float, float, float, float]

KINDS = ("grid", "slanted", "borderless", "bleed", "inset", "crossing", "spread", "black", "shared", "splash")
#: Kinds whose panels all have a drawn frame and a gutter around it.
BORDERED = ("grid", "slanted", "bleed", "black")


@dataclass(frozen=True)
class Cell:
    """One panel of a row: its share of the row's width, how far its right side leans, what is drawn in it."""

    width: float
    lean: float
    drawing: int


@dataclass(frozen=True)
class Row:
    """One row: its share of the height, how far its lower side falls."""

    height: float
    fall: float
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Plan:
    """A page before it is drawn; lengths are parts of one page's width. `halves` are left and right page of a spread,
    `across` the row over both; other pages have one half. `insets` are boxes as parts of the host panel's box."""

    kind: str
    size: tuple[int, int]
    margin: float
    gutter: float
    frame: float
    bleeds: tuple[bool, bool, bool, bool]
    halves: tuple[tuple[Row, ...], ...]
    across: Cell | None = None
    insets: tuple[tuple[int, Box, int], ...] = ()
    rtl: bool = False


@dataclass(frozen=True)
class Panel:
    """A panel as laid out: corners in px, the seed of its drawing, whether it lies in another one."""

    corners: Polygon
    drawing: int
    inset: bool = False

    @property
    def box(self) -> Box:
        """Left, top, right, bottom in px."""
        xs, ys = [x for x, _ in self.corners], [y for _, y in self.corners]
        return (min(xs), min(ys), max(xs), max(ys))


def make_plan(kind: str, dice: random.Random) -> Plan:
    """A page of a kind."""
    width = dice.randrange(700, 1100)
    height = round(width * dice.uniform(1.4, 1.55))
    spread, splash = kind == "spread", kind == "splash"
    bleeds = (False,) * 4
    if kind == "bleed" or (splash and dice.random() < 0.6):
        bleeds = (
            (True,) * 4 if splash else dice.choice([(True,) * 4, (True, False, True, False), (False, True, True, True)])
        )
    gutter = 0.0 if kind == "shared" else dice.uniform(0.012, 0.024)
    halves = tuple(_rows(dice, kind) for _ in range(2 if spread else 1))
    plan = Plan(
        kind, (width * 2 if spread else width, height), dice.uniform(0.035, 0.06), gutter, dice.uniform(0.0035, 0.006),
        bleeds, halves, rtl=dice.random() < 0.35,
    )  # fmt: skip
    if spread and dice.random() < 0.3:
        plan = replace(plan, across=Cell(1.0, 0.0, dice.getrandbits(30)))
    return _with_insets(plan, dice) if kind == "inset" else plan


def _rows(dice: random.Random, kind: str) -> tuple[Row, ...]:
    if kind == "splash":
        return (Row(1.0, 0.0, (Cell(1.0, 0.0, dice.getrandbits(30)),)),)
    count = dice.randrange(2, 4) if kind in ("inset", "spread") else dice.randrange(2, 5)
    heights = _parts(dice, count)
    rows = [Row(height, _lean(dice, kind, 0.1), _cells(dice, kind)) for height in heights]
    if all(len(row.cells) == 1 for row in rows):
        rows[0] = replace(rows[0], cells=_cells(dice, kind, 2))
    if kind == "inset":
        tallest = max(range(count), key=lambda n: rows[n].height)
        rows[tallest] = replace(rows[tallest], height=max(0.5, heights[tallest]), cells=_cells(dice, kind, 1))
    return tuple(rows)


def _cells(dice: random.Random, kind: str, count: int = 0) -> tuple[Cell, ...]:
    widths = _parts(dice, count or dice.choice([1, 2, 2, 3]))
    return tuple(Cell(width, _lean(dice, kind, 0.25), dice.getrandbits(30)) for width in widths)


def _lean(dice: random.Random, kind: str, most: float) -> float:
    return dice.choice([-1, 1]) * dice.uniform(most * 0.3, most) if kind == "slanted" else 0.0


def _parts(dice: random.Random, count: int) -> list[float]:
    sizes = [dice.uniform(0.7, 1.3) for _ in range(count)]
    return [size / sum(sizes) for size in sizes]


def _with_insets(plan: Plan, dice: random.Random) -> Plan:
    rows = plan.halves[0]
    before = 0
    for row in rows:
        if len(row.cells) == 1 and row.height >= 0.35:
            break
        before += len(row.cells)
    spots: list[Box] = [(0.06, 0.08, 0.3, 0.36), (0.62, 0.55, 0.32, 0.38)]
    chosen = spots if dice.random() < 0.35 else [dice.choice(spots)]
    return replace(plan, insets=tuple((before, spot, dice.getrandbits(30)) for spot in chosen))


def panels_of(plan: Plan) -> list[Panel]:
    """The panels in reading order; insets directly after the panel they lie in."""
    unit = plan.size[0] / len(plan.halves)
    found: list[Panel] = []
    top = plan.margin * unit
    if plan.across:
        live = (top, top, plan.size[0] - top, plan.size[1] * 0.3)
        found.append(Panel(_corners(live), plan.across.drawing))
        top = live[3] + plan.gutter * unit
    pages = list(enumerate(plan.halves))
    for n, rows in reversed(pages) if plan.rtl else pages:
        found += _laid(rows, _live(plan, unit, n, top), plan.gutter * unit, plan.rtl)
    return _and_insets(plan, found)


def _live(plan: Plan, unit: float, half: int, top: float) -> Box:
    margin, beyond = plan.margin * unit, 12.0
    left, above, right, below = plan.bleeds
    return (
        half * unit + (-beyond if left else margin), -beyond if above else top,
        (half + 1) * unit - (-beyond if right else margin), plan.size[1] - (-beyond if below else margin),
    )  # fmt: skip


def _laid(rows: Sequence[Row], live: Box, gutter: float, rtl: bool) -> list[Panel]:
    left, top, right, bottom = live
    total, rest = sum(row.height for row in rows), _corners(live)
    found: list[Panel] = []
    y = top
    for n, row in enumerate(rows):
        y += row.height / total * (bottom - top)
        strip = rest
        if n < len(rows) - 1:
            tilt = row.fall * (right - left)
            strip, rest = _split(rest, (left, y - tilt / 2), (right, y + tilt / 2), gutter)
        found += _in_row(row, strip, (left, right), gutter, rtl)
    return found


def _in_row(row: Row, strip: Polygon, sides: tuple[float, float], gutter: float, rtl: bool) -> list[Panel]:
    ys = [y for _, y in strip]
    high, low = min(ys), max(ys)
    total = sum(cell.width for cell in row.cells)
    found, x = [], sides[0]
    for n, cell in enumerate(row.cells):
        x += cell.width / total * (sides[1] - sides[0])
        part = strip
        if n < len(row.cells) - 1:
            tilt = cell.lean * (low - high)
            strip, part = _split(strip, (x + tilt / 2, high), (x - tilt / 2, low), gutter)
        found.append(Panel(part, cell.drawing))
    return found[::-1] if rtl else found


def _and_insets(plan: Plan, found: list[Panel]) -> list[Panel]:
    for host, (x, y, wide, high), drawing in reversed(plan.insets):
        if host >= len(found):
            continue
        left, top, right, bottom = found[host].box
        across, down = right - left, bottom - top
        inner = (left + x * across, top + y * down, left + (x + wide) * across, top + (y + high) * down)
        found.insert(host + 1, Panel(_corners(inner), drawing, inset=True))
    return found


def _corners(box: Box) -> Polygon:
    left, top, right, bottom = box
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _split(shape: Polygon, start: Point, end: Point, gutter: float) -> tuple[Polygon, Polygon]:
    """What lies left of a line (looking from start to end, y down: above) and what lies right, half a gutter away."""
    across, down = end[0] - start[0], end[1] - start[1]
    length = math.hypot(across, down)

    def side(point: Point) -> float:
        return ((point[1] - start[1]) * across - (point[0] - start[0]) * down) / length

    return _clip(shape, side, -gutter / 2, -1), _clip(shape, side, gutter / 2, 1)


def _clip(shape: Polygon, side, limit: float, sign: int) -> Polygon:  # type: ignore[no-untyped-def]
    kept: list[Point] = []
    for here, there in zip(shape, shape[1:] + shape[:1], strict=True):
        a, b = sign * (side(here) - limit), sign * (side(there) - limit)
        if a >= 0:
            kept.append(here)
        if a * b < 0:
            part = a / (a - b)
            kept.append((here[0] + part * (there[0] - here[0]), here[1] + part * (there[1] - here[1])))
    return tuple(kept)


def relaid(plan: Plan, dice: random.Random) -> Plan:
    """The page with a panel more, a panel less, or a gutter in another place."""
    half = dice.randrange(len(plan.halves))
    rows = list(plan.halves[half])
    n = dice.randrange(len(rows))
    deed = "split" if plan.kind == "splash" else dice.choice(["split", "merge", "move"])
    wide = [m for m, row in enumerate(rows) if len(row.cells) > 1]
    if deed == "merge" and wide:
        n = dice.choice(wide)
        first, second, *others = rows[n].cells
        cells = (Cell(first.width + second.width, second.lean, first.drawing), *others)
    elif deed == "move" and wide:
        n = dice.choice(wide)
        first, second, *others = rows[n].cells
        both = first.width + second.width
        share = 0.72 if first.width < second.width * 1.05 else 0.28
        cells = (replace(first, width=both * share), replace(second, width=both * (1 - share)), *others)
    else:
        first, *others = rows[n].cells
        new = Cell(first.width / 2, first.lean, dice.getrandbits(30))
        cells = (replace(first, width=first.width / 2, lean=0.0), new, *others)
    rows[n] = replace(rows[n], cells=cells)
    halves = (*plan.halves[:half], tuple(rows), *plan.halves[half + 1 :])
    return replace(plan, halves=halves, insets=tuple(_still(plan, halves, inset) for inset in plan.insets))


def _still(plan: Plan, halves: tuple[tuple[Row, ...], ...], inset: tuple[int, Box, int]) -> tuple[int, Box, int]:
    """The inset with its host's new place in the order: the host is known by its drawing."""
    drawing = [cell.drawing for rows in plan.halves for row in rows for cell in row.cells][inset[0]]
    now = [cell.drawing for rows in halves for row in rows for cell in row.cells]
    return (now.index(drawing) if drawing in now else 0, inset[1], inset[2])


def fractions(panel: Panel, size: tuple[int, int]) -> Box:
    """The panel's box as parts of the page: left, top, width, height."""
    left, top, right, bottom = panel.box
    left, right = max(0.0, left) / size[0], min(size[0], right) / size[0]
    top, bottom = max(0.0, top) / size[1], min(size[1], bottom) / size[1]
    return (left, top, right - left, bottom - top)
