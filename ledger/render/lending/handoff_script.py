"""The script by page with its balloons numbered, for somebody who letters or draws from it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ledger.model.packet import Leaf
from ledger.render.lending.packet_page import leaf_name
from ledger.render.lending.script_document import Block
from ledger.render.places import typed_mouth
from ledger.render.plain import beside, one_line, plural, wrapped


def script_blocks(title: str, entry: str, leaves: Iterable[Leaf]) -> list[Block]:
    """The pages of a round of the script; balloons are counted from 1 on every page, action is not counted."""
    told = [Block("title", one_line(title)), Block("about", f"{entry}, by page. The numbers count the balloons, "
            "captions and sounds of each page in reading order. Bold and italic are not marked here; ask where a "
            "word seems to be stressed.")]  # fmt: skip
    for leaf in leaves:
        told += _page(leaf)
    return told


def _page(leaf: Leaf) -> Iterator[Block]:
    lines = [line for panel in leaf.panels for _, line in panel.lines]
    count = sum(line.lettered for line in lines)
    yield Block("page", f"{leaf_name(leaf)} ({plural(count, 'balloon') if count else 'nothing to letter'})")
    if leaf.missing:
        yield Block("action", leaf.missing)
    number = 0
    for panel in leaf.panels:
        if panel.number is not None:
            yield Block("panel", f"Panel {panel.number}")
        for _, line in panel.lines:
            number += line.lettered
            yield (
                Block("balloon", one_line(line.text), number, typed_mouth(line))
                if line.lettered
                else Block("action", one_line(line.text))
            )


# -- plain text


def script_text(blocks: Iterable[Block]) -> str:
    """The script as a text file of 80 columns."""
    return "\n".join(row for block in blocks for row in _rows(block)) + "\n"


def _rows(block: Block) -> list[str]:
    if block.kind == "balloon":
        return beside(f"{block.number:>4}  ", f"{block.who}: {block.text}")
    if block.kind == "action":
        return wrapped(f"[{block.text}]", indent="      ", hang="").split("\n")
    said = wrapped(block.text.upper() if block.kind in ("title", "page") else block.text, hang="").split("\n")
    return [*([] if block.kind == "title" else ["", ""] if block.kind == "page" else [""]), *said]
