"""Hand lettering in strokes, balloons with their tails, captions and sounds."""

from __future__ import annotations

from dataclasses import dataclass

from drawing.sheet import Point, Sheet, oval

#: A letter is strokes; a stroke is pairs of digits, across (0-4) and down (0-6).
GLYPHS = {
    "A": "062046 1434", "B": "0006 0030413303 0333453606", "C": "4130100105163645", "D": "0006 003041453606",
    "E": "40000646 0333", "F": "400006 0333", "G": "41301001051636454323", "H": "0006 4046 0343", "I": "2026",
    "J": "4045361605", "K": "0006 400346", "L": "000646", "M": "0600234046", "N": "06004640",
    "O": "100105163645413010", "P": "0006 003041423303", "Q": "100105163645413010 3446",
    "R": "0006 003041423303 2346", "S": "413010010213334445361605", "T": "0040 2026", "U": "000516364540",
    "V": "002640", "W": "0016223640", "X": "0046 4006", "Y": "002340 2326", "Z": "00400646",
    "0": "100105163645413010", "1": "112026", "2": "01103041420646", "3": "0040224345361605", "4": "36300444",
    "5": "400002324345361605", "6": "4130100105163645443303", "7": "004016",
    "8": "3010010213334445361605041333424130", "9": "433313020110304145361605", ".": "2526", ",": "2517",
    "!": "2024 2526", "?": "01103041322324 2526", "'": "2021", "-": "1333", ":": "2223 2526", '"': "1012 3032",
    "&": "4602011020220304163644",
}  # fmt: skip
NARROW = set("I.,!':")


@dataclass(frozen=True)
class Speech:
    """Something lettered: role (dialogue, caption, sfx, sign), who speaks, the words."""

    role: str
    speakers: tuple[str, ...]
    words: str


def advance(letter: str) -> float:
    """How far a letter moves the pen, in letter heights."""
    return 0.45 if letter == " " or letter in NARROW else 0.86


def measure(text: str) -> float:
    """Width of a line of words in letter heights."""
    return sum(advance(letter) for letter in text)


def write(sheet: Sheet, at: Point, text: str, height: float, weight: float = 0.26) -> None:
    """Letters from the top left corner on; `height` in px, `weight` in mm."""
    x, y = at
    if sheet.rough:
        _squiggle(sheet, x, y + height / 2, measure(text) * height)
        return
    for letter in text.upper():
        inset = -0.27 * height if letter in NARROW else 0.0
        for stroke in GLYPHS.get(letter, "").split():
            pairs = [(int(stroke[i]), int(stroke[i + 1])) for i in range(0, len(stroke) - 1, 2)]
            path = [(x + inset + a / 4 * height * 0.62, y + b / 6 * height) for a, b in pairs]
            _letter_stroke(sheet, path, weight)
        x += advance(letter) * height


def _letter_stroke(sheet: Sheet, path: list[Point], weight: float) -> None:
    width = max(1, round(weight * sheet.mm))
    sheet.draw.line(path, fill=0 if sheet.inked else 120, width=width, joint="curve")


def _squiggle(sheet: Sheet, x: float, y: float, length: float) -> None:
    step = sheet.mm * 1.1
    points = [(x + i * step, y + (step if i % 2 else -step) * 0.35) for i in range(max(2, int(length / step)))]
    sheet.line(points)


def wrapped(text: str, most: float) -> list[str]:
    """Lines of about `most` letter heights, as even as greedy filling gives."""
    lines: list[str] = []
    for word in text.split():
        if lines and measure(f"{lines[-1]} {word}") <= most:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def letter_panel(sheet: Sheet, said: list[Speech], mouths: dict[str, Point]) -> None:
    """Letters a panel: captions and balloons from the top down, sounds where there is room."""
    height = 1.95 * sheet.mm
    top = 2.2 * sheet.mm
    for i, speech in enumerate(said):
        if speech.role == "sfx":
            _sound(sheet, speech.words, low=len(said) > 1 or bool(mouths))
            continue
        if speech.role == "sign":
            continue
        last = i == len(said) - 1
        top = _block(sheet, speech, mouths, height, top, left=i % 2 == 0, alone=last and i == 0)


