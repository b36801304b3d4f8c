"""A script by page as a file of a word processor.

The document is the least that ECMA-376 (Part 1, WordprocessingML; Part 2, packages) asks for: a main part, styles, and
the relations between them.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable
from datetime import date
from html import escape
from typing import NamedTuple


class Block(NamedTuple):
    """A paragraph: its kind, and its words; a balloon has its number on the page, and who says it."""

    kind: str
    text: str
    number: int | None = None
    who: str = ""


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
    """Words as they stand; signs that XML 1.0 can't hold (section 2.2) are left out, others were shown before."""
    held = "".join(sign for sign in text if sign not in "\ufffe\uffff")
    return f'<w:r><w:rPr>{look}</w:rPr><w:t xml:space="preserve">{escape(held, quote=False)}</w:t></w:r>'
