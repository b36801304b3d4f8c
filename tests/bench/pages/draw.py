"""Draws a planned page: what stands in a panel follows from the panel's seed alone."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from PIL import Image, ImageDraw, ImageFilter

from tests.bench.pages.plan import Box, Panel, Plan, panels_of

#: Pages are drawn at twice their size and brought down, so that lines have soft edges as exports have.
FINE = 2
STYLES = ("lines", "tones", "colour")


@dataclass(frozen=True)
class Patch:
    """A correction inside a panel: the seed it follows, and its size as part of the panel's shorter side."""

    seed: int
    size: float


def draw_page(plan: Plan, style: str, patches: Mapping[int, Patch] = {}, *, crossings: int = 0) -> Image.Image:
    """The page in "L" or "RGB"; `patches` are corrections by panel index.

    `crossings` is the seed of what stands over gutters.
    """
    ground = 12 if plan.kind == "black" else 255
    fine = Image.new("L", (plan.size[0] * FINE, plan.size[1] * FINE), ground)
    unit = plan.size[0] / len(plan.halves) * FINE
    laid = panels_of(plan)
    for n, panel in enumerate(laid):
        _put(fine, plan, panel, style, unit, patches.get(n))
    if plan.kind == "crossing":
        _cross(ImageDraw.Draw(fine), laid, random.Random(crossings), unit)
    page = fine.reduce(FINE)
    if style == "lines":
        return page.point(lambda tone: 0 if tone < 60 else 255 if tone > 195 else tone)
    return _coloured(page, laid) if style == "colour" else page


def _coloured(page: Image.Image, laid: Sequence[Panel]) -> Image.Image:
    result = page.convert("RGB")
    for panel in laid:
        dice = random.Random(panel.drawing ^ 0xC01)
        mask = Image.new("L", page.size)
        ImageDraw.Draw(mask).polygon([*panel.corners], fill=255)
        tint = [dice.uniform(0.6, 1.0) for _ in range(3)]
        bands = [page.point([round(tone * part) if tone < 246 else tone for tone in range(256)]) for part in tint]
        result.paste(Image.merge("RGB", bands), mask=mask)
    return result


def _put(fine: Image.Image, plan: Plan, panel: Panel, style: str, unit: float, patch: Patch | None) -> None:
    corners = [(x * FINE, y * FINE) for x, y in panel.corners]
    left, top, right, bottom = (round(side * FINE) for side in panel.box)
    inner = (max(0, left), max(0, top), min(fine.width, right), min(fine.height, bottom))
    art = Image.new("L", (right - left, bottom - top), 255)
    mask = Image.new("L", art.size)
    shape = [(x - left, y - top) for x, y in corners]
    ImageDraw.Draw(mask).polygon(shape, fill=255)
    dice = random.Random(panel.drawing)
    _scene(art, dice, style, unit, plan.kind)
    if patch:
        _correct(ImageDraw.Draw(art), art.size, random.Random(patch.seed), patch.size)
    seen = (inner[0] - left, inner[1] - top, inner[2] - left, inner[3] - top)
    line = max(2, round(plan.frame * unit))
    pen = ImageDraw.Draw(fine)
    if panel.inset and panel.drawing % 2:
        pen.polygon(_grown(corners, line * 2.5), fill=255)
    fine.paste(art.crop(seen), inner[:2], mask.crop(seen))
    if plan.kind != "borderless":
        ink = 0 if plan.kind != "black" else 12
        pen.line([*corners, corners[0], corners[1]], fill=ink, width=line, joint="curve")


def _grown(corners: Sequence[tuple[float, float]], by: float) -> list[tuple[float, float]]:
    middle = (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))
    return [(x + math.copysign(by, x - middle[0]), y + math.copysign(by, y - middle[1])) for x, y in corners]


