"""Anchors of notes: `p12`, `p12.3`, `p24-25`, `ch 2`, `scene "..."`, a quoted phrase, `p12 @0.42,0.31`."""

from __future__ import annotations

import re

from ledger.model.note import Anchor
from ledger.model.pages import page_label, page_numbers

#: Opening quotes a person may type, with the sign that closes each.
QUOTES = {'"': '"', "\u201c": "\u201d", "\u201e": "\u201c\u201d", "\u00ab": "\u00bb", "\u2018": "\u2019"}

_PAGE = re.compile(
    r"(?:p(?:ages?|p)?\.? ?(?P<page>[0-9]{1,6}(?:-p?[0-9]{1,6})?)|(?P<matter>[fb][0-9]{1,6}|cover))"
    r"(?:\.(?P<panel>[0-9]{1,4}))?(?=[ @\t]|\Z)",
    re.IGNORECASE,
)
_CHAPTER = re.compile(r"ch(?:apter|\.)? ?(?P<number>[0-9]{1,6})\Z", re.IGNORECASE)
_SCENE = re.compile(r"scene +(?P<rest>\S.*)\Z", re.IGNORECASE | re.DOTALL)
_SPOT = re.compile(
    r"@ ?(?P<across>[01](?:\.[0-9]{1,9})?|\.[0-9]{1,9}) ?, ?(?P<down>[01](?:\.[0-9]{1,9})?|\.[0-9]{1,9})\Z"
)


def read_anchor(typed: str) -> Anchor | None:
    """The anchor that the words between the brackets stand for; None where they are no anchor."""
    words = typed.strip(" \t")
    if not words:
        return None
    chapter = _CHAPTER.match(words)
    if chapter:
        return Anchor(typed, chapter=int(chapter["number"]))
    found = _PAGE.match(words)
    if not found:
        return _within(typed, words, None, None)
    label = page_label((found["page"] or found["matter"]).lower().replace("-p", "-"))
    if label is None:
        return None
    panel = int(found["panel"]) if found["panel"] else None
    return _within(typed, words[found.end() :].strip(" \t"), label, panel)


def _within(typed: str, rest: str, page: str | None, panel: int | None) -> Anchor | None:
    """What follows a page, or stands alone: nothing, a spot, a scene, a phrase."""
    if not rest:
        return Anchor(typed, page=page, panel=panel) if page else None
    spot = _SPOT.match(rest)
    if spot:
        return _spot(typed, page, panel, float(spot["across"]), float(spot["down"]))
    scene = _SCENE.match(rest)
    words = _quoted(scene["rest"] if scene else rest)
    if words is None:
        return None
    if scene:
        return Anchor(typed, page=page, panel=panel, scene=words)
    return Anchor(typed, page=page, panel=panel, quote=words)


def _spot(typed: str, page: str | None, panel: int | None, across: float, down: float) -> Anchor | None:
    if page is None or across > 1 or down > 1:
        return None
    return Anchor(typed, page=page, panel=panel, spot=(across, down))


def _quoted(text: str) -> str | None:
    """The words inside quotes that span the whole text; None where there is no such thing."""
    closing = QUOTES.get(text[:1])
    if closing is None or len(text) < 3 or text[-1] not in closing:
        return None
    return text[1:-1].strip(" \t") or None


def bracket_end(text: str) -> int | None:
    """Where the bracket that `text` begins with is closed; brackets inside quotes don't count. None: never."""
    return _closed(text, heed_quotes=True) or _closed(text, heed_quotes=False)


def _closed(text: str, heed_quotes: bool) -> int | None:
    depth, until = 0, ""
    for at, sign in enumerate(text):
        if until:
            until = "" if sign in until else until
        elif heed_quotes and sign in QUOTES and sign != "\u2018":
            until = QUOTES[sign]
        elif sign == "(":
            depth += 1
        elif sign == ")":
            depth -= 1
            if not depth:
                return at
    return None


def page_ref(label: str, panel: int | None = None) -> str:
    """A page as notes spell it: `p12`, `p12.3`, `p24-25`, `f1`, `cover`."""
    name = f"p{label}" if page_numbers(label) else label
    return f"{name}.{panel}" if panel else name


def quoted(words: str) -> str:
    """Words in the quotes that they leave free."""
    return f"\u201c{words}\u201d" if '"' in words else f'"{words}"'


def spell(
    page: str | None = None,
    panel: int | None = None,
    *,
    scene: str | None = None,
    quote: str | None = None,
    chapter: int | None = None,
    spot: tuple[float, float] | None = None,
) -> str | None:
    """A place in the notes' own spelling: `p12.3 "You said"`, `scene "Harbour office"`; None for the whole book."""
    parts = [page_ref(page, panel)] if page else []
    if chapter is not None:
        parts.append(f"ch {chapter}")
    if scene is not None:
        parts.append(f"scene {quoted(scene)}")
    if quote is not None:
        parts.append(quoted(quote))
    if spot is not None:
        parts.append(f"@{spot[0]:.4g},{spot[1]:.4g}")
    return " ".join(parts) or None
