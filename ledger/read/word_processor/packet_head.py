"""What a reading packet of a script for a word processor says of itself: its name, and words that are no script."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ledger.read.word_processor.document import Paragraph

#: The name of a packet, and in how many paragraphs at the head of the file it is looked for.
_PACKET, _HEAD = re.compile(r"\bpacket-([a-z0-9-]{1,60}-[0-9]{1,6})-[0-9a-f]{8}\b"), 60
#: The styles in which a packet sets what is said to its reader, in small letters; word processors keep them.
TITLE, ABOUT = "title", "about"


def packet_of(paragraphs: Sequence[Paragraph]) -> str:
    """The round that a packet made for a word processor says it is of; "" for any other file."""
    at = _said_at(paragraphs)
    found = _PACKET.search(paragraphs[at].text) if at is not None else None
    return found[1] if found else ""


def said_to_the_reader(paragraphs: Sequence[Paragraph]) -> frozenset[int]:
    """The numbers of paragraphs in which a packet speaks to its reader; none of them in any other file."""
    at = _said_at(paragraphs)
    if at is None:
        return frozenset()
    return frozenset(
        each.number
        for place, each in enumerate(paragraphs)
        if each.style == ABOUT or (each.style == TITLE and place <= at)
    )


def _said_at(paragraphs: Sequence[Paragraph]) -> int | None:
    return next((at for at, each in enumerate(paragraphs[:_HEAD]) if _PACKET.search(each.text)), None)
