"""Above the last door: the slope, the broken steps, the whole valley, a post with a letter box."""

from __future__ import annotations

from itertools import pairwise

from drawing.grounds import plate, rect, sky
from drawing.sheet import Point, Sheet


def slope(sheet: Sheet, night: bool, word: str) -> None:
    """The hillside above the last door: drifts, stakes, a line of buried steps."""
    w, h = sheet.width, sheet.height
    sky(sheet, night)
    far = [
        (0, h * 0.5),
        (w * 0.18, h * 0.3),
        (w * 0.34, h * 0.44),
        (w * 0.55, h * 0.2),
        (w * 0.8, h * 0.42),
        (w, h * 0.26),
        (w, h),
        (0, h),
    ]
    sheet.shape(far, "tone", 0.45)
    near = [(0, h * 0.78), (w * 0.25, h * 0.7), (w * 0.5, h * 0.6), (w * 0.75, h * 0.56), (w, h * 0.44), (w, h), (0, h)]
    sheet.shape(near, "white", 0.55)
    for i in range(6):
        x = w * (0.06 + 0.17 * i)
        y = h * (0.86 - 0.055 * i)
        sheet.line([(x, y), (x + w * 0.004, y - h * 0.12)], 0.9)
    for _ in range(5):
        x, y = w * sheet.subject.uniform(0.05, 0.9), h * sheet.subject.uniform(0.78, 0.97)
        sheet.line([(x, y), (x + w * 0.06, y - h * 0.015), (x + w * 0.13, y)], 0.3, taper=True)


def gap(sheet: Sheet, night: bool, word: str) -> None:
    """Where the stair stops: broken steps over black."""
    w, h = sheet.width, sheet.height
    sky(sheet, night)
    sheet.shape(
        [(w * 0.3, h), (w * 0.42, h * 0.55), (w * 0.6, h * 0.62), (w * 0.72, h * 0.34), (w, h * 0.3), (w, h)], "black"
    )
    sheet.shape([(w * 0.72, h * 0.34), (w * 0.8, h * 0.5), (w, h * 0.44), (w, h * 0.3)], "tone")
    steps = [(0.0, h * 0.95)]
    for i in range(5):
        steps += [(w * (0.09 * i + 0.02), h * (0.88 - 0.075 * i)), (w * (0.09 * i + 0.11), h * (0.88 - 0.075 * i))]
    ledge = [*steps, (w * 0.5, h * 0.66), (w * 0.43, h * 0.75), (w * 0.45, h * 0.88), (w * 0.36, h), (0, h)]
    sheet.shape(ledge, "white", 0.6)
    sheet.hatch(
        [
            (w * 0.43, h * 0.6),
            (w * 0.5, h * 0.66),
            (w * 0.43, h * 0.75),
            (w * 0.45, h * 0.88),
            (w * 0.36, h),
            (w * 0.3, h),
        ],
        80,
        0.9,
        0.25,
        0 if sheet.inked else 150,
    )


def valley(sheet: Sheet, night: bool, word: str) -> None:
    """The whole town from above: one bent line of lit windows down the mountain."""
    w, h = sheet.width, sheet.height
    sky(sheet, night)
    for depth, fill in ((0.2, "tone"), (0.32, "dark")):
        ridge: list[Point] = [(0, h * (depth + 0.12))]
        for i in range(1, 9):
            ridge.append((w * i / 8, h * (depth + sheet.subject.uniform(-0.1, 0.12))))
        sheet.shape([*ridge, (w, h), (0, h)], fill, 0.45)
    hill = [(0, h * 0.5), (w * 0.3, h * 0.56), (w * 0.55, h * 0.48), (w * 0.8, h * 0.6), (w, h * 0.5), (w, h), (0, h)]
    sheet.shape(hill, "black" if night else "white", 0.5)
    line = [
        (w * x, h * y)
        for x, y in ((0.04, 0.98), (0.2, 0.9), (0.32, 0.78), (0.27, 0.7), (0.42, 0.66), (0.56, 0.56), (0.62, 0.5))
    ]
    sheet.line(line, 1.1, white=night and sheet.inked)
    for (x, y), (u, v) in pairwise(line):
        for t in range(5):
            px, py = x + (u - x) * t / 5, y + (v - y) * t / 5
            s = h * (0.02 + 0.03 * (py / h))
            roof = [(px - s, py - s), (px, py - s * 1.9), (px + s, py - s)]
            sheet.shape(rect(px - s, py - s, px + s, py), "white", 0.25)
            sheet.shape(roof, "tone", 0.25)
    scar = [
        (w * 0.62, h * 0.5),
        (w * 0.72, h * 0.4),
        (w * 0.9, h * 0.7),
        (w * 0.98, h),
        (w * 0.74, h),
        (w * 0.7, h * 0.7),
    ]
    sheet.shape(scar, "white", 0.5)
    sheet.hatch(scar, 70, 2.2, 0.3, 0 if sheet.inked else 160)


def post(sheet: Sheet, night: bool, word: str) -> None:
    """A post with a letter box and a number, on the bare ground where the house was."""
    w, h = sheet.width, sheet.height
    slope(sheet, night, "")
    x, top = w * 0.56, h * 0.26
    s = h * 0.12
    sheet.shape(rect(x - s * 0.2, top, x + s * 0.2, h * 0.88), "dark", 0.5)
    sheet.shape(
        [
            (x - s, top + s * 1.4),
            (x - s, top + s * 0.3),
            (x, top - s * 0.25),
            (x + s, top + s * 0.3),
            (x + s, top + s * 1.4),
        ],
        "black",
        0.5,
    )
    sheet.shape(rect(x - s * 0.6, top + s * 0.55, x + s * 0.6, top + s * 0.75), "white", 0.4)
    if word:
        plate(sheet, (x, top + s * 2.0), word, s * 0.5)
