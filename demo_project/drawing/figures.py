"""The people of the book: how they stand, what they wear, how they are known from afar."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drawing.heads import LOOKS, Head
from drawing.sheet import Point, Sheet, oval


@dataclass(frozen=True)
class Pose:
    """Angles in degrees from straight down, forward positive: lean of the trunk, arms and legs as (upper, lower)."""

    lean: float = 0.0
    front_arm: tuple[float, float] = (8, 14)
    back_arm: tuple[float, float] = (-10, 4)
    front_leg: tuple[float, float] = (4, 0)
    back_leg: tuple[float, float] = (-5, -5)
    sink: float = 0.0
    gaze: float = 0.0


POSES = {
    "stand": Pose(),
    "walk": Pose(5, (-22, -8), (26, 44), (24, 8), (-20, -40)),
    "climb": Pose(14, (34, 70), (-24, 10), (62, -4), (-14, -22), 0.03, -0.1),
    "sit": Pose(-2, (30, 78), (12, 66), (84, 4), (78, -2), 0.24),
    "point": Pose(3, (82, 88), (-12, 2), (8, 2), (-9, -9), 0, -0.1),
    "hold": Pose(2, (28, 112), (22, 96), (4, 0), (-5, -5), 0, 0.25),
    "knock": Pose(6, (70, 150), (-8, 8), (10, 4), (-10, -14)),
    "up": Pose(-5, (6, 10), (-12, -4), (5, 0), (-6, -6), 0, -0.35),
    "crouch": Pose(28, (40, 70), (30, 60), (92, -30), (60, -62), 0.26, 0.3),
    "push": Pose(30, (78, 92), (64, 88), (40, 10), (-34, -44), 0.05),
    "wave": Pose(-2, (150, 172), (-10, 2), (6, 2), (-7, -7)),
    "back": Pose(),
    "backwalk": Pose(4, (-16, -2), (20, 30), (18, 6), (-14, -26)),
    "carry": Pose(-4, (30, 86), (26, 80), (14, 4), (-12, -18)),
}


class Figure:
    """One person on a sheet; `feet` in px, `size` the height of a grown person in px, facing "l" or "r"."""

    def __init__(self, sheet: Sheet, key: str, pose: str, feet: Point, size: float, facing: str) -> None:
        self.sheet, self.key = sheet, key
        self.look, self.pose = LOOKS[key], POSES[pose]
        self.size = size * self.look.height
        self.side = -1 if facing == "l" else 1
        self.away = pose.startswith("back")
        self.speaks = False
        self.feet = feet
        self.hip = self.at(0, 0.49 - self.pose.sink)
        self.chest = self.reach(self.hip, 180 - self.pose.lean, 0.31)
        self.head = self.reach(self.chest, 180 - self.pose.lean * 0.6, 0.125)
        self.r = 0.074 * self.size / (self.look.height**0.45)

    @property
    def mouth(self) -> Point:
        """Where a balloon's tail points."""
        return (self.head[0] + self.side * 0.3 * self.r, self.head[1] + 0.2 * self.r)

    def at(self, x: float, y: float) -> Point:
        """A place in body heights: forward of the feet, above the ground."""
        return (self.feet[0] + self.side * x * self.size, self.feet[1] - y * self.size)

    def reach(self, start: Point, angle: float, length: float) -> Point:
        """From a joint, so far in this direction (0 down, 90 forward, 180 up)."""
        turn = math.radians(angle)
        far = length * self.size
        return (start[0] + self.side * far * math.sin(turn), start[1] + far * math.cos(turn))

    def draw(self) -> None:
        """The whole person, set off from the ground by a light rim."""
        self.sheet.shape(oval(self.at(0.02, 0.0), 0.17 * self.size, 0.018 * self.size), "black", edge=False)
        self.sheet.rim = True
        self._parts()
        self.sheet.rim = False
        self._parts()
        self._guides()

    def _parts(self) -> None:
        """Back to front."""
        shoulder = self.shoulder(-0.035)
        self._arm(shoulder, self.pose.back_arm, self.look.coat)
        for leg, shift in ((self.pose.back_leg, -0.025), (self.pose.front_leg, 0.025)):
            self._leg(leg, shift)
        self._coat()
        self._neck()
        Head(self.sheet, self.head, self.r, self.side, self.look, self.pose.gaze, self.away, self.speaks).draw()
        if "scarf" in self.look.extra:
            self._scarf()
        if "shawl" in self.look.extra:
            self._shawl()
        self._belongings()
        self._arm(self.shoulder(0.02), self.pose.front_arm, self.look.coat)

    def shoulder(self, shift: float) -> Point:
        """A shoulder, so far in front of the spine."""
        return (self.chest[0] + self.side * shift * self.size, self.chest[1] + 0.03 * self.size)

    def _guides(self) -> None:
        sheet = self.sheet
        sheet.guide([self.head, self.chest, self.hip, self.at(0, 0)])
        sheet.guide(oval(self.chest, 0.11 * self.size, 0.16 * self.size))
        sheet.guide(oval(self.hip, 0.1 * self.size, 0.09 * self.size))
        sheet.guide([(self.head[0] - 1.6 * self.r, self.head[1]), (self.head[0] + 1.6 * self.r, self.head[1])])

    def _limb(self, joints: list[Point], wide: float, narrow: float, fill: str) -> None:
        """A sleeve or a leg along its joints; widths in body heights."""
        left, right = [], []
        for i, (x, y) in enumerate(joints):
            a, b = joints[max(i - 1, 0)], joints[min(i + 1, len(joints) - 1)]
            long = math.hypot(b[0] - a[0], b[1] - a[1]) or 1
            half = self.size * (wide + (narrow - wide) * i / (len(joints) - 1)) / 2
            nx, ny = -(b[1] - a[1]) / long * half, (b[0] - a[0]) / long * half
            left.append((x + nx, y + ny))
            right.append((x - nx, y - ny))
        outline = [*left, *reversed(right)]
        if fill == "black":
            self.sheet.line([*outline, outline[0]], 0.95, white=True)
        self._filled(outline, fill)

    def _filled(self, outline: list[Point], fill: str) -> None:
        if fill == "stripes":
            self.sheet.shape(outline, "white")
            self.sheet.hatch(
                outline,
                4,
                self.size / self.sheet.mm * 0.045,
                self.size / self.sheet.mm * 0.014,
                0 if self.sheet.inked else 130,
            )
            self.sheet.shape(outline, "none")
        else:
            self.sheet.shape(outline, fill)

    def _arm(self, shoulder: Point, angles: tuple[float, float], fill: str) -> None:
        elbow = self.reach(shoulder, angles[0], 0.16)
        wrist = self.reach(elbow, angles[1], 0.13)
        self._limb([shoulder, elbow, wrist], 0.085, 0.055, fill)
        hand = self.reach(wrist, angles[1], 0.022)
        self.sheet.shape(oval(hand, 0.026 * self.size, 0.022 * self.size), "white", 0.3)
        if self.size > 60 * self.sheet.mm and not self.sheet.rough:
            for i in (-1, 0, 1):
                tip = (hand[0] + self.side * 0.024 * self.size, hand[1] + i * 0.009 * self.size)
                self.sheet.line([(hand[0] + self.side * 0.006 * self.size, tip[1]), tip], 0.22)

    def _leg(self, angles: tuple[float, float], shift: float) -> None:
        hip = (self.hip[0] + self.side * shift * self.size, self.hip[1])
        knee = self.reach(hip, angles[0], 0.24)
        ankle = self.reach(knee, angles[1], 0.22)
        self._limb([hip, knee, ankle], 0.1, 0.06, self.look.legs)
        toe = (ankle[0] + self.side * 0.07 * self.size, ankle[1] + 0.028 * self.size)
        heel = (ankle[0] - self.side * 0.028 * self.size, ankle[1] + 0.028 * self.size)
        self.sheet.shape(
            [
                (ankle[0] - self.side * 0.028 * self.size, ankle[1] - 0.02 * self.size),
                (ankle[0] + self.side * 0.03 * self.size, ankle[1] - 0.02 * self.size),
                toe,
                heel,
            ],
            "black",
        )

    def _coat(self) -> None:
        s, side = self.size, self.side
        cx, cy = self.chest
        seated = self.pose.sink > 0.1
        fall = 0.3 if seated else 0.49 - self.look.hem
        knees = self.reach(self.hip, (self.pose.front_leg[0] + self.pose.back_leg[0]) / 2 * 0.7, fall)
        flare = 0.1 + 0.16 * max(0.0, 0.4 - self.look.hem)
        outline = [
            (cx - side * 0.035 * s, cy - 0.035 * s),
            (cx + side * 0.035 * s, cy - 0.035 * s),
            (cx + side * 0.085 * s, cy + 0.015 * s),
            (cx + side * 0.095 * s, cy + 0.12 * s),
            (self.hip[0] + side * 0.085 * s, self.hip[1]),
            (knees[0] + side * flare * s, knees[1] - 0.01 * s),
            (knees[0], knees[1] + 0.012 * s),
            (knees[0] - side * flare * 1.15 * s, knees[1] - 0.02 * s),
            (self.hip[0] - side * 0.09 * s, self.hip[1]),
            (cx - side * 0.1 * s, cy + 0.11 * s),
            (cx - side * 0.085 * s, cy + 0.015 * s),
        ]
        self._filled(outline, self.look.coat)
        white = self.look.coat == "black"
        front = [
            (cx + side * 0.02 * s, cy),
            (self.hip[0] + side * 0.03 * s, self.hip[1]),
            (knees[0] + side * 0.03 * s, knees[1]),
        ]
        if not self.away:
            self.sheet.line(front, 0.3, white=white and self.sheet.inked, taper=True)
        fold = [(self.hip[0] - side * 0.05 * s, self.hip[1]), (knees[0] - side * 0.07 * s, knees[1] - 0.03 * s)]
        self.sheet.line(fold, 0.3, white=white and self.sheet.inked, taper=True)

    def _neck(self) -> None:
        s = self.size
        (hx, hy), (cx, cy) = self.head, self.chest
        self.sheet.shape(
            [
                (hx - 0.025 * s, hy + 0.03 * s),
                (hx + 0.025 * s, hy + 0.03 * s),
                (cx + 0.03 * s, cy),
                (cx - 0.03 * s, cy),
            ],
            "white",
            0.28,
        )

    def _scarf(self) -> None:
        s, side = self.size, self.side
        cx, cy = self.chest
        wrap = [
            (cx - 0.075 * s, cy - 0.04 * s),
            (cx + 0.075 * s, cy - 0.045 * s),
            (cx + 0.08 * s, cy + 0.0 * s),
            (cx - 0.08 * s, cy + 0.01 * s),
        ]
        tail = [
            (cx - side * 0.05 * s, cy),
            (cx - side * 0.17 * s, cy + 0.03 * s),
            (cx - side * 0.25 * s, cy + 0.0 * s),
            (cx - side * 0.25 * s, cy + 0.045 * s),
            (cx - side * 0.16 * s, cy + 0.075 * s),
            (cx - side * 0.04 * s, cy + 0.045 * s),
        ]
        for part, angle in ((tail, 100), (wrap, 80)):
            self.sheet.shape(part, "white")
            self.sheet.hatch(
                part,
                angle,
                max(0.9, s / self.sheet.mm * 0.03),
                max(0.3, s / self.sheet.mm * 0.012),
                0 if self.sheet.inked else 130,
            )
            self.sheet.shape(part, "none")

    def _shawl(self) -> None:
        s, side = self.size, self.side
        cx, cy = self.chest
        cloth = [
            (cx - 0.05 * s, cy - 0.045 * s),
            (cx + 0.05 * s, cy - 0.045 * s),
            (cx + side * 0.13 * s, cy + 0.1 * s),
            (cx + side * 0.02 * s, cy + 0.2 * s),
            (cx - side * 0.14 * s, cy + 0.17 * s),
        ]
        self.sheet.shape(cloth, "white", 0.4)
        self.sheet.hatch(cloth, 30, 1.6, 0.3, 0 if self.sheet.inked else 130)
        self.sheet.hatch(cloth, 150, 1.6, 0.3, 0 if self.sheet.inked else 130)
        for i in range(5):
            x, y = cx + side * (-0.12 + 0.05 * i) * s, cy + (0.175 + 0.005 * i) * s
            self.sheet.line([(x, y), (x - side * 0.005 * s, y + 0.03 * s)], 0.3)

    def _belongings(self) -> None:
        s, side = self.size, self.side
        if "bag" in self.look.extra:
            x, y = self.hip[0] - side * 0.1 * s, self.hip[1] + 0.02 * s
            self.sheet.line(
                [(self.chest[0] + side * 0.07 * s, self.chest[1] + 0.01 * s), (x, y - 0.04 * s)],
                0.9,
                white=self.sheet.inked,
            )
            self.sheet.shape(
                [
                    (x - 0.075 * s, y - 0.05 * s),
                    (x + 0.075 * s, y - 0.05 * s),
                    (x + 0.08 * s, y + 0.06 * s),
                    (x - 0.08 * s, y + 0.06 * s),
                ],
                "white",
                0.4,
            )
            self.sheet.line([(x - 0.075 * s, y - 0.045 * s), (x, y + 0.015 * s), (x + 0.075 * s, y - 0.045 * s)], 0.35)
        if "case" in self.look.extra:
            x, y = self.hip[0] - side * 0.12 * s, self.at(0, 0.1)[1]
            self.sheet.shape(
                [
                    (x - 0.1 * s, y - 0.07 * s),
                    (x + 0.1 * s, y - 0.07 * s),
                    (x + 0.1 * s, y + 0.06 * s),
                    (x - 0.1 * s, y + 0.06 * s),
                ],
                "tone",
                0.4,
            )