def _scene(art: Image.Image, dice: random.Random, style: str, unit: float, kind: str) -> None:
    """Ground, far things, figures, and what is said, in this order; no night where gutters are black."""
    filled, nights = kind == "borderless", [] if kind == "black" else ["night"]
    pen, (wide, high) = ImageDraw.Draw(art), art.size
    thin = max(2, round(unit * 0.0022))
    tone = dice.choice([200, 170, 140, 225]) if style != "lines" else 255
    ground = dice.choice([*([] if filled else ["clear"]), "tone", "hatched", *nights])
    if ground == "night":
        pen.rectangle((0, 0, wide, high), fill=dice.choice([0, 25]) if style == "lines" else dice.randrange(20, 70))
    elif ground == "tone" and style != "lines":
        pen.rectangle((0, 0, wide, high), fill=tone)
    elif ground != "clear" or filled:
        _hatch(pen, (0, 0, wide, high), dice, max(thin, 2), 5 if filled else dice.randrange(7, 14))
    _horizon(pen, art.size, dice, thin)
    for _ in range(dice.randrange(1, 4)):
        _thing(pen, art.size, dice, thin, style)
    for _ in range(dice.randrange(1, 4)):
        _figure(pen, art.size, dice, thin)
    if dice.random() < 0.6 and min(art.size) > unit * 0.2:
        _balloon(pen, (dice.uniform(0.25, 0.75) * wide, dice.uniform(0.15, 0.3) * high), unit, dice)
    if dice.random() < 0.3 and min(art.size) > unit * 0.2:
        _caption(pen, art.size, unit, dice)


def _hatch(pen: ImageDraw.ImageDraw, box: Box, dice: random.Random, thin: int, step: int) -> None:
    left, top, right, bottom = box
    lean = dice.choice([-1, 1]) * dice.uniform(0.4, 1.4) * (bottom - top)
    x = left - abs(lean)
    while x < right + abs(lean):
        pen.line((x, top, x + lean, bottom), fill=0, width=thin)
        x += thin * step * dice.uniform(0.4, 0.6)


def _horizon(pen: ImageDraw.ImageDraw, size: tuple[int, int], dice: random.Random, thin: int) -> None:
    y = dice.uniform(0.5, 0.85) * size[1]
    points = [(x, y + dice.uniform(-1.5, 1.5) * thin) for x in range(0, size[0] + 40, 40)]
    pen.line(points, fill=0, width=thin)


def _thing(pen: ImageDraw.ImageDraw, size: tuple[int, int], dice: random.Random, thin: int, style: str) -> None:
    """A window, a box, a tree of strokes."""
    x, y = dice.uniform(0.05, 0.8) * size[0], dice.uniform(0.05, 0.7) * size[1]
    wide, high = dice.uniform(0.08, 0.22) * size[0], dice.uniform(0.1, 0.3) * size[1]
    fill = dice.choice([None, 255, 0] if style == "lines" else [None, 255, 90, 160, 0])
    if dice.random() < 0.5:
        pen.rectangle((x, y, x + wide, y + high), outline=0, width=thin * 2, fill=fill)
    else:
        for _ in range(14):
            a, b = dice.uniform(x, x + wide), dice.uniform(y, y + high)
            pen.line(
                (a, b, a + dice.uniform(-wide, wide) / 2, b + dice.uniform(-high, high) / 2), fill=0, width=thin * 2
            )


def _figure(pen: ImageDraw.ImageDraw, size: tuple[int, int], dice: random.Random, thin: int) -> None:
    tall = dice.uniform(0.45, 0.85) * size[1]
    x, foot = dice.uniform(0.15, 0.85) * size[0], dice.uniform(0.85, 1.1) * size[1]
    head = tall * 0.11
    top = foot - tall
    body = [(x - head * dice.uniform(1, 2), foot), (x - head * 1.5, top + head * 2.4), (x, top + head * 1.8),
            (x + head * 1.5, top + head * 2.4), (x + head * dice.uniform(1, 2), foot)]  # fmt: skip
    pen.polygon(body, fill=dice.choice([255, 0]), outline=0, width=thin * 2)
    pen.ellipse((x - head, top, x + head, top + head * 2), fill=255, outline=0, width=thin * 2)
    for side in (-0.4, 0.4):
        eye = (x + side * head, top + head * 0.9)
        pen.ellipse((eye[0] - thin * 1.5, eye[1] - thin * 1.5, eye[0] + thin * 1.5, eye[1] + thin * 1.5), fill=0)
    for _ in range(9):
        a = dice.uniform(math.pi, 2 * math.pi)
        pen.line(
            (x, top + head, x + head * 1.3 * math.cos(a), top + head + head * 1.3 * math.sin(a)), fill=0, width=thin
        )
    for side in (-1, 1):
        reach = (x + side * head * dice.uniform(2, 5), top + head * dice.uniform(2, 6))
        pen.line((x + side * head * 1.5, top + head * 2.6, *reach), fill=0, width=thin * 3)


