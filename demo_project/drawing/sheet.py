"""Paper and pen: what a line, a black and a hatching look like in thumbnails, pencils and inks."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from PIL import Image, ImageDraw

Point = tuple[float, float]
Points = Sequence[Point]

PAPER = 255
#: Drawn larger than exported, so that edges come out clean.
OVERSIZE = 2


@dataclass
class Sheet:
    """A piece of paper, `width` x `height` px, with the pen of a pass; `mm` is a millimetre in px."""

    width: int
    height: int
    mm: float
    style: str
    seed: str
    image: Image.Image = field(init=False)

    def __post_init__(self) -> None:
        self.image = Image.new("L", (self.width, self.height), PAPER)
        self.chance = random.Random(f"{self.seed} {self.style}")
        #: The same in every pass, for what belongs to the picture and not to the hand.
        self.subject = random.Random(self.seed)
        #: While set, only the light rim is drawn that parts a figure from what is behind it.
        self.rim = False

    @cached_property
    def draw(self) -> ImageDraw.ImageDraw:
        return ImageDraw.Draw(self.image)

    @property
    def rough(self) -> bool:
        return self.style == "thumbs"

    @property
    def inked(self) -> bool:
        return self.style == "inks"

    def line(self, points: Points, width: float = 0.35, *, taper: bool = False, white: bool = False) -> None:
        """A line through the points, `width` in mm; tapered ends where a brush would lift."""
        if self.rim:
            return
        if self.inked or white:
            self._brush(points, width, taper, PAPER if white else 0)
        elif self.rough:
            self._pencil(points, 0.42, 70, 0.45)
        else:
            self._pencil(points, 0.2, 95, 0.16)
            self._pencil(points, 0.15, 150, 0.3)

    def guide(self, points: Points) -> None:
        """A construction line, seen in pencils only."""
        if self.style == "pencils":
            self._pencil(points, 0.16, 168, 0.3)

    def shape(self, points: Points, fill: str = "white", width: float = 0.35, *, edge: bool = True) -> None:
        """A closed shape: `fill` is white, black, tone (hatched), dark (hatched crosswise) or none."""
        if self.rim:
            self._brush([*points, points[0]], 1.3, False, PAPER)
            return
        if fill != "none":
            self.draw.polygon(list(points), fill=self._ground(fill))
        if fill in ("tone", "dark", "black"):
            self._texture(points, fill)
        if edge:
            self.line([*points, points[0]], width)

    def _ground(self, fill: str) -> int:
        if self.inked:
            return 0 if fill == "black" else PAPER
        if self.rough:
            return {"black": 96, "dark": 158, "tone": 208}.get(fill, PAPER)
        return {"black": 205, "dark": 232}.get(fill, PAPER)

    def _texture(self, points: Points, fill: str) -> None:
        if self.inked:
            if fill != "black":
                self.hatch(points, 52, 0.95, 0.2)
            if fill == "dark":
                self.hatch(points, 128, 1.1, 0.2)
        elif not self.rough:
            self.hatch(points, 60, 0.9 if fill == "black" else 1.7, 0.22, 140)

    def hatch(self, points: Points, angle: float, gap: float, width: float, shade: int = 0) -> None:
        """Parallel lines inside the shape; `gap` and `width` in mm, `angle` in degrees."""
        if self.rim:
            return
        left, top = (max(0, int(min(p[i] for p in points))) for i in (0, 1))
        right = min(self.width, int(max(p[0] for p in points)) + 1)
        bottom = min(self.height, int(max(p[1] for p in points)) + 1)
        if right <= left or bottom <= top:
            return
        size = (right - left, bottom - top)
        inside = Image.new("L", size, 0)
        ImageDraw.Draw(inside).polygon([(x - left, y - top) for x, y in points], fill=255)
        lines = Image.new("L", size, 0)
        pen = ImageDraw.Draw(lines)
        for one in _parallels(size, angle, gap * self.mm, self.chance):
            pen.line(one, fill=255, width=max(1, round(width * self.mm)))
        inked = Image.new("L", size, shade)
        black = Image.new("L", size, 0)
        black.paste(lines, (0, 0), inside)
        self.image.paste(inked, (left, top), black)

    def dot(self, at: Point, radius: float, *, white: bool = False) -> None:
        """A round spot; `radius` in mm."""
        r = radius * self.mm
        shade = PAPER if white else 0 if self.inked else 80
        self.draw.ellipse((at[0] - r, at[1] - r, at[0] + r, at[1] + r), fill=shade)

    def _pencil(self, points: Points, width: float, shade: int, wobble: float) -> None:
        shaken = [(x + self._shake(wobble), y + self._shake(wobble)) for x, y in smooth(points)]
        self.draw.line(shaken, fill=shade, width=max(1, round(width * self.mm)), joint="curve")

    def _shake(self, wobble: float) -> float:
        return self.chance.gauss(0, wobble * self.mm / 2)

    def _brush(self, points: Points, width: float, taper: bool, shade: int) -> None:
        path = smooth(points)
        last = len(path) - 1
        half = width * self.mm / 2
        for i in range(last):
            swell = math.sin(math.pi * (i + 0.7) / (last + 0.7)) if taper else 1.0
            r = max(half * swell, 0.55)
            (x, y), (u, v) = path[i], path[i + 1]
            self.draw.line((x, y, u, v), fill=shade, width=max(1, round(2 * r)))
            if r > 1.2:
                self.draw.ellipse((u - r, v - r, u + r, v + r), fill=shade)


def _parallels(size: tuple[int, int], angle: float, gap: float, chance: random.Random) -> Iterator[list[Point]]:
    """Lines that cover a field of this size."""
    width, height = size
    reach = math.hypot(width, height) / 2
    along = (math.cos(math.radians(angle)), -math.sin(math.radians(angle)))
    across = (-along[1], along[0])
    at = -reach
    while at < reach:
        x, y = width / 2 + across[0] * at, height / 2 + across[1] * at
        yield [(x - along[0] * reach, y - along[1] * reach), (x + along[0] * reach, y + along[1] * reach)]
        at += gap * chance.uniform(0.85, 1.15)


def smooth(points: Points, steps: int = 6) -> list[Point]:
    """A curve through three or more points (Catmull-Rom); two points stay a line, a closed path keeps its corners."""
    given = list(points)
    if len(given) < 3 or given[0] == given[-1]:
        return _divided(given)
    ends = [given[0], *given, given[-1]]
    curve: list[Point] = []
    for i in range(len(ends) - 3):
        p0, p1, p2, p3 = ends[i : i + 4]
        curve += [tuple(_blend(p0[k], p1[k], p2[k], p3[k], s / steps) for k in (0, 1)) for s in range(steps)]  # type: ignore[misc]
    return [*curve, given[-1]]


def _divided(points: Points) -> list[Point]:
    """Straight pieces cut small enough for a hand to shake in."""
    found: list[Point] = []
    for (x, y), (u, v) in pairwise(points):
        found += [(x + (u - x) * s / 6, y + (v - y) * s / 6) for s in range(6)]
    return [*found, points[-1]]


def _blend(a: float, b: float, c: float, d: float, t: float) -> float:
    return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t * t + (3 * b - a - 3 * c + d) * t**3)


def oval(centre: Point, across: float, down: float, turn: float = 0.0, steps: int = 28) -> list[Point]:
    """Points of an oval; half axes in px, `turn` in degrees."""
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    found = []
    for i in range(steps):
        x, y = across * math.cos(2 * math.pi * i / steps), down * math.sin(2 * math.pi * i / steps)
        found.append((centre[0] + x * cos - y * sin, centre[1] + x * sin + y * cos))
    return found
