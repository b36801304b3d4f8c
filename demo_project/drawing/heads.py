"""Heads: the face, the hair, what a person is known by from afar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from drawing.sheet import Point, Sheet, oval


@dataclass(frozen=True)
class Look:
    """What a person is recognised by. `height` is a share of a grown person's, `coat` and `legs` are fills."""

    hair: str
    coat: str
    legs: str
    height: float = 1.0
    hem: float = 0.2
    extra: tuple[str, ...] = ()


LOOKS = {
    "M": Look("bob", "black", "white", extra=("scarf", "bag")),
    "O": Look("bun", "tone", "dark", 0.93, 0.07, ("glasses", "shawl")),
    "L": Look("cap", "stripes", "dark", 0.68, 0.4),
    "V": Look("bald", "dark", "black", 1.03, 0.42, ("moustache",)),
    "S": Look("braid", "white", "black", 0.98, 0.26, ("scarf", "case")),
}

#: Outlines of hair and cap in head radii, forward and down from the middle of the head.
FRINGE = ((-1.0, 0.1), (-1.05, -0.6), (-0.5, -1.25), (0.3, -1.28), (0.86, -0.72), (0.8, -0.42), (0.3, -0.62),
          (-0.2, -0.55), (-0.42, -0.1), (-0.5, 0.4))  # fmt: skip
COVERED = ((-1.0, 0.8), (-1.1, -0.4), (-0.5, -1.25), (0.4, -1.25), (0.95, -0.5), (0.85, 0.7), (0, 0.95))
COMBED_BACK = ((-0.95, 0.2), (-1.0, -0.5), (-0.5, -1.18), (0.35, -1.2), (0.82, -0.6), (0.25, -0.78), (-0.3, -0.5),
               (-0.55, 0.15))  # fmt: skip
NAPE = ((-0.8, 0.6), (-0.9, -0.5), (0.9, -0.5), (0.8, 0.6), (0, 0.8))
SIDEBURN = ((-0.85, 0.25), (-0.9, -0.3), (-0.5, -0.35), (-0.55, 0.2))
CROWN = ((-1.1, -0.4), (-0.95, -1.05), (-0.2, -1.42), (0.6, -1.2), (0.95, -0.62), (0.2, -0.5))
PEAK = ((0.1, -0.62), (0.8, -0.78), (1.4, -0.42), (0.75, -0.5))
RIM = ((-0.95, 0.1), (-0.9, -0.4), (-0.6, -0.35), (-0.5, 0.1), (-0.7, 0.3))


