"""The changed pages of a memo in pictures: as they were and as they are, side by side."""

from __future__ import annotations

from ledger.model.plate import Plate, Plates
from ledger.render.letter import Block, Gallery, PagePlate, Paragraph, Sheet
from ledger.render.picture_words import FRAMES, SIDE_BY_SIDE, panels_words, picture_sentence
from ledger.render.places import page_ref, side_text
from ledger.render.plain import one_line, plural
from ledger.render.told import strong, words


def gallery(plates: Plates, old: str, new: str) -> list[Block]:
    """Every page that is shown, under its pass and number; `old` and `new` are the names of the two sides."""
    if not plates.shown:
        return []
    pictures = [plate.picture for plate in plates.shown]
    legend = [SIDE_BY_SIDE] if any(picture.kind not in ("added", "missing") for picture in pictures) else []
    legend += [FRAMES] if any(box.changed for picture in pictures for box in picture.panels) else []
    told: list[Block] = [Gallery(" ".join(legend), tuple(_plate(each, old, new) for each in plates.shown))]
    if plates.left_out:
        told.append(Paragraph(f"{plural(plates.left_out, 'more page')} changed and {_are(plates.left_out)} not shown."))
    return told


def _are(count: int) -> str:
    return "is" if count == 1 else "are"


def _plate(plate: Plate, old: str, new: str) -> PagePlate:
    picture = plate.picture
    told = f"{strong(words(f'{picture.pass_name} {page_ref(picture.page)}') + ':')} {picture_sentence(picture)}."
    sheets = [] if picture.kind == "added" else [_sheet(plate, "Before", old)]
    sheets += [] if picture.kind == "missing" else [_sheet(plate, "Now", new)]
    return PagePlate(told, tuple(sheets))


def _sheet(plate: Plate, when: str, side: str) -> Sheet:
    picture, shown = plate.picture, plate.old if when == "Before" else plate.new
    place = f"{one_line(picture.pass_name)} {page_ref(picture.page)}"
    panels = picture.changed_panels if picture.kind != "layout" or when == "Now" else []
    framed = f", {panels_words(panels)} framed" if panels else ""
    head = f"{when}: {words(side_text(side))}"
    if shown is None:
        return Sheet(f"{head} (can't be shown)", "", None)
    return Sheet(head, f"{place} in {side_text(side)}{framed}", shown)
