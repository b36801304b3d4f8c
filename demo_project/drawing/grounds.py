"""What every place is made of: sky, weather, windows, number plates, a plain ground."""

from __future__ import annotations

from drawing.lettering import measure, write
from drawing.sheet import Point, Sheet

Box = tuple[float, float, float, float]


def rect(left: float, top: float, right: float, bottom: float) -> list[Point]:
    """The corners of a rectangle."""
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def sky(sheet: Sheet, night: bool, bottom: float = 1.0) -> None:
    """A black sky at night, an open one by day with a line or two of cloud."""
    w, h = sheet.width, sheet.height
    if night:
        sheet.shape(rect(0, 0, w, h * bottom), "black", edge=False)
        return
    for i in range(2):
        y = h * (0.16 + 0.1 * i)
        x = w * sheet.subject.uniform(0.1, 0.5)
        sheet.line([(x, y), (x + w * 0.12, y - h * 0.015), (x + w * 0.3, y)], 0.3, taper=True)


def pane(sheet: Sheet, box: Box, lit: bool) -> None:
    """A window of four panes."""
    left, top, right, bottom = box
    sheet.shape(rect(*box), "white" if lit else "black")
    white = not lit and sheet.inked
    sheet.line([((left + right) / 2, top), ((left + right) / 2, bottom)], 0.3, white=white)
    sheet.line([(left, (top + bottom) / 2), (right, (top + bottom) / 2)], 0.3, white=white)
    sheet.line([(left - 2, bottom + 2), (right + 2, bottom + 2)], 0.6)


def plate(sheet: Sheet, centre: Point, words: str, height: float) -> None:
    """A number plate or sign."""
    half = measure(words) * height / 2 + height * 0.5
    x, y = centre
    sheet.shape(rect(x - half, y - height * 0.9, x + half, y + height * 0.9), "white", 0.4)
    write(
        sheet,
        (x - measure(words) * height / 2 + height * 0.1, y - height * 0.5),
        words,
        height,
        max(0.3, height / sheet.mm * 0.13),
    )


def plain(sheet: Sheet, night: bool, word: str) -> None:
    """Nothing behind the figure: black at night, a few strokes by day."""
    w, h = sheet.width, sheet.height
    if night:
        sheet.shape(rect(0, 0, w, h), "black", edge=False)
    else:
        sheet.hatch([(0, h * 0.35), (w, h * 0.6), (w, h), (0, h)], 38, 1.5, 0.2, 0 if sheet.inked else 190)


def shade(sheet: Sheet, night: bool, word: str) -> None:
    """A hatched ground with a black foot."""
    w, h = sheet.width, sheet.height
    sheet.shape(rect(0, 0, w, h), "dark" if night else "tone", edge=False)
    sheet.shape([(0, h * 0.78), (w, h * 0.7), (w, h), (0, h)], "black", edge=False)


def snow(sheet: Sheet, heavy: bool) -> None:
    """Flakes: white with a thin edge, so that they show on black and on white."""
    area = sheet.width * sheet.height / sheet.mm**2
    for _ in range(int(area / (18 if heavy else 42))):
        at = (sheet.chance.uniform(0, sheet.width), sheet.chance.uniform(0, sheet.height))
        r = sheet.chance.uniform(0.3, 0.75) * sheet.mm
        if heavy:
            sheet.line([at, (at[0] - 2.6 * r, at[1] + 1.6 * r)], 0.6, white=True)
            continue
        edge = 0 if sheet.inked else 150
        sheet.draw.ellipse(
            (at[0] - r, at[1] - r, at[0] + r, at[1] + r), fill=255, outline=edge, width=max(1, round(0.12 * sheet.mm))
        )
