"""A reading packet of a script for a word processor: for readers who want margins. Their comments come back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ledger.model.packet import Heading, Packet
from ledger.model.script import Line
from ledger.render.lending.packet_page import leaf_name, read_as
from ledger.render.lending.script_document import Block, script_docx
from ledger.render.places import typed_mouth
from ledger.render.plain import one_line
from ledger.render.told import day

HOW = (
    "Mark the words you mean and put a comment on them, as you always do. When you are done, save this file and send "
    "it back as it is."
)


def packet_docx(packet: Packet) -> bytes:
    """The whole packet; made again of the same round for the same reader it is the same, byte for byte."""
    return script_docx(_blocks(packet), packet.when, foot=packet.name)


def _blocks(packet: Packet) -> Iterator[Block]:
    whom = f", for {one_line(packet.reader)}" if packet.reader else ""
    yield Block("title", f"{one_line(packet.title)}: {read_as(packet)} ({day(packet.when)}){whom}")
    for row in packet.words.splitlines():
        if row.strip():
            yield Block("about", one_line(row))
    yield Block("about", HOW)
    yield Block("about", f"This is {packet.name}; by that name your comments find their place again.")
    if packet.before:
        yield Block("about", "Before the first page")
        yield from _lines(packet.before, 0)
    for opening in packet.openings:
        for leaf in opening:
            yield from _headings(leaf.heads)
            yield Block("page", leaf_name(leaf))
            if leaf.missing:
                yield Block("action", leaf.missing)
            count = 0
            for panel in leaf.panels:
                yield from _headings(panel.heads)
                if panel.number is not None:
                    yield Block("panel", f"Panel {panel.number}")
                yield from _lines(panel.lines, count)
                count += sum(line.lettered for _, line in panel.lines)


def _headings(heads: Iterable[Heading]) -> Iterator[Block]:
    for head in heads:
        yield Block(head.kind, one_line(head.text))


def _lines(lines: Iterable[tuple[tuple[Heading, ...], Line]], count: int) -> Iterator[Block]:
    for heads, line in lines:
        yield from _headings(heads)
        count += line.lettered
        said = one_line(line.text)
        yield Block("balloon", said, count, typed_mouth(line)) if line.lettered else Block("action", said)
