"""What was found out about pictures, as short texts that can be kept: `kind index:left,top,width,height,share ...`."""

from __future__ import annotations

import base64
import binascii
import hashlib

from ledger.model.change import PictureBox
from ledger.model.lending import Known
from ledger.model.plate import Shown
from ledger.pictures.verdicts import Against, Mark, Verdict

_KINDS = frozenset(("same", "touch-up", "redrawn", "layout"))


def set_name(what: str, *facts: object) -> str:
    """The name under which something is kept: a word for what it is and a digest of what it is about."""
    about = "\n".join(map(str, facts))
    return f"{what}-{hashlib.sha256(about.encode()).hexdigest()[:40]}"


def shown_written(shown: Shown) -> str:
    """A small picture as text: `64x96:` and the file in base64."""
    return f"{shown.width}x{shown.height}:{base64.b64encode(shown.data).decode('ascii')}"


def shown_read(text: str | None) -> Shown | None:
    """The picture a text stands for; None for no text and for what is none."""
    size, _, data = (text or "").partition(":")
    width, _, height = size.partition("x")
    try:
        return Shown(base64.b64decode(data, validate=True), int(width), int(height)) if data else None
    except ValueError:
        return None


def known_written(known: Known) -> str:
    """What a picture is known by, as text: `2000x3000 digest row,row column,column`."""
    return " ".join([f"{known.px[0]}x{known.px[1]}", known.sha256, ",".join(known.rows), ",".join(known.columns)])


def known_read(text: str | None) -> Known | None:
    """What a text says a picture is known by; None for no text and for what is none."""
    size, *rest = (text or "").split(" ")
    width, _, height = size.partition("x")
    if len(rest) != 3 or not (width.isdecimal() and height.isdecimal()):
        return None
    return Known((int(width), int(height)), rest[0], tuple(rest[1].split(",")), tuple(rest[2].split(",")))


def verdict_written(verdict: Verdict) -> str:
    """A verdict as text."""
    boxes = [",".join(map(repr, (*panel.box, panel.changed))) for panel in verdict.panels]
    return " ".join([verdict.kind, *boxes])


def verdict_read(text: str | None) -> Verdict | None:
    """The verdict a text stands for; None for no text and for what is none."""
    kind, *boxes = (text or "").split(" ")
    if kind not in _KINDS:
        return None
    panels = []
    for number, box in enumerate(boxes, 1):
        try:
            left, top, width, height, share = map(float, box.split(","))
        except ValueError:
            return None
        panels.append(PictureBox(number, (left, top, width, height), share))
    return Verdict(kind, tuple(panels))


def against_written(held: Against) -> str:
    """A picture held against the one agreed as text: both digests, then the verdict where they differ."""
    verdict = [verdict_written(held.verdict)] if held.verdict else []
    return " ".join([held.shown, held.agreed, *verdict])


def against_read(text: str | None) -> Against | None:
    """What such a text says; None for no text and for what is none."""
    shown, agreed, rest = (*(text or "").split(" ", 2), "", "")[:3]
    if len(shown) != 64 or len(agreed) != 64:
        return None
    verdict = verdict_read(rest)
    return Against(shown, agreed, verdict) if (verdict is None) == (shown == agreed) else None


def mark_written(mark: Mark) -> str:
    """A mark as text."""
    return "=" + base64.b64encode(mark.thumb).decode("ascii")


def mark_read(text: str | None) -> Mark | None:
    """The mark a text stands for; None for no text and for what is none."""
    from ledger.pictures.looking import MARK_SIZES

    if not text or text[0] != "=":
        return None
    try:
        thumb = base64.b64decode(text[1:], validate=True)
    except binascii.Error:
        return None
    return Mark(thumb) if len(thumb) in MARK_SIZES else None
