"""The stair street: fronts, steps, the weather door, boots on the way up."""

from __future__ import annotations

from drawing.grounds import Box, pane, plate, rect, sky
from drawing.sheet import Point, Sheet, oval


def _chimney(sheet: Sheet, at: Point, w: float, h: float) -> None:
    """A chimney behind the roof, smoking or not."""
    x, y = at
    sheet.shape(rect(x, y, x + w * 0.12, y + h * 0.2), "dark")
    sheet.shape(rect(x - w * 0.02, y - h * 0.02, x + w * 0.14, y + h * 0.015), "white", 0.3)
    if sheet.subject.random() < 0.5:
        for i in range(3):
            r = w * (0.05 + 0.025 * i)
            sheet.shape(
                oval((x + w * (0.07 + 0.08 * i), y - h * (0.05 + 0.055 * i)), r * 1.2, r, steps=14), "white", 0.3
            )


def street(sheet: Sheet, night: bool, word: str) -> None:
    """A row of fronts along a flight of the stair, seen straight on."""
    w, h = sheet.width, sheet.height
    sky(sheet, night)
    count = max(2, round(w / h * 2.6))
    for i in range(count):
        left = w * (i - 0.1) / count
        lift = h * (0.05 + 0.04 * ((i * 7) % 3))
        house(
            sheet,
            (left, h * 0.12 - lift * (i % 2), left + w / count * 0.94, h * 0.86),
            night,
            word if i == count // 2 else "",
        )
    sheet.shape([(0, h * 0.84), (w, h * 0.84), (w, h), (0, h)], "white")
    for i in range(3):
        y = h * (0.88 + 0.04 * i)
        sheet.line([(0, y), (w, y + h * 0.004)], 0.35)


def stair(sheet: Sheet, night: bool, word: str) -> None:
    """The stair going up between walls, houses climbing with it."""
    w, h = sheet.width, sheet.height
    sky(sheet, night)
    for i in range(4):
        left = w * (0.02 + 0.25 * i)
        base = h * (0.82 - 0.17 * i)
        house(sheet, (left, base - h * 0.42, left + w * 0.23, base), night)
    steps = 11
    profile: list[Point] = []
    for i in range(steps):
        x, y = w * i / steps, h * (0.96 - 0.6 * i / steps)
        profile += [(x, y), (x, y - h * 0.6 / steps)]
    ground = [(0.0, h), *profile, (w, h * 0.36), (w, h)]
    sheet.shape(ground, "white", edge=False)
    sheet.line([*profile, profile[-1]], 0.55)
    masonry(sheet, profile)
    sheet.guide([(0, h * 0.96), (w, h * 0.36)])
    rail = [(w * i / 6, h * (0.8 - 0.6 * i / 6)) for i in range(7)]
    sheet.line(rail, 0.6)
    for x, y in rail:
        sheet.line([(x, y), (x, y + h * 0.14)], 0.45)


def masonry(sheet: Sheet, profile: list[Point]) -> None:
    """Stones of the wall under the steps, thinner the further down."""
    w, h = sheet.width, sheet.height
    foot = [(x, y + h * 0.03) for x, y in profile]
    sheet.hatch([*foot, *[(x, y + h * 0.035) for x, y in reversed(foot)]], 62, 0.9, 0.22, 0 if sheet.inked else 170)
    for x, y in profile[::2]:
        for row in range(1, 8):
            top = y + h * (0.04 + 0.075 * row)
            left = x + w * sheet.subject.uniform(-0.04, 0.06)
            if top > h or sheet.subject.random() < 0.25 + 0.08 * row:
                continue
            stone = rect(left, top, left + w * sheet.subject.uniform(0.03, 0.06), top + h * 0.045)
            sheet.shape(stone, "tone" if sheet.subject.random() < 0.25 else "white", 0.25)


def flight(sheet: Sheet, night: bool, word: str) -> None:
    """Steps seen from below, in perspective between two walls."""
    w, h = sheet.width, sheet.height
    sky(sheet, night)
    apex = (w * 0.5, h * 0.16)
    sheet.shape([(0, 0), (w * 0.4, h * 0.14), (w * 0.44, h * 0.3), (0, h)], "dark")
    sheet.shape([(w, 0), (w * 0.6, h * 0.14), (w * 0.56, h * 0.3), (w, h)], "tone")
    for side in (0, 1):
        for i in range(3):
            t = 0.12 + 0.25 * i
            x = t * w * 0.42 if side == 0 else w - t * w * 0.42
            y, high = h * (0.28 + 0.02 * i), h * (0.26 - 0.06 * i)
            wide = w * (0.085 - 0.02 * i)
            pane(sheet, (x - wide / 2, y, x + wide / 2, y + high), lit=(i + side) % 2 == 0)
    y, i = h * 1.0, 0
    while y > h * 0.32:
        half = w * 0.5 * (y - h * 0.1) / (h * 0.9)
        rise = h * 0.085 * (y / h) ** 1.6
        sheet.shape(rect(apex[0] - half, y - rise, apex[0] + half, y), "white", 0.4)
        sheet.hatch(rect(apex[0] - half, y - rise * 0.5, apex[0] + half, y), 0, 0.9, 0.2, 0 if sheet.inked else 180)
        y -= rise
        i += 1
    for x in (0, w):
        sheet.guide([(x, h), apex])