@dataclass(frozen=True)
class Head:
    """A head on a sheet: centre and radius `r` in px, looking to `side` (-1 left, 1 right), down by `gaze`, or away.

    `speaks` opens the mouth and lifts the brows.
    """

    sheet: Sheet
    centre: Point
    r: float
    side: int
    look: Look
    gaze: float
    away: bool
    speaks: bool = False

    def face_point(self, x: float, y: float) -> Point:
        """A place on the head in head radii; +x is where the person looks."""
        return (self.centre[0] + self.side * x * self.r, self.centre[1] + y * self.r)

    def draw(self) -> None:
        """Hair behind, face, hair in front."""
        p, r = self.face_point, self.r
        if self.look.hair in ("bob", "braid"):
            self._back_hair()
        jaw = [
            p(-0.78, -0.5),
            p(-0.4, -1.02),
            p(0.35, -1.02),
            p(0.8, -0.5),
            p(0.84, 0.1),
            p(0.66, 0.72),
            p(0.3, 1.08),
            p(-0.1, 1.0),
            p(-0.6, 0.5),
        ]
        self.sheet.shape(rounded(jaw), "white", min(0.45, max(0.28, r / self.sheet.mm * 0.03)))
        if not self.away:
            self._face()
        self._hair()

    def _face(self) -> None:
        p, sheet = self.face_point, self.sheet
        dip = self.gaze * 0.4
        brow = dip - (0.6 if self.speaks else 0.5)
        close = self.r > 4.2 * sheet.mm and not sheet.rough
        sheet.guide([p(0.25, -1.1), p(0.4, 0), p(0.25, 1.1)])
        bold = min(0.6, max(0.3, self.r / sheet.mm * 0.05))
        for x in (0.08, 0.6):
            eye = p(x, -0.08 + dip)
            sheet.dot(eye, max(0.3, self.r / sheet.mm * 0.085))
            if close:
                sheet.line([p(x - 0.2, -0.14 + dip), p(x, -0.28 + dip), p(x + 0.17, -0.14 + dip)], bold)
                sheet.line([p(x - 0.2, brow), p(x + 0.02, brow - 0.08), p(x + 0.2, brow)], bold, taper=True)
                sheet.dot((eye[0] - 0.04 * self.r, eye[1] - 0.04 * self.r), self.r / sheet.mm * 0.025, white=True)
        sheet.line([p(0.42, 0.0 + dip), p(0.58, 0.3 + dip), p(0.4, 0.36 + dip)], bold)
        if self.speaks:
            sheet.shape(
                oval(p(0.36, 0.66 + dip), 0.13 * self.r, 0.06 * self.r, 8 * self.side, steps=12), "black", bold * 0.6
            )
        else:
            sheet.line([p(0.16, 0.64 + dip), p(0.36, 0.68 + dip), p(0.52, 0.62 + dip)], bold, taper=True)
        if close:
            sheet.line([p(-0.3, 0.2), p(-0.16, 0.42)], 0.25, taper=True)
            cheek = [p(-0.55, 0.2), p(-0.2, 0.3), p(-0.15, 0.75), p(-0.4, 0.6)]
            if sheet.inked:
                sheet.hatch(cheek, 60, 0.8, 0.2)
        if "glasses" in self.look.extra:
            for x in (0.08, 0.62):
                sheet.line(
                    [*oval(p(x, -0.06 + dip), 0.24 * self.r, 0.24 * self.r), p(x + 0.24, -0.06 + dip)], bold * 0.8
                )
        if "moustache" in self.look.extra:
            sheet.shape(
                [p(0.0, 0.58), p(0.3, 0.4), p(0.5, 0.4), p(0.74, 0.58), p(0.5, 0.56), p(0.38, 0.5), p(0.2, 0.58)],
                "black",
            )

    def _back_hair(self) -> None:
        p = self.face_point
        if self.look.hair == "bob":
            back = [p(-0.5, -1.1), p(0.3, -1.2), p(0.3, 0.7), p(-0.4, 0.95), p(-1.0, 0.8), p(-1.12, -0.1)]
            self.sheet.shape(rounded(back), "black")
        else:
            tail = [p(-0.7, -0.6), p(-0.9, 0.3), p(-1.15, 1.2), p(-1.0, 2.2), p(-0.75, 2.2), p(-0.8, 1.2), p(-0.4, 0.6)]
            self.sheet.shape(rounded(tail), "dark")

    def _hair(self) -> None:
        """What lies over the face: fringe, bun, cap, or the rim of hair of a bald head."""
        {"bob": self._bob, "braid": self._bob, "bun": self._bun, "cap": self._cap, "bald": self._rim}[self.look.hair]()

    def _curve(self, corners: Sequence[Point]) -> list[Point]:
        """A closed curve through places on the head."""
        return rounded([self.face_point(x, y) for x, y in corners])

    def _bob(self) -> None:
        black = self.look.hair == "bob"
        self.sheet.shape(self._curve(COVERED if self.away else FRINGE), "black" if black else "dark")
        if black and not self.sheet.rough:
            shine = [self.face_point(x, y) for x, y in ((-0.55, -0.75), (-0.1, -0.98), (0.35, -0.92))]
            self.sheet.line(shine, max(0.3, self.r / self.sheet.mm * 0.06), white=self.sheet.inked, taper=True)

    def _bun(self) -> None:
        p, sheet = self.face_point, self.sheet
        sheet.shape(oval(p(-0.75, -1.0), 0.46 * self.r, 0.42 * self.r), "white", 0.35)
        sheet.line([p(-1.0, -1.15), p(-0.7, -0.95), p(-0.5, -1.15)], 0.25, taper=True)
        sheet.shape(self._curve(COVERED if self.away else COMBED_BACK), "white", 0.35)
        for x in (-0.7, -0.4, -0.05):
            sheet.line([p(x - 0.12, -0.25), p(x, -0.75), p(x + 0.2, -1.05)], 0.24, taper=True)

    def _cap(self) -> None:
        if self.away:
            self.sheet.shape(self._curve(NAPE), "black", 0.25)
        self.sheet.shape(self._curve(SIDEBURN), "black", 0.25)
        self.sheet.shape(self._curve(CROWN), "dark")
        self.sheet.shape([self.face_point(x, y) for x, y in PEAK], "black")

    def _rim(self) -> None:
        self.sheet.shape(self._curve(RIM), "black", 0.25)


def rounded(corners: list[Point]) -> list[Point]:
    """A closed curve through corners (Chaikin, twice)."""
    points = corners
    for _ in range(2):
        cut: list[Point] = []
        for (x, y), (u, v) in zip(points, [*points[1:], points[0]], strict=True):
            cut += [(x * 0.75 + u * 0.25, y * 0.75 + v * 0.25), (x * 0.25 + u * 0.75, y * 0.25 + v * 0.75)]
        points = cut
    return points
