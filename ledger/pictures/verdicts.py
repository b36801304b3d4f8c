"""What is said of pictures, as plain values: what became of a pair, and what a page is known again by."""

from typing import NamedTuple

from ledger.model.change import PictureBox


class Verdict(NamedTuple):
    """`kind` is "same" or one of the picture kinds; `panels` lists every panel, the changed ones with their share."""

    kind: str
    panels: tuple[PictureBox, ...] = ()


class Against(NamedTuple):
    """A picture held against the one agreed: what each shows (SHA-256 in hex), what became of it where they differ."""

    shown: str
    agreed: str
    verdict: Verdict | None = None


class Mark(NamedTuple):
    """What a page is known again by, whatever its file: tones of a small picture of it; empty for white paper."""

    thumb: bytes


class Seen(NamedTuple):
    """What became of a pair, None where it could not be told; why either side can't be read; marks of both.

    The newer page has a mark only where something became of it; neither has one where they were not decoded.
    """

    verdict: Verdict | None = None
    old_fault: str | None = None
    new_fault: str | None = None
    old: Mark | None = None
    new: Mark | None = None
