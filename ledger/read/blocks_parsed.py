"""Lines to blocks by the CommonMark parser, for what the scan of lines leaves to it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from markdown_it import MarkdownIt
from markdown_it.token import Token

from ledger.read.blocks import Block
from ledger.read.typed_text import Row

#: Blocks of CommonMark that hide words or make headings by accident; without them their lines are paragraphs.
_NOT_READ = ["reference", "lheading", "code", "fence", "html_block"]


def blocks_by_parser(rows: Sequence[Row]) -> list[Block]:
    """The blocks of these lines; a line that the parser would drop stands as a paragraph of its own."""
    numbers = [number for number, _ in rows]
    blocks: list[Block] = []
    depth, marker = 0, ""
    tokens = _tokens("\n".join(text for _, text in rows))
    for index, token in enumerate(tokens):
        if token.type == "list_item_open":
            blocks.extend(_bare_marker(marker, blocks, numbers, token))
            depth += 1
            marker = f"{token.info}{token.markup}" if token.info else ""
            at = token.map[0] if token.map else 0
        elif token.type == "list_item_close":
            if marker:
                blocks.append(Block(0, ((numbers[at], marker),), item=True))
            depth, marker = depth - 1, ""
        elif token.type == "hr" and token.map:
            blocks.append(Block(-1, ((numbers[token.map[0]], rows[token.map[0]][1].strip(" \t")),), depth > 0))
        elif token.type == "inline":
            level = int(tokens[index - 1].tag[1]) if tokens[index - 1].type == "heading_open" else 0
            blocks.append(Block(level, _rows(token, numbers, marker), depth > 0))
            marker = ""
    return _with_lost(blocks, rows)


def _bare_marker(marker: str, blocks: list[Block], numbers: list[int], token: Token) -> list[Block]:
    """The number of an item that begins with another list, which would be lost."""
    return [Block(0, ((numbers[token.map[0]], marker),), item=True)] if marker and token.map else []


def _rows(token: Token, numbers: list[int], marker: str) -> tuple[Row, ...]:
    first = token.map[0] if token.map else 0
    texts = token.content.split("\n")
    if marker:
        texts[0] = f"{marker} {texts[0]}".strip()
    return tuple((numbers[min(first + n, len(numbers) - 1)], text.strip(" \t")) for n, text in enumerate(texts))


def _with_lost(blocks: list[Block], rows: Sequence[Row]) -> list[Block]:
    """The blocks and, in their place, lines with words that stand in none of them: quotes nested too deep."""
    read = {number for block in blocks for number, _ in block.rows}
    lost = [Block(0, ((number, text.strip(" \t>")),)) for number, text in rows
            if number not in read and any(sign.isalnum() for sign in text)]  # fmt: skip
    return sorted([*blocks, *lost], key=lambda block: block.rows[0][0]) if lost else blocks


def _tokens(text: str) -> list[Token]:
    tokens: list[Token] = []
    reader = _reader()
    reader.block.parse(text, reader, {}, tokens)
    return tokens


@cache
def _reader() -> MarkdownIt:
    return MarkdownIt("commonmark").disable(_NOT_READ)
