"""Single pictures that the story needs once, and things in people's hands."""

from __future__ import annotations

import math

from drawing.figures import Figure
from drawing.grounds import pane, rect
from drawing.hill import slope
from drawing.indoors import envelope
from drawing.lettering import write
from drawing.sheet import Point, Sheet, oval
from drawing.town import gate, house


def last_door(sheet: Sheet, night: bool, word: str) -> None:
    """One house on a ledge, its lamp, and black above it."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, 0, w, h), "black", edge=False)
    sheet.shape(
        [
            (0, h * 0.9),
            (w * 0.2, h * 0.86),
            (w * 0.34, h * 0.8),
            (w * 0.78, h * 0.78),
            (w * 0.86, h * 0.9),
            (w * 0.92, h),
            (0, h),
        ],
        "white",
        0.6,
    )
    house(sheet, (w * 0.42, h * 0.24, w * 0.74, h * 0.8), False)
    s = h * 0.06
    cx, cy = w * 0.58, h * 0.5
    half = s * 1.75
    sheet.shape(rect(cx - half, cy - s, cx + half, cy + s), "white", 0.5)
    write(sheet, (cx - s * 1.2, cy - s * 0.6), word, s * 1.2, 0.6)
    lamp = (w * 0.36, h * 0.52)
    for i in range(14):
        a = math.tau * i / 14
        sheet.line(
            [
                (lamp[0] + s * 1.4 * math.cos(a), lamp[1] + s * 1.4 * math.sin(a)),
                (lamp[0] + s * 2.1 * math.cos(a), lamp[1] + s * 2.1 * math.sin(a)),
            ],
            0.4,
            white=sheet.inked,
        )
    sheet.shape(oval(lamp, s, s), "white", edge=False)
    sheet.shape(rect(lamp[0] - s * 0.4, lamp[1] - s * 0.6, lamp[0] + s * 0.4, lamp[1] + s * 0.5), "white", 0.4)
    sheet.line([lamp, (lamp[0], h * 0.82)], 0.9, white=sheet.inked)
    for key, x in (("M", 0.16), ("L", 0.26)):
        Figure(sheet, key, "back", (w * x, h * 0.93), h * 0.3, "r").draw()


def avalanche(sheet: Sheet, night: bool, word: str) -> None:
    """The hill coming down over a small house."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, 0, w, h), "black", edge=False)
    house(sheet, (w * 0.08, h * 0.42, w * 0.24, h * 0.86), True)
    sheet.shape([(0, h * 0.86), (w * 0.5, h * 0.84), (w * 0.5, h), (0, h)], "white")
    puffs = [_puff(sheet, i / 21) for i in range(22)]
    for at, r in puffs:
        sheet.shape(oval(at, r * 1.2, r, 20), "white", 0.9)
    for at, r in puffs:
        sheet.shape(oval(at, r * 1.2 - 0.3 * sheet.mm, r - 0.3 * sheet.mm, 20), "white", edge=False)
    for at, r in puffs[::2]:
        sheet.line(
            [(at[0] - r * 0.5, at[1] + r * 0.5), (at[0], at[1] + r * 0.72), (at[0] + r * 0.6, at[1] + r * 0.4)],
            0.6,
            taper=True,
        )
        sheet.hatch(
            oval((at[0] + r * 0.1, at[1] + r * 0.72), r * 0.6, r * 0.2), 40, 0.9, 0.22, 0 if sheet.inked else 170
        )
    for i in range(9):
        y = h * (0.06 + 0.09 * i)
        sheet.line([(w * (0.95 - 0.07 * i), y - h * 0.05), (w * (0.72 - 0.07 * i), y + h * 0.08)], 0.7, taper=True)
    for _ in range(12):
        at = (w * sheet.subject.uniform(0.2, 0.7), h * sheet.subject.uniform(0.1, 0.8))
        r = h * sheet.subject.uniform(0.012, 0.035)
        sheet.shape(
            [(at[0] - r, at[1]), (at[0], at[1] - r), (at[0] + r, at[1] + r * 0.3), (at[0], at[1] + r)], "white", 0.35
        )


