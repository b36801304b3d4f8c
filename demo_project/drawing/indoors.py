"""The post room, a kitchen, a house door close to, a letter in two hands."""

from __future__ import annotations

from drawing.grounds import pane, plate, rect
from drawing.lettering import measure, write
from drawing.sheet import Sheet


def post_room(sheet: Sheet, night: bool, word: str) -> None:
    """Pigeonholes, a hanging lamp, a window, the counter."""
    w, h = sheet.width, sheet.height
    left = w * 0.04
    cell = h * 0.115
    columns = int(w * 0.62 / cell)
    sheet.shape(rect(left, h * 0.12, left + columns * cell, h * 0.12 + cell * 5), "white")
    for row in range(5):
        for column in range(columns):
            x, y = left + column * cell, h * 0.12 + row * cell
            sheet.shape(rect(x, y, x + cell, y + cell), sheet.subject.choice(["black", "white", "tone", "black"]), 0.3)
            if sheet.subject.random() < 0.45:
                sheet.shape(
                    [
                        (x + cell * 0.2, y + cell * 0.3),
                        (x + cell * 0.85, y + cell * 0.4),
                        (x + cell * 0.85, y + cell),
                        (x + cell * 0.2, y + cell),
                    ],
                    "white",
                    0.25,
                )
    window = (w * 0.74, h * 0.14, w * 0.95, h * 0.5)
    sheet.shape(rect(*window), "black" if night else "white")
    pane(sheet, window, lit=not night)
    lamp = (w * 0.6, h * 0.2)
    sheet.line([(lamp[0], 0), lamp], 0.4)
    sheet.shape([(lamp[0] - w * 0.06, lamp[1] + h * 0.07), lamp, (lamp[0] + w * 0.06, lamp[1] + h * 0.07)], "black")


def counter(sheet: Sheet) -> None:
    """In front of whoever stands behind it."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, h * 0.8, w, h * 0.84), "white", 0.5)
    sheet.shape(rect(0, h * 0.84, w, h), "dark", 0.5)
    sheet.shape(rect(w * 0.1, h * 0.72, w * 0.2, h * 0.8), "white", 0.35)
    sheet.shape(rect(w * 0.11, h * 0.76, w * 0.23, h * 0.8), "white", 0.35)


def kitchen(sheet: Sheet, night: bool, word: str) -> None:
    """A stove with its pipe, a window, a shelf, boards."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, h * 0.86, w, h), "tone")
    for i in range(5):
        sheet.line([(w * i / 5, h * 0.86), (w * (i * 1.3 - 0.5) / 4, h)], 0.3)
    window = (w * 0.12, h * 0.16, w * 0.3, h * 0.52)
    pane(sheet, window, lit=False)
    stove = (w * 0.7, h * 0.5, w * 0.92, h * 0.86)
    sheet.shape(rect(w * 0.77, 0, w * 0.83, h * 0.5), "dark")
    sheet.shape(rect(*stove), "black")
    door = (w * 0.74, h * 0.58, w * 0.88, h * 0.74)
    sheet.shape(rect(*door), "white")
    for i in range(4):
        x = w * (0.76 + 0.03 * i)
        sheet.line([(x, h * 0.73), (x + w * 0.008, h * 0.66), (x + w * 0.002, h * 0.61)], 0.6, taper=True)
    sheet.line([(w * 0.4, h * 0.3), (w * 0.66, h * 0.3)], 0.7)
    for i in range(5):
        x = w * (0.42 + 0.05 * i)
        sheet.shape(rect(x, h * (0.22 + 0.02 * (i % 2)), x + w * 0.03, h * 0.3), "dark" if i % 2 else "white", 0.3)
    sheet.guide([(0, h * 0.86), (w * 0.5, h * 0.4), (w, h * 0.86)])


def doorway(sheet: Sheet, night: bool, word: str) -> None:
    """A house door close to, its plate, the drifted step."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, 0, w, h), "white", edge=False)
    for row in range(9):
        y = h * row / 9
        sheet.line([(0, y), (w, y)], 0.25)
        for i in range(6):
            x = w * (i + 0.5 * (row % 2)) / 5.5
            sheet.line([(x, y), (x, y + h / 9)], 0.25)
    left, right = w * 0.5, min(w * 0.94, w * 0.5 + h * 0.6)
    sheet.shape(rect(left - w * 0.03, h * 0.1, right + w * 0.03, h), "white", 0.6)
    sheet.shape(rect(left, h * 0.14, right, h), "black", 0.5)
    for i in range(1, 4):
        x = left + (right - left) * i / 4
        sheet.line([(x, h * 0.15), (x, h)], 0.3, white=sheet.inked)
    sheet.dot((left + (right - left) * 0.12, h * 0.62), 0.9, white=True)
    if word:
        plate(sheet, ((left + right) / 2, h * 0.3), word, min(h * 0.085, w * 0.07))
    sheet.shape([(0, h * 0.93), (w * 0.4, h * 0.9), (w * 0.7, h * 0.94), (w, h * 0.9), (w, h), (0, h)], "white")


def envelope(sheet: Sheet, night: bool, word: str) -> None:
    """The letter in two hands, close."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, 0, w, h), "dark", edge=False)
    s = min(w, h * 1.4)
    cx, cy = w * 0.5, h * 0.56
    sheet.shape(
        [
            (cx - s * 0.36, cy - s * 0.2),
            (cx + s * 0.34, cy - s * 0.23),
            (cx + s * 0.37, cy + s * 0.2),
            (cx - s * 0.34, cy + s * 0.22),
        ],
        "white",
        0.5,
    )
    sheet.shape(rect(cx + s * 0.21, cy - s * 0.18, cx + s * 0.31, cy - s * 0.06), "dark", 0.35)
    height = min(s * 0.052, s * 0.6 / max(measure(word), 6))
    for i, part in enumerate(word.split("/")):
        write(sheet, (cx - s * 0.27, cy - s * 0.06 + i * height * 1.6), part, height, 0.3)
    for side in (-1, 1):
        thumb = [
            (cx + side * s * 0.5, cy + s * 0.42),
            (cx + side * s * 0.4, cy + s * 0.1),
            (cx + side * s * 0.3, cy + s * 0.06),
            (cx + side * s * 0.29, cy + s * 0.11),
            (cx + side * s * 0.34, cy + s * 0.2),
            (cx + side * s * 0.3, cy + s * 0.46),
        ]
        sheet.shape(thumb, "white", 0.5)
        sheet.shape(
            [
                (cx + side * s * 0.56, cy + s * 0.3),
                (cx + side * s * 0.36, cy + s * 0.3),
                (cx + side * s * 0.3, cy + s * 0.6),
                (cx + side * s * 0.6, cy + s * 0.6),
            ],
            "black",
            0.5,
        )
