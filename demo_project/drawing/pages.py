"""From script and storyboard to a finished page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from PIL import Image, ImageDraw

from drawing import scenery
from drawing.figures import Figure
from drawing.grounds import snow
from drawing.indoors import counter
from drawing.lettering import Speech, letter_panel
from drawing.places import PLACES
from drawing.sheet import OVERSIZE, Point, Sheet

#: How tall a grown person is in panel heights, and where the feet or the face stand.
SIZES = {"far": 0.3, "small": 0.42, "full": 0.62, "mid": 1.0, "bust": 1.75, "face": 3.0}
MARGIN_MM, GUTTER_MM = 7.0, 2.6
CUES = {"CAP": "caption", "SFX": "sfx", "SIGN": "sign"}


@dataclass(frozen=True)
class Person:
    """A figure in a panel: key, pose, place across (share of the width), size, facing, what it carries."""

    key: str
    pose: str
    x: float
    size: str
    facing: str
    carries: str = ""


@dataclass(frozen=True)
class Picture:
    """One panel: its place, light, weather, a word on a sign, its figures."""

    place: str
    traits: tuple[str, ...]
    word: str
    people: tuple[Person, ...]


@dataclass(frozen=True)
class Page:
    """A page as drawn: label ("8", "18-19"), panels of each tier, tier heights, slanted or not, the pictures.

    In the tiers "2" is two panels side by side and "1+2" one panel beside a column of two.
    """

    label: str
    tiers: tuple[str, ...]
    heights: tuple[float, ...]
    slanted: bool
    pictures: tuple[Picture, ...]

    @property
    def spread(self) -> bool:
        return "-" in self.label


def read_storyboard(text: str, *, early: bool = False) -> list[Page]:
    """The pages of a storyboard; with `early` only those that were changed later, as they were."""
    pages: list[Page] = []
    for block in re.split(r"\n(?=page )", text)[1:]:
        head, *lines = [line for line in block.splitlines() if line.strip()]
        label, plan = re.fullmatch(r"page ([\d-]+): (.*)", head).groups()  # type: ignore[union-attr]
        tiers, sizes = plan.split(" / ")
        heights = [word for word in sizes.split() if word != "s"]
        pictures = [_picture(line) for line in lines if not line.startswith("early")]
        before = [found for line in lines if (found := re.match(r"early (\d+): (.*)", line))]
        if early and not before:
            continue
        for other in before if early else ():
            pictures[int(other[1]) - 1] = _picture(other[2])
        pages.append(
            Page(label, tuple(tiers.split()), tuple(map(float, heights)), "s" in sizes.split(), tuple(pictures))
        )
    return pages


def _picture(line: str) -> Picture:
    place, *people = [part.strip() for part in line.split(";")]
    word = "".join(re.findall(r'"([^"]*)"', place))
    name, *traits = re.sub(r'"[^"]*"', "", place).split()
    return Picture(name, tuple(traits), word, tuple(_person(part) for part in people))


def _person(text: str) -> Person:
    key, pose, x, size, facing, *carries = text.split()
    return Person(key, pose, float(x), size, facing, "".join(carries))


def read_speech(folder: Path) -> dict[str, list[list[Speech]]]:
    """Page label -> what is lettered in each of its panels, from a script folder."""
    pages: dict[str, list[list[Speech]]] = {}
    panels: list[list[Speech]] = []
    for path in sorted(folder.glob("*.md")):
        for line in path.read_text("utf-8").splitlines():
            if mark := re.match(r"\[pages? ([\d-]+)\]", line):
                panels = pages.setdefault(mark[1], [])
            elif line.startswith("[panel"):
                panels.append([])
            elif said := re.match(r"([A-Z &]+)(?: \(\w+\))?: (.+)", line):
                panels[-1].append(_speech(said[1], said[2]))
    return pages


def _speech(key: str, words: str) -> Speech:
    role = CUES.get(key, "dialogue")
    return Speech(role, tuple(key.split(" & ")) if role == "dialogue" else (), words)


def draw_page(page: Page, said: list[list[Speech]], style: str, size: tuple[int, int], mm: float) -> Image.Image:
    """A page of `size` px with `mm` px to a millimetre: inks are 1-bit, the rest grey."""
    if len(said) != len(page.pictures):
        raise ValueError(f"page {page.label}: {len(said)} panels written, {len(page.pictures)} drawn")
    big = Sheet(size[0] * OVERSIZE, size[1] * OVERSIZE, mm * OVERSIZE, style, f"page {page.label}")
    for i, (corners, picture) in enumerate(zip(_panels(page, big), page.pictures, strict=True)):
        _draw_panel(big, corners, picture, said[i], f"{page.label}.{i + 1}")
    grey = big.image.resize(size, Image.Resampling.LANCZOS)
    return grey.point(lambda v: 255 if v > 140 else 0).convert("1") if style == "inks" else grey


def _panels(page: Page, big: Sheet) -> Iterator[list[Point]]:
    """The corners of each panel in reading order, clockwise from the top left."""
    margin, gutter = MARGIN_MM * big.mm, GUTTER_MM * big.mm
    free = big.height - 2 * margin - gutter * (len(page.tiers) - 1)
    top = margin
    for number, (tier, share) in enumerate(zip(page.tiers, page.heights, strict=True)):
        high = free * share / sum(page.heights)
        yield from _tier(page, big, tier, top, top + high, number)
        top += high + gutter


def _tier(page: Page, big: Sheet, tier: str, top: float, bottom: float, number: int) -> Iterator[list[Point]]:
    margin, gutter = MARGIN_MM * big.mm, GUTTER_MM * big.mm
    columns = [int(n) for n in tier.split("+")] if "+" in tier else [1] * int(tier)
    shares = [1 + 0.28 * (big.subject.random() - 0.4) * (1 if (number + i) % 2 else -1) for i in range(len(columns))]
    free = big.width - 2 * margin - gutter * (len(columns) - 1)
    slant = 2.2 * big.mm * (1 if number % 2 else -1) if page.slanted else 0.0
    left = margin
    for i, (stack, share) in enumerate(zip(columns, shares, strict=True)):
        right = left + free * share / sum(shares)
        high = (bottom - top - gutter * (stack - 1)) / stack
        for row in range(stack):
            y = top + row * (high + gutter)
            above, below = (slant * (1 - 2 * (at - top) / (bottom - top)) for at in (y, y + high))
            a, b = (0 if i == 0 else 1), (0 if i == len(columns) - 1 else 1)
            yield [
                (left + a * above, y),
                (right + b * above, y),
                (right + b * below, y + high),
                (left + a * below, y + high),
            ]
        left = right + gutter


def _draw_panel(big: Sheet, corners: list[Point], picture: Picture, said: list[Speech], seed: str) -> None:
    left, top = (int(min(p[i] for p in corners)) for i in (0, 1))
    right, bottom = (int(max(p[i] for p in corners)) + 1 for i in (0, 1))
    sheet = Sheet(right - left, bottom - top, big.mm, big.style, seed)
    speakers = {key for speech in said for key in speech.speakers}
    mouths = _draw_picture(sheet, picture, speakers)
    letter_panel(sheet, said, mouths)
    mask = Image.new("L", sheet.image.size, 0)
    ImageDraw.Draw(mask).polygon([(x - left, y - top) for x, y in corners], fill=255)
    big.image.paste(sheet.image, (left, top), mask)
    _border(big, corners)


def _border(big: Sheet, corners: list[Point]) -> None:
    closed = [*corners, corners[0]]
    for a, b in pairwise(closed):
        if big.inked:
            big.draw.line([a, b], fill=0, width=round(0.55 * big.mm))
        else:
            over = 0.02
            big.line(
                [
                    (a[0] + (a[0] - b[0]) * over, a[1] + (a[1] - b[1]) * over),
                    (b[0] + (b[0] - a[0]) * over, b[1] + (b[1] - a[1]) * over),
                ],
                0.4,
            )


def _draw_picture(sheet: Sheet, picture: Picture, speakers: set[str]) -> dict[str, Point]:
    """Place, people, weather; gives where each speaker's mouth is."""
    PLACES[picture.place](sheet, "night" in picture.traits, picture.word)
    mouths: dict[str, Point] = {}
    for person in picture.people:
        figure = _figure(sheet, person)
        figure.speaks = person.key in speakers
        if person.carries == "wall":
            scenery.wall(sheet)
        if person.carries == "lamp":
            scenery.lamp_light(sheet, figure)
        figure.draw()
        scenery.carried(sheet, figure, person.carries)
        mouths[person.key] = figure.mouth
    if "counter" in picture.traits:
        counter(sheet)
    if {"snow", "storm"} & set(picture.traits):
        snow(sheet, "storm" in picture.traits)
    return mouths


def _figure(sheet: Sheet, person: Person) -> Figure:
    room = min(sheet.height, sheet.width * 1.35)
    size = SIZES[person.size] * room
    x = person.x * sheet.width
    figure = Figure(sheet, person.key, person.pose, (x, sheet.height * 0.95), size, person.facing)
    wanted = {"mid": 0.42, "bust": 0.55, "face": 0.6}.get(person.size)
    if wanted is None:
        return figure
    down = (
        sheet.height * wanted + (0.22 * size * (1 - figure.look.height) if person.size == "mid" else 0) - figure.head[1]
    )
    across = x - figure.head[0] if person.size in ("bust", "face") else 0.0
    return Figure(sheet, person.key, person.pose, (x + across, sheet.height * 0.95 + down), size, person.facing)