def _puff(sheet: Sheet, t: float) -> tuple[Point, float]:
    """One billow of the fall, from the top right to the roof."""
    w, h = sheet.width, sheet.height
    swing = sheet.subject.uniform(-1, 1)
    at = (w * (1.0 - 0.74 * t) + w * 0.07 * swing, h * (0.05 + 0.8 * t) + h * 0.14 * swing)
    return at, h * sheet.subject.uniform(0.1, 0.22)


def window(sheet: Sheet, night: bool, word: str) -> None:
    """A window at night, a curtain on each side."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, 0, w, h), "tone", edge=False)
    pane(sheet, (w * 0.12, h * 0.12, w * 0.88, h * 0.78), lit=False)
    for side in (0, 1):
        x, to = (w * 0.04, w * 0.2) if side == 0 else (w * 0.96, w * 0.8)
        sheet.shape(
            [(x, h * 0.05), (to, h * 0.05), ((x + to) / 2, h * 0.5), (to, h * 0.82), (x, h * 0.82)], "white", 0.5
        )
        for i in range(3):
            sheet.line(
                [(x + (to - x) * i / 3, h * 0.06), (x + (to - x) * i / 5, h * 0.5), (x + (to - x) * i / 3, h * 0.82)],
                0.3,
            )


def shut(sheet: Sheet, night: bool, word: str) -> None:
    """The weather door as it closes: the last slit of light."""
    w, h = sheet.width, sheet.height
    gate(sheet, night, word)
    sheet.shape([(w * 0.6, h * 0.2), (w * 0.615, h * 0.2), (w * 0.63, h), (w * 0.585, h)], "white", edge=False)
    for i in range(10):
        a = math.pi * (0.15 + 0.7 * i / 9)
        for turn in (a, -a):
            r = h * 0.5
            at = (w * 0.6 + r * 0.8 * math.sin(turn), h * 0.55 + r * 0.8 * math.cos(a))
            to = (w * 0.6 + r * 1.15 * math.sin(turn), h * 0.55 + r * 1.15 * math.cos(a))
            sheet.line([at, to], 0.8, white=True, taper=True)


def sill(sheet: Sheet, night: bool, word: str) -> None:
    """A worn stone sill in the snow."""
    w, h = sheet.width, sheet.height
    slope(sheet, night, "")
    sheet.shape([(w * 0.08, h * 0.68), (w * 0.6, h * 0.64), (w * 0.64, h * 0.76), (w * 0.1, h * 0.82)], "white", 0.6)
    sheet.shape([(w * 0.1, h * 0.82), (w * 0.64, h * 0.76), (w * 0.64, h * 0.88), (w * 0.12, h * 0.95)], "dark", 0.6)
    sheet.line([(w * 0.2, h * 0.71), (w * 0.36, h * 0.755), (w * 0.52, h * 0.68)], 0.5, taper=True)
    sheet.line([(w * 0.24, h * 0.735), (w * 0.36, h * 0.765), (w * 0.48, h * 0.715)], 0.3, taper=True)


def written_page(sheet: Sheet, night: bool, word: str) -> None:
    """The letter unfolded, close."""
    w, h = sheet.width, sheet.height
    envelope(sheet, night, "")
    left, right = w * 0.26, w * 0.74
    sheet.shape(
        [(left, h * 0.06), (right, h * 0.1), (right - w * 0.01, h * 0.94), (left + w * 0.01, h * 0.9)], "white", 0.5
    )
    height = w * 0.03
    lines = word.split("/")
    for i, part in enumerate(lines):
        write(sheet, (left + w * 0.05, h * 0.18 + i * height * 1.9), part, height, 0.35)
    for i in range(5):
        y = h * 0.18 + (len(lines) + i) * height * 1.9
        points = [
            (left + w * 0.05 + j * w * 0.012, y + height * (0.4 if j % 2 else 0.7)) for j in range(30 - 3 * (i % 3))
        ]
        sheet.line(points, 0.3)
    sheet.line([(left, h * 0.5), (right, h * 0.52)], 0.25)


def box_door(sheet: Sheet, night: bool, word: str) -> None:
    """The letter box close, half painted."""
    w, h = sheet.width, sheet.height
    slope(sheet, night, "")
    left, right = w * 0.46, w * 0.8
    sheet.shape(
        [(left, h), (left, h * 0.3), ((left + right) / 2, h * 0.06), (right, h * 0.3), (right, h)], "white", 0.8
    )
    door = (left + w * 0.03, h * 0.42, right - w * 0.03, h * 0.96)
    sheet.shape(rect(*door), "black", 0.6)
    sheet.shape(
        [
            (door[2], door[1]),
            (door[2], door[3]),
            (door[0] + w * 0.2, door[3]),
            (door[0] + w * 0.17, h * 0.7),
            (door[0] + w * 0.22, door[1]),
        ],
        "white",
        0.4,
    )
    sheet.shape(rect(left + w * 0.08, h * 0.32, right - w * 0.08, h * 0.37), "black", 0.4)


def wall(sheet: Sheet) -> None:
    """A low wall to sit on."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, h * 0.86, w, h), "tone", 0.5)
    for i in range(6):
        sheet.line([(w * i / 6, h * 0.86), (w * (i + 0.1) / 6, h)], 0.35)