def _balloon(pen: ImageDraw.ImageDraw, middle: tuple[float, float], unit: float, dice: random.Random) -> None:
    wide, high = unit * dice.uniform(0.06, 0.1), unit * dice.uniform(0.03, 0.05)
    x, y = middle
    line = max(2, round(unit * 0.003))
    pen.polygon(
        [(x - wide * 0.2, y), (x + wide * 0.2, y), (x + wide * 0.4, y + high * 1.9)], fill=255, outline=0, width=line
    )
    pen.ellipse((x - wide, y - high, x + wide, y + high), fill=255, outline=0, width=line)
    _words(pen, (x - wide * 0.65, y - high * 0.5, x + wide * 0.65, y + high * 0.6), unit, dice)


def _caption(pen: ImageDraw.ImageDraw, size: tuple[int, int], unit: float, dice: random.Random) -> None:
    box = (unit * 0.015, unit * 0.015, unit * dice.uniform(0.13, 0.18), unit * 0.07)
    pen.rectangle(box, fill=255, outline=0, width=max(2, round(unit * 0.003)))
    _words(pen, (box[0] + unit * 0.01, box[1] + unit * 0.012, box[2] - unit * 0.01, box[3]), unit, dice)


def _words(pen: ImageDraw.ImageDraw, box: Box, unit: float, dice: random.Random) -> None:
    left, top, right, bottom = box
    height = unit * 0.008
    y = top
    while y + height < bottom:
        x = left
        while x < right - height:
            pen.line((x, y + dice.uniform(0, height), x + height * 0.6, y + dice.uniform(0, height)), fill=0, width=2)
            x += height * dice.choice([0.8, 0.8, 1.6])
        y += height * 2


def _correct(pen: ImageDraw.ImageDraw, size: tuple[int, int], dice: random.Random, part: float) -> None:
    """A spot painted over and drawn again."""
    reach = part * min(size) / 2
    x, y = dice.uniform(0.3, 0.7) * size[0], dice.uniform(0.35, 0.65) * size[1]
    pen.ellipse((x - reach, y - reach, x + reach, y + reach), fill=dice.choice([255, 255, 0]), outline=0, width=4)
    for _ in range(5):
        a = dice.uniform(0, 2 * math.pi)
        end = (x + reach * math.cos(a), y + reach * math.sin(a))
        pen.line((x, y, *end), fill=dice.choice([0, 0, 255]), width=max(3, round(reach / 6)))


def _cross(pen: ImageDraw.ImageDraw, laid: Sequence[Panel], dice: random.Random, unit: float) -> None:
    """Balloons and figures that stand over the gutter between two panels."""
    for first, second in pairwise(laid):
        if dice.random() < 0.35:
            continue
        a, b = first.box, second.box
        beside = min(a[3], b[3]) - max(a[1], b[1]) > 0.5 * min(a[3] - a[1], b[3] - b[1])
        if beside:
            x = (min(a[2], b[2]) + max(a[0], b[0])) / 2
            y = dice.uniform(max(a[1], b[1]) + 0.06 * unit, min(a[3], b[3]) - 0.06 * unit)
        else:
            x = dice.uniform(max(a[0], b[0]), min(a[2], b[2])) if min(a[2], b[2]) > max(a[0], b[0]) else b[0]
            y = (a[3] + b[1]) / 2
        if dice.random() < 0.6:
            _balloon(pen, (x * FINE, y * FINE), unit, dice)
        else:
            reach = unit * dice.uniform(0.03, 0.06)
            pen.ellipse(
                (x * FINE - reach, y * FINE - reach, x * FINE + reach, y * FINE + reach),
                fill=dice.choice([0, 255]),
                outline=0,
                width=5,
            )


def pencilled(page: Image.Image, dice: random.Random) -> Image.Image:
    """The page as it stood in pencil: grey, softer, paler, with lines of construction."""
    grey = page.convert("L").filter(ImageFilter.GaussianBlur(dice.uniform(0.6, 1.0)))
    pale = grey.point(lambda tone: 250 - round((255 - tone) * 0.55))
    pen = ImageDraw.Draw(pale)
    for _ in range(dice.randrange(4, 12)):
        x, y = dice.uniform(0, page.width), dice.uniform(0, page.height)
        pen.line(
            (x, y, x + dice.uniform(-0.3, 0.3) * page.width, y + dice.uniform(-0.3, 0.3) * page.height),
            fill=200,
            width=1,
        )
    return pale