def gate(sheet: Sheet, night: bool, word: str) -> None:
    """The weather door: a heavy door in an arch across the stair."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, 0, w, h), "dark", edge=False)
    middle, half = w * 0.6, min(w * 0.3, h * 0.42)
    arch = [
        (middle - half, h),
        *[
            (middle + half * x, h * 0.42 - h * 0.3 * y)
            for x, y in ((-1, 0), (-0.92, 0.5), (-0.6, 0.85), (0, 1), (0.6, 0.85), (0.92, 0.5), (1, 0))
        ],
        (middle + half, h),
    ]
    sheet.shape(arch, "black", 1.0)
    inner = [(middle + (x - middle) * 0.86, h - (h - y) * 0.92) for x, y in arch]
    sheet.line(inner, 0.5, white=sheet.inked)
    for y in (0.5, 0.78):
        sheet.line([(middle - half * 0.86, h * y), (middle + half * 0.86, h * y)], 1.4, white=sheet.inked)
    for i in (-2, -1, 0, 1, 2):
        x = middle + half * 0.3 * i
        sheet.line([(x, h * 0.24), (x, h)], 0.3, white=sheet.inked)
    sheet.shape([(0, h * 0.94), (w * 0.5, h * 0.9), (w, h * 0.95), (w, h), (0, h)], "white")


def boots(sheet: Sheet, night: bool, word: str) -> None:
    """Boots on the steps, snow giving way."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, 0, w, h), "tone" if night else "white", edge=False)
    for i in range(4):
        x, y = w * (0.02 + 0.25 * i), h * (0.84 - 0.14 * i)
        sheet.shape(rect(x, y, w * 1.1, h * 1.1), "white", 0.5)
        sheet.hatch(rect(x, y + h * 0.05, x + w * 0.25, y + h * 0.14), 90, 0.9, 0.2, 0 if sheet.inked else 170)
    for i in (0, 1):
        x, y = w * (0.26 + 0.25 * i), h * (0.84 - 0.14 * (i + 0) - 0.0) - (h * 0.14 if i else 0) * 0
        s = h * 0.34
        boot = [
            (x - s * 0.2, y - s),
            (x + s * 0.16, y - s),
            (x + s * 0.18, y - s * 0.3),
            (x + s * 0.52, y - s * 0.16),
            (x + s * 0.54, y),
            (x - s * 0.22, y),
        ]
        sheet.shape(boot, "black", 0.5)
        sheet.shape(
            [
                (x - s * 0.3, y - s * 2.2),
                (x + s * 0.3, y - s * 2.2),
                (x + s * 0.22, y - s * 0.92),
                (x - s * 0.24, y - s * 0.92),
            ],
            "tone",
            0.45,
        )
        for j in range(3):
            sheet.line(
                [(x + s * 0.02, y - s * (0.4 + 0.18 * j)), (x + s * 0.17, y - s * (0.44 + 0.18 * j))],
                0.4,
                white=sheet.inked,
            )


def house(sheet: Sheet, box: Box, night: bool, number: str = "") -> None:
    """A narrow house front: steep roof, a window, a door; black or hatched sides at night."""
    left, top, right, bottom = box
    w, h = right - left, bottom - top
    wall = sheet.subject.choice(["white", "tone", "tone", "dark"] if night else ["white", "white", "tone"])
    _chimney(sheet, (left + w * 0.7, top + h * 0.02), w, h)
    sheet.shape(rect(left, top + h * 0.25, right, bottom), wall)
    roof = [(left - w * 0.06, top + h * 0.27), (left + w * 0.5, top), (right + w * 0.06, top + h * 0.27)]
    sheet.shape(roof, "white" if night else "dark")
    if night:
        tiles = [
            (left + w * 0.14, top + h * 0.27),
            (left + w * 0.5, top + h * 0.11),
            (right - w * 0.14, top + h * 0.27),
        ]
        sheet.hatch(tiles, 90, 1.0, 0.22, 0 if sheet.inked else 160)
    pane(
        sheet,
        (left + w * 0.16, top + h * 0.36, left + w * 0.44, top + h * 0.58),
        lit=sheet.subject.random() < 0.5 or not night,
    )
    pane(sheet, (left + w * 0.58, top + h * 0.36, left + w * 0.86, top + h * 0.58), lit=sheet.subject.random() < 0.3)
    door = (left + w * 0.34, top + h * 0.66, left + w * 0.66, bottom)
    sheet.shape(rect(*door), "black")
    sheet.dot((door[2] - w * 0.05, (door[1] + door[3]) / 2), 0.35, white=True)
    sheet.line([(door[0] - w * 0.04, door[1]), (door[2] + w * 0.04, door[1])], 0.5)
    if number:
        plate(sheet, ((door[0] + door[2]) / 2, door[1] - h * 0.035), number, h * 0.05)
