"""Told sentences as HTML: words of the book as text, each stretch of them isolated from the direction of the rest."""

from __future__ import annotations

import re

from markupsafe import Markup, escape

from ledger.render.told import Piece, pieces
from ledger.render.wording import runs

_TAGS = {"strong": "<strong>", "/strong": "</strong>", "slanted": "<em>", "/slanted": "</em>"}


def hypertext(told: str) -> Markup:
    """A told sentence in HTML; where a line has two wordings, what left is in `<del>` and what came in `<ins>`."""
    return Markup("").join(map(_piece, pieces(told)))


def _piece(piece: Piece) -> Markup:
    match piece.kind:
        case "plain":
            return escape(piece.text)
        case "words":
            return Markup("<bdi>{}</bdi>").format(piece.text)
        case "place":
            return Markup('<bdi class="place">{}</bdi>').format(piece.text)
        case "old":
            return Markup("<bdi>{}</bdi>").format(_marked(piece.text, piece.other, "del"))
        case "new":
            return Markup("<bdi>{}</bdi>").format(_marked(piece.text, piece.other, "ins"))
        case sign:
            return Markup(_TAGS[sign])


def _marked(text: str, other: str, tag: str) -> Markup:
    """The text with those of its words in a tag that the other wording has not; its blanks stay as they are."""
    words = re.findall(r"\s*\S+", text)
    found = Markup("")
    for same, mine, _ in runs(text, other):
        run = "".join(words[: len(mine)])
        del words[: len(mine)]
        inner = run.lstrip()
        blank = run[: len(run) - len(inner)]
        found += escape(run) if same or not run else Markup(f"{{}}<{tag}>{{}}</{tag}>").format(blank, inner)
    return found + text[len(text.rstrip()) :]
