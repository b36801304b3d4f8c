"""Made returns: line art of the page generator, flats laid under it, and the forms both are saved in anew."""

from __future__ import annotations

import io
import math
import random
from dataclasses import dataclass

from PIL import Image, ImageDraw

from tests.bench.pages.draw import draw_page
from tests.bench.pages.plan import KINDS, Panel, Plan, make_plan, panels_of

Colour = tuple[int, int, int]
WHITE = (255, 255, 255)
#: Forms that show the same pixels.
PACKED = ("png 0", "png 1", "png 9", "tiff raw", "tiff lzw", "tiff deflate", "png palette")


@dataclass
class Made:
    """A page that went out and what comes back: line art as given and as returned, flats with or without alpha.

    `reached` is the mask ("1") of what the flats must cover: the panels.
    """

    seed: int
    plan: Plan
    given: Image.Image
    lines: Image.Image
    flats: Image.Image
    reached: Image.Image


def make_return(seed: int) -> Made:
    """An honest return: page kinds in turn, every other one transparent outside the panels."""
    dice = random.Random(seed * 7877 + 5)
    plan = make_plan(KINDS[seed % len(KINDS)], dice)
    given = draw_page(plan, ("lines", "tones")[seed // len(KINDS) % 2], crossings=seed)
    if given.mode == "L" and seed % 3 == 0 and seed // len(KINDS) % 2 == 0:
        given = given.point(lambda tone: 255 if tone > 127 else 0).convert("1")
    flats, reached = _flats(plan, dice, given.convert("L"))
    if seed // 2 % 2:
        flats.putalpha(reached.convert("L"))
    return Made(seed, plan, given, given, flats, reached)


def _flats(plan: Plan, dice: random.Random, lines: Image.Image) -> tuple[Image.Image, Image.Image]:
    """Fills of plain colour, panel by panel, and what they cover; they end on the frame, inside or outside of it.

    White ones lie on top, each around a place where the line art shows paper: white that nobody sees is no fill.
    """
    page, reached = Image.new("RGB", plan.size, WHITE), Image.new("1", plan.size)
    palette = [_colour(dice) for _ in range(dice.randrange(8, 40))]
    reach = dice.choice([-1, 0, 0, 1]) * plan.frame * plan.size[0] / len(plan.halves) / 2
    for panel in panels_of(plan):
        own = Image.new("RGB", plan.size, dice.choice(palette))
        for _ in range(dice.randrange(4, 18)):
            ImageDraw.Draw(own).polygon(_shape(panel, _somewhere(panel, dice), dice), fill=dice.choice(palette))
        for x, y in (_somewhere(panel, dice) for _ in range(dice.randrange(4))):
            if 0 <= x < lines.width - 1 and 0 <= y < lines.height - 1 and lines.getpixel((round(x), round(y))) == 255:
                ImageDraw.Draw(own).polygon(_shape(panel, (x, y), dice), fill=WHITE)
        mask = Image.new("1", plan.size)
        ImageDraw.Draw(mask).polygon(_moved_out(panel, reach), fill=1)
        page.paste(own, mask=mask)
        reached.paste(1, mask=mask)
    return page, reached


def _colour(dice: random.Random) -> Colour:
    return dice.randrange(250), dice.randrange(250), dice.randrange(250)


def _moved_out(panel: Panel, by: float) -> list[tuple[float, float]]:
    left, top, right, bottom = panel.box
    x, y = (left + right) / 2, (top + bottom) / 2
    return [(a + math.copysign(by, a - x), b + math.copysign(by, b - y)) for a, b in panel.corners]


def _somewhere(panel: Panel, dice: random.Random) -> tuple[float, float]:
    left, top, right, bottom = panel.box
    return dice.uniform(left, right), dice.uniform(top, bottom)


def _shape(panel: Panel, around: tuple[float, float], dice: random.Random) -> list[tuple[float, float]]:
    """A rounded or a jagged outline around a place on a panel."""
    left, top, right, bottom = panel.box
    x, y = around
    reach = dice.uniform(0.03, 0.3) * min(right - left, bottom - top)
    jagged, lobes = dice.uniform(0, 0.4), dice.randrange(2, 6)
    found = []
    for n in range(28):
        angle = n * math.pi / 14
        far = reach * (1 + 0.3 * math.sin(lobes * angle) + jagged * dice.random())
        found.append((x + far * math.cos(angle), y + far * math.sin(angle)))
    return found


def packed(page: Image.Image, form: str) -> bytes:
    """A page as a file of a form; a palette where the colours allow one."""
    out = io.BytesIO()
    kind, _, how = form.partition(" ")
    if how == "palette":
        many = page.mode != "RGB" or page.convert("RGB").getcolors(256) is None
        (page if many else _with_palette(page)).save(out, "PNG")
    elif kind == "jpeg":
        page.save(out, "JPEG", quality=int(how))
    elif kind == "png":
        page.save(out, "PNG", compress_level=int(how))
    else:
        one = {"raw": None, "lzw": "tiff_lzw", "deflate": "tiff_adobe_deflate"}[how]
        page.save(out, "TIFF", compression=one)
    return out.getvalue()


def _with_palette(page: Image.Image) -> Image.Image:
    """The same colours by a table, exactly."""
    colours = [colour for _, colour in page.convert("RGB").getcolors(256) or []]
    table = Image.new("P", (1, 1))
    table.putpalette([tone for colour in colours for tone in colour])  # type: ignore[union-attr]
    found = page.convert("RGB").quantize(palette=table, dither=Image.Dither.NONE)
    assert found.convert("RGB").tobytes() == page.convert("RGB").tobytes()
    return found
