"""Every place that the storyboard can name."""

from __future__ import annotations

from collections.abc import Callable

from drawing.grounds import plain, shade
from drawing.hill import gap, post, slope, valley
from drawing.indoors import doorway, envelope, kitchen, post_room
from drawing.scenery import avalanche, box_door, last_door, shut, sill, window, written_page
from drawing.sheet import Sheet
from drawing.town import boots, flight, gate, stair, street

PLACES: dict[str, Callable[[Sheet, bool, str], None]] = {
    "street": street, "stair": stair, "flight": flight, "postroom": post_room, "kitchen": kitchen, "door": doorway,
    "gate": gate, "slope": slope, "gap": gap, "valley": valley, "envelope": envelope, "boots": boots, "post": post,
    "plain": plain, "shade": shade, "last": last_door, "avalanche": avalanche, "window": window, "shut": shut,
    "sill": sill, "letter": written_page, "boxdoor": box_door,
}  # fmt: skip
