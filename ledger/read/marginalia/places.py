"""Places for marks that hang on words or pages: the narrowest that the round read knows without doubt."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from ledger.model.note import Anchor
from ledger.read.anchors import read_anchor, spell
from ledger.read.marginalia.plain import one_row

#: Tells of an anchor in how many places of the round it could be meant: 0, 1 or more.
Finds = Callable[[Anchor], int]

#: A phrase of more signs is cut at a blank (own choice): the words need only be found again.
MOST_QUOTE = 80


def phrase(words: str) -> str:
    """Words that can stand in quotes as a place: those of the first row that has any, cut to MOST_QUOTE signs."""
    row = next((one_row(each) for each in words.split("\n") if each.strip()), "").replace('"', "\u201d")
    if len(row) > MOST_QUOTE:
        row = row[:MOST_QUOTE].rsplit(" ", 1)[0]
    return row.strip()


def settled(places: Iterable[Anchor], finds: Finds) -> Anchor:
    """The first of these places that is meant once, else the first that is there at all; none: the whole book."""
    first = None
    for place in places:
        found = finds(place) if told(place) else 0
        if found == 1:
            return place
        if found and first is None:
            first = place
    return first or Anchor()


def told(place: Anchor) -> str:
    """The place in the notes' own spelling; "" for the whole book, and for one that could not be read back."""
    said = spell(place.page, place.panel, scene=place.scene, quote=place.quote, chapter=place.chapter, spot=place.spot)
    return said if said and read_anchor(said) else ""
