"""Lines to blocks as CommonMark parts them: headings, paragraphs, rules.

A typed script says more than CommonMark would show: indented and fenced lines, HTML, link definitions and
underlined lines are read as the words they are. What is left to CommonMark are headings, thematic breaks,
block quotes and lists. A scan of lines reads all of these but nested lists and quotes, which go to the parser.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

from ledger.read.typed_text import GONE, Row


class Block(NamedTuple):
    """Lines that belong together. `level` is 1 to 6 for a heading, 0 for a paragraph, -1 for a thematic break.

    `rows` hold the text without the signs of the block; the number of an ordered list item stays. `item` is
    whether it stands in a list.
    """

    level: int
    rows: tuple[Row, ...]
    item: bool = False


# Patterns are compiled when first met: most drafts have headings and no lists or rules.
_RULE = r"(?:(?:-[ \t]*){3,}|(?:\*[ \t]*){3,}|(?:_[ \t]*){3,})\Z"
_LISTED = r"(?:[-+*]|(\d{1,9})[.)])(?:[ \t]+|\Z)"
#: An item the scan reads by itself: its marker at the margin, one blank, words that open no block of their own.
_FLAT = (
    r"(?a)(?:([-+*])|\d{1,9}[.)]) (?![ \t#>]|[-+*](?:[ \t]|\Z)|\d{1,9}[.)](?:[ \t]|\Z)"
    r"|(?:(?:_[ \t]*){3,}|(?:\*[ \t]*){3,}|(?:-[ \t]*){3,})\Z)"
)


def block_alone(number: int, text: str) -> Block | None:
    """The block of a line between empty lines, where nothing before or after it can make another of it.

    None for what a list or quote may take in or go on with, and for several lines.
    """
    if text[:1] in ("", " ", "\t", GONE) or "\n" in text:
        return None
    kind, said = _kind(text, False)
    if kind == "words":
        return Block(0, ((number, said),))
    return heading(number, said) if kind == "heading" else None


def blocks_of(rows: Sequence[Row]) -> list[Block]:
    """The blocks of a file in order; no word of any row is left out."""
    blocks: list[Block] = []
    paragraph: list[Row] = []
    upto = 0
    for at, (number, text) in enumerate(rows):
        if at < upto:
            continue
        # Nearly every line is a paragraph by itself: it begins with a letter, and has no blanks around it.
        if text[:1].isalpha():
            row = (number, text.rstrip(" \t"))
            if paragraph or (at + 1 < len(rows) and rows[at + 1][1]):
                paragraph.append(row)
            else:
                blocks.append(Block(0, (row,)))
            continue
        kind, said = _kind(text, bool(paragraph)) if text else ("empty", "")
        if kind == "words":
            paragraph.append((number, said))
            continue
        if paragraph:
            blocks.append(Block(0, tuple(paragraph)))
            paragraph = []
        if kind == "nested":
            upto = _margin(rows, at)
            blocks.extend(_flat_items(rows[at:upto]) or _parsed(rows[at:upto]))
        elif kind != "empty":
            blocks.append(heading(number, said) if kind == "heading" else Block(-1, ((number, said),)))
    if paragraph:
        blocks.append(Block(0, tuple(paragraph)))
    return blocks


def _kind(text: str, inside: bool) -> tuple[str, str]:
    """What a line is by itself, and its text without blanks around; `inside` is whether a paragraph is open."""
    said = text.strip(" \t")
    if not said:
        return "empty", ""
    sign = said[0]
    if sign.isalpha() or (inside and _depth(text) > 3):
        return "words", said
    if sign == "#":
        return ("heading" if _level(said) else "words"), said
    if sign in "-*_" and re.match(_RULE, said):
        return "rule", said
    if sign == ">":
        return "nested", said
    listed = re.match(_LISTED, said) if sign in "-+*0123456789" else None
    if listed and not (inside and (listed.end() == len(said) or (listed[1] and int(listed[1]) != 1))):
        return "nested", said
    return "words", said


def _depth(text: str) -> int:
    """How far a line is indented, in columns; a tab goes to the next multiple of four."""
    column = 0
    for sign in text:
        if sign == " ":
            column += 1
        elif sign == "\t":
            column += 4 - column % 4
        else:
            break
    return column


def _level(said: str) -> int:
    """The level of a heading, 1 to 6; 0 where it is none."""
    level = len(said) - len(said.lstrip("#"))
    return level if level < 7 and said[level : level + 1] in ("", " ", "\t") else 0


def heading(number: int, said: str) -> Block:
    """A heading without its signs."""
    level = _level(said)
    body = said[level:].lstrip(" \t")
    bare = body.rstrip("#")
    if not bare or bare[-1] in " \t":
        body = bare
    return Block(level, ((number, body.strip(" \t")),))


def _margin(rows: Sequence[Row], at: int) -> int:
    """Where a list or quote is over for certain: after an empty line a line at the margin that opens neither."""
    for end in range(at + 1, len(rows)):
        text = rows[end][1]
        if not rows[end - 1][1].strip(" \t") and text[:1] not in ("", " ", "\t") and _kind(text, False)[0] != "nested":
            return end
    return len(rows)


def _flat_items(rows: Sequence[Row]) -> list[Block] | None:
    """A list of one level without anything in it but words; None where there is more to it."""
    items: list[list[Row]] = []
    before = ""
    for number, text in rows:
        found = re.match(_FLAT, text)
        if found:
            items.append([(number, text[2:].strip(" \t") if found[1] else text)])
        elif text.strip(" \t"):
            if not before or not text[0].isalpha():
                return None
            items[-1].append((number, text))
        before = text.strip(" \t")
    return [Block(0, tuple(item), item=True) for item in items]


def _parsed(rows: Sequence[Row]) -> list[Block]:
    from ledger.read.blocks_parsed import blocks_by_parser

    return blocks_by_parser(rows)
