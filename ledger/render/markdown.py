"""Letters as Markdown. Words from the book stay words: nothing in them acts as a sign of Markdown or HTML."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ledger.render.letter import Block, Gallery, Items, Letter, Paragraph, Polish, Quoted, Subhead, Table
from ledger.render.plain import one_line
from ledger.render.told import Piece, pieces

#: Signs that act wherever they stand; `&` only before what would be an entity.
_ACTS = re.compile(r"[\\`*_\[\]<]|~~|&(?=#?\w+;)")
#: Signs that act at the start of a block.
_LEADS = re.compile(r"\A(?:[#>+=|~-]|\d+(?=[.)]))")
_SIGNS = {"strong": "**", "/strong": "**", "slanted": "*", "/slanted": "*"}


def words(text: str, *, leading: bool = True) -> str:
    """The text on one line, every sign that would act in Markdown made plain; `leading` where it begins a block."""
    plain = _ACTS.sub(_made_plain, one_line(text))
    return _LEADS.sub(_made_plain, plain) if leading else plain


def _made_plain(found: re.Match[str]) -> str:
    sign = found.group()
    return f"{sign}\\" if sign.isdigit() else f"\\{sign}"


def markdown(told: str) -> str:
    """A told sentence in Markdown."""
    return "".join(_piece(piece, leading=number == 0) for number, piece in enumerate(pieces(told)))


def _piece(piece: Piece, *, leading: bool) -> str:
    if piece.kind == "plain":
        return piece.text
    return _SIGNS.get(piece.kind) or words(piece.text, leading=leading)


def letter_markdown(letter: Letter) -> str:
    """The whole letter, ending in one line feed."""
    parts = [f"# {markdown(letter.title)}: {markdown(letter.about)}", *map(markdown, letter.opening)]
    if letter.message:
        parts.append(f"> {markdown(letter.message)}")
    parts.append(_listed(letter.short))
    for section in letter.sections:
        told = (block for block in section.blocks if not isinstance(block, Gallery))
        parts += [f"## {section.title}", *map(_block, told)]
    return "\n\n".join([*parts, "---", letter.foot]) + "\n"


def _block(block: Block) -> str:
    match block:
        case Subhead():
            return f"### {markdown(block.told)}"
        case Items():
            return _listed(block.items)
        case Quoted():
            return "\n>\n".join(f"> {markdown(place)} {markdown(told)}" for place, told in block.rows)
        case Polish():
            return f"{block.told}, not told one by one."
        case Gallery():
            return markdown(block.legend)
        case Table():
            return _table(block)
        case Paragraph():
            return markdown(block.told)


def _table(table: Table) -> str:
    """A table in the way of GitHub Flavored Markdown 4.10, which is read as plain text as well."""
    rows = [table.heads, ["---"] * len(table.heads), *([_cell(each) for each in row.cells] for row in table.rows)]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in rows)


def _cell(told: str) -> str:
    return markdown(told).replace("|", "\\|")


def _listed(items: Iterable[str]) -> str:
    return "\n".join(f"- {markdown(item)}" for item in items)