def _block(
    sheet: Sheet, speech: Speech, mouths: dict[str, Point], height: float, top: float, *, left: bool, alone: bool
) -> float:
    """One balloon or caption; gives where the next one begins."""
    margin = 2.2 * sheet.mm
    pad = (1.5 if speech.role == "caption" else 2.3) * sheet.mm
    room = (sheet.width - 2 * margin - 2 * pad) * (0.95 if alone else 0.78)
    lines = wrapped(speech.words, max(room / height, 6))
    if speech.role != "caption" and len(lines) == 1 and measure(lines[0]) > 11:
        lines = wrapped(speech.words, measure(lines[0]) * 0.6)
    wide = max(measure(line) for line in lines) * height + 2 * pad
    high = len(lines) * height * 1.45 + 2 * pad * 0.8
    heads = [mouths[key] for key in speech.speakers if key in mouths]
    if speech.role == "caption":
        x = margin if left else sheet.width - margin - wide
    else:
        middle = sum(p[0] for p in heads) / len(heads) if heads else sheet.width * (0.35 if left else 0.65)
        x = min(max(middle - wide / 2, margin), sheet.width - margin - wide)
    box = (x, top, x + wide, top + high)
    if speech.role == "caption":
        _caption_box(sheet, box)
    else:
        _balloon(sheet, box, heads or [(sheet.width * (0.1 if left else 0.9), sheet.height * 1.05)])
    for i, line in enumerate(lines):
        at = (x + (wide - measure(line) * height) / 2 + 0.1 * height, top + pad * 0.85 + i * height * 1.45)
        write(sheet, at, line, height, 0.3)
    return top + high + 0.7 * sheet.mm


def _caption_box(sheet: Sheet, box: tuple[float, float, float, float]) -> None:
    left, top, right, bottom = box
    sheet.shape([(left, top), (right, top), (right, bottom), (left, bottom)], "white", 0.3)


def _balloon(sheet: Sheet, box: tuple[float, float, float, float], heads: list[Point]) -> None:
    left, top, right, bottom = box
    centre = ((left + right) / 2, (top + bottom) / 2)
    round_ = _rounded(box, sheet)
    for head in heads:
        _tail(sheet, centre, box, head, outline=True)
    sheet.shape(round_, "white", 0.38)
    for head in heads:
        _tail(sheet, centre, box, head, outline=False)


def _rounded(box: tuple[float, float, float, float], sheet: Sheet) -> list[Point]:
    """A balloon's outline: fuller than an oval."""
    left, top, right, bottom = box
    centre = ((left + right) / 2, (top + bottom) / 2)
    points = oval(centre, 1, 1, steps=48)
    grown = []
    for x, y in points:
        dx, dy = x - centre[0], y - centre[1]
        full = (abs(dx) ** 3.4 + abs(dy) ** 3.4) ** (1 / 3.4)
        grown.append((centre[0] + dx / full * (right - left) / 2, centre[1] + dy / full * (bottom - top) / 2))
    return grown


def _tail(sheet: Sheet, centre: Point, box: tuple[float, float, float, float], head: Point, *, outline: bool) -> None:
    """A tail that stops short of the mouth; its filled half hides the balloon's edge."""
    foot = (min(max(head[0], box[0] + 4 * sheet.mm), box[2] - 4 * sheet.mm), box[3] - 1.1 * sheet.mm)
    away = (head[0] - foot[0], head[1] - foot[1])
    far = max((away[0] ** 2 + away[1] ** 2) ** 0.5, 1)
    reach = min(0.62, 8 * sheet.mm / far)
    tip = (foot[0] + away[0] * reach, foot[1] + away[1] * reach)
    if tip[1] < box[3] + 1.2 * sheet.mm:
        tip = (tip[0], box[3] + 2.2 * sheet.mm)
    half = 1.15 * sheet.mm
    sides = [(foot[0] - half, foot[1]), tip, (foot[0] + half, foot[1])]
    if outline:
        sheet.shape(sides, "white", 0.38)
    else:
        inner = [(foot[0] - half * 0.72, foot[1] - 0.5 * sheet.mm), (tip[0], tip[1] - 0.10 * sheet.mm),
                 (foot[0] + half * 0.72, foot[1] - 0.5 * sheet.mm)]  # fmt: skip
        sheet.draw.polygon(inner, fill=255)


def _sound(sheet: Sheet, words: str, *, low: bool) -> None:
    """A sound in big open letters, rising to the right."""
    height = min(sheet.width * 0.8 / max(measure(words), 1), sheet.height * 0.2, 10 * sheet.mm)
    x = sheet.width * 0.5 - measure(words) * height / 2
    y = sheet.height * (0.72 if low else 0.14)
    for letter in words:
        if not sheet.rough:
            _heavy(sheet, (x, y), letter, height)
        else:
            _squiggle(sheet, x, y + height / 2, height)
        x += advance(letter) * height
        y -= height * 0.06


def _heavy(sheet: Sheet, at: Point, letter: str, height: float) -> None:
    for width, white in ((2.3, False), (1.25, True)):
        for stroke in GLYPHS.get(letter.upper(), "").split():
            pairs = [(int(stroke[i]), int(stroke[i + 1])) for i in range(0, len(stroke) - 1, 2)]
            path = [(at[0] + a / 4 * height * 0.6, at[1] + b / 6 * height) for a, b in pairs]
            shade = 255 if white else 0 if sheet.inked else 110
            sheet.draw.line(path, fill=shade, width=round(width * sheet.mm), joint="curve")
            for px, py in path:
                r = width * sheet.mm / 2
                sheet.draw.ellipse((px - r, py - r, px + r, py + r), fill=shade)
