"""The script by page with its balloons numbered, for somebody who letters or draws from it: plain text and `.docx`.

The document is the least that ECMA-376 (Part 1, WordprocessingML; Part 2, packages) asks for: a main part, styles, and
the relations between them.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Iterator
from datetime import date
from html import escape
from typing import NamedTuple

from ledger.model.packet import Leaf
from ledger.model.script import Line
from ledger.render.packet_page import leaf_name
from ledger.render.places import mouth
from ledger.render.plain import beside, one_line, plural, wrapped


class Block(NamedTuple):
    """A paragraph: its kind, and its words; a balloon has its number on the page, and who says it."""

    kind: str
    text: str
    number: int | None = None
    who: str = ""


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
                Block("balloon", one_line(line.text), number, _who(line))
                if line.lettered
                else Block("action", one_line(line.text))
            )


def _who(line: Line) -> str:
    """Who says it, and how: `WREN (whisper)`, `CAPTION (WREN)`, `SFX`."""
    who, cue = mouth(line).upper(), one_line(line.cue)
    known = line.key.upper()
    return f"{who} ({cue})" if cue and cue.upper() not in (who, known) else who


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


# -- a document


_TYPES = """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">\
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>\
<Default Extension="xml" ContentType="application/xml"/>\
<Override PartName="/word/document.xml" ContentType="application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml"/>\
<Override PartName="/word/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.wordprocessingml.styles+xml"/>\
</Types>"""  # noqa: E501
_RELATIONS = """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">\
<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{kind}" Target="{target}"/>\
</Relationships>"""  # noqa: E501
_MAIN = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
#: Kind of a block -> style id, its name, what it is like. Sizes in half points, indents in twentieths of a point.
_STYLES = {
    "title": ("Title", "Title", "", '<w:b/><w:sz w:val="36"/>'),
    "about": ("About", "About", "", ""),
    "page": ("Heading1", "heading 1", '<w:keepNext/><w:spacing w:before="360" w:after="60"/><w:outlineLvl w:val="0"/>',
             '<w:b/><w:sz w:val="30"/>'),
    "panel": ("Heading2", "heading 2", '<w:keepNext/><w:spacing w:before="200" w:after="40"/><w:outlineLvl w:val="1"/>',
              '<w:b/><w:sz w:val="24"/>'),
    "action": ("Action", "Action", '<w:spacing w:after="80"/><w:ind w:left="720"/>', "<w:i/>"),
    "balloon": ("Balloon", "Balloon", '<w:tabs><w:tab w:val="left" w:pos="720"/></w:tabs><w:spacing w:after="80"/>'
                '<w:ind w:left="720" w:hanging="720"/>', ""),
}  # fmt: skip


def script_docx(blocks: Iterable[Block], when: date) -> bytes:
    """The script for a word processor; the same script of the same day gives the same bytes."""
    body = "".join(_paragraph(block) for block in blocks)
    parts = {
        "[Content_Types].xml": _TYPES,
        "_rels/.rels": _RELATIONS.format(kind="officeDocument", target="word/document.xml"),
        "word/document.xml": _part("document", f"<w:body>{body}<w:sectPr/></w:body>"),
        "word/_rels/document.xml.rels": _RELATIONS.format(kind="styles", target="styles.xml"),
        "word/styles.xml": _part("styles", "".join(_style(kind) for kind in _STYLES)),
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in parts.items():
            stamp = zipfile.ZipInfo(name, (max(when.year, 1980), when.month, when.day, 0, 0, 0))
            stamp.create_system, stamp.compress_type = 3, zipfile.ZIP_DEFLATED
            packed.writestr(stamp, text.encode())
    return out.getvalue()


def _part(name: str, inner: str) -> str:
    head = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    return f'{head}<w:{name} xmlns:w="{_MAIN}">{inner}</w:{name}>'


def _style(kind: str) -> str:
    key, name, paragraph, run = _STYLES[kind]
    return (
        f'<w:style w:type="paragraph" w:styleId="{key}"><w:name w:val="{name}"/><w:qFormat/>'
        f"<w:pPr>{paragraph}</w:pPr><w:rPr>{run}</w:rPr></w:style>"
    )


def _paragraph(block: Block) -> str:
    runs = _run(block.text)
    if block.kind == "balloon":
        runs = f"<w:r><w:t>{block.number}</w:t><w:tab/></w:r>{_run(block.who + ': ', '<w:b/>')}{runs}"
    return f'<w:p><w:pPr><w:pStyle w:val="{_STYLES[block.kind][0]}"/></w:pPr>{runs}</w:p>'


def _run(text: str, look: str = "") -> str:
    """Words as they stand; controls were made visible before, what else XML 1.0 can't hold (2.2) is left out."""
    held = "".join(sign for sign in text if sign not in "\ufffe\uffff")
    return f'<w:r><w:rPr>{look}</w:rPr><w:t xml:space="preserve">{escape(held, quote=False)}</w:t></w:r>'