def _hand(figure: Figure) -> Point:
    elbow = figure.reach(figure.shoulder(0.02), figure.pose.front_arm[0], 0.16)
    return figure.reach(elbow, figure.pose.front_arm[1], 0.15)


def lamp_light(sheet: Sheet, figure: Figure) -> None:
    """The light a hand lamp throws, behind whoever holds it."""
    x, y = _hand(figure)
    r = 0.26 * figure.size
    for i in range(20):
        a = math.tau * i / 20
        sheet.line(
            [(x + r * math.cos(a), y + r * math.sin(a)), (x + r * 1.35 * math.cos(a), y + r * 1.35 * math.sin(a))],
            0.4,
            white=True,
        )
    sheet.shape(oval((x, y + 0.05 * figure.size), r * 0.85, r * 0.85), "white", edge=False)


def carried(sheet: Sheet, figure: Figure, what: str) -> None:
    """A lamp, a pole or a pot of paint in the front hand."""
    x, y = _hand(figure)
    s = figure.size
    if what == "lamp":
        sheet.line([(x, y), (x, y + 0.03 * s)], 0.4)
        sheet.shape(rect(x - 0.03 * s, y + 0.03 * s, x + 0.03 * s, y + 0.11 * s), "white", 0.45)
        sheet.shape([(x - 0.035 * s, y + 0.03 * s), (x, y + 0.005 * s), (x + 0.035 * s, y + 0.03 * s)], "black", 0.3)
        sheet.line([(x, y + 0.1 * s), (x + 0.008 * s, y + 0.07 * s), (x, y + 0.05 * s)], 0.5)
    elif what == "pole":
        a, b = (x - 0.55 * s, y - 0.02 * s), (x + 0.4 * s, y - 0.16 * s)
        if figure.pose.front_arm[1] > 100:
            a, b = (x, y + 0.9 * s), (x + 0.01 * s, y - 0.5 * s)
        sheet.line([a, b], 2.0)
        sheet.line([a, b], 1.2, white=True)
    elif what == "pot":
        sheet.shape(rect(x - 0.05 * s, y, x + 0.05 * s, y + 0.1 * s), "black", 0.4)
        sheet.line([(x - 0.05 * s, y), (x, y - 0.06 * s), (x + 0.05 * s, y)], 0.35)
