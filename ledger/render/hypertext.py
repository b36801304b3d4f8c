"""Told sentences as HTML: words of the book as text, each stretch of them isolated from the direction of the rest."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import islice

from markupsafe import Markup, escape

from ledger.render.changes.wording import runs
from ledger.render.told import Piece, pieces

_TAGS = {"strong": "<strong>", "/strong": "</strong>", "slanted": "<em>", "/slanted": "</em>"}

#: Signs of a name or place that fits the narrowest window at the largest text.
_SHORT = 11


def hypertext(told: str) -> Markup:
    """A told sentence in HTML; where a line has two wordings, what left is in `<del>` and what came in `<ins>`."""
    return Markup("").join(map(_piece, pieces(told)))


def _piece(piece: Piece) -> Markup:
    match piece.kind:
        case "plain":
            return escape(piece.text)
        case "words" | "place" as kind:
            classes = [*(["place"] if kind == "place" else []), *(["whole"] if _is_short(piece.text) else [])]
            held = Markup(' class="{}"').format(" ".join(classes)) if classes else ""
            return Markup("<bdi{}>{}</bdi>").format(held, piece.text)
        case "old":
            kept = [(same, len(before)) for same, before, _ in runs(piece.text, piece.other)]
            return Markup("<bdi>{}</bdi>").format(_marked(piece.text, kept, "del"))
        case "new":
            kept = [(same, len(after)) for same, _, after in runs(piece.other, piece.text)]
            return Markup("<bdi>{}</bdi>").format(_marked(piece.text, kept, "ins"))
        case sign:
            return Markup(_TAGS[sign])


def _is_short(text: str) -> bool:
    """Whether it is short enough to stay on one row although a hyphen would let it break: `p6-8`, `script-4`."""
    return "-" in text and len(text) <= _SHORT


def _marked(text: str, kept: Iterable[tuple[bool, int]], tag: str) -> Markup:
    """The text, blanks and all, its words cut into runs of (whether they stayed, how many); the others in a tag."""
    words = iter(re.findall(r"\s*\S+", text))
    found = Markup("")
    for stayed, count in kept:
        run = "".join(islice(words, count))
        inner = run.lstrip()
        blank = run[: len(run) - len(inner)]
        found += escape(run) if stayed or not run else Markup(f"{{}}<{tag}>{{}}</{tag}>").format(blank, inner)
    return found + text[len(text.rstrip()) :]
