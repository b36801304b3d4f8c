"""A script by page as a file of a word processor.

The document is the least that ECMA-376 (Part 1, WordprocessingML; Part 2, packages) asks for: a main part, styles, and
the relations between them.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Mapping
from datetime import date
from html import escape
from typing import NamedTuple

from ledger.read.made_here import DOCUMENT_PARTS


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
<Override PartName="/word/footer1.xml" ContentType="application/vnd.openxmlformats-officedocument.wordprocessingml.footer+xml"/>\
</Types>"""  # noqa: E501
_RELATIONS = """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{}</Relationships>"""
_RELATION = """<Relationship Id="rId{}" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{}" Target="{}"/>"""  # noqa: E501
_MAIN = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
#: A4 (ISO 216) with margins of 25 mm, in twentieths of a point.
_SHEET = (
    '<w:sectPr><w:footerReference w:type="default" r:id="rId2"/><w:pgSz w:w="11906" w:h="16838"/><w:pgMar '
    'w:top="1417" w:right="1417" w:bottom="1417" w:left="1417" w:header="709" w:footer="709" w:gutter="0"/></w:sectPr>'
)
#: Headings from the largest down. Where chapters and scenes are told pages come below them, as a script is typed.
_HEADINGS = ("chapter", "scene", "page", "panel")
#: Kind of a block -> style id, its name, what it is like. Sizes in half points, indents in twentieths of a point.
_STYLES = {
    "title": ("Title", "Title", "", '<w:b/><w:sz w:val="36"/>'),
    "about": ("About", "About", "", ""),
    "foot": ("Footer", "footer", '<w:jc w:val="right"/>', '<w:sz w:val="18"/>'),
    "chapter": ("Heading{}", "heading {}", '<w:keepNext/><w:spacing w:before="480" w:after="60"/>',
                '<w:b/><w:sz w:val="34"/>'),
    "scene": ("Heading{}", "heading {}", '<w:keepNext/><w:spacing w:before="420" w:after="60"/>',
              '<w:b/><w:i/><w:sz w:val="28"/>'),
    "page": ("Heading{}", "heading {}", '<w:keepNext/><w:spacing w:before="360" w:after="60"/>',
             '<w:b/><w:sz w:val="30"/>'),
    "panel": ("Heading{}", "heading {}", '<w:keepNext/><w:spacing w:before="200" w:after="40"/>',
              '<w:b/><w:sz w:val="24"/>'),
    "action": ("Action", "Action", '<w:spacing w:after="80"/><w:ind w:left="720"/>', "<w:i/>"),
    "balloon": ("Balloon", "Balloon", '<w:tabs><w:tab w:val="left" w:pos="720"/></w:tabs><w:spacing w:after="80"/>'
                '<w:ind w:left="720" w:hanging="720"/>', ""),
}  # fmt: skip


def script_docx(blocks: Iterable[Block], when: date, foot: str) -> bytes:
    """The script for a word processor; the same script of the same day gives the same bytes.

    `foot` stands at the foot of every sheet, before its number.
    """
    every = list(blocks)
    headings = _HEADINGS[0 if any(block.kind in _HEADINGS[:2] for block in every) else 2 :]
    levels = {kind: level for level, kind in enumerate(headings, 1)}
    body = "".join(_paragraph(block, levels) for block in every)
    parts = (
        _TYPES,
        _related((("officeDocument", "word/document.xml"),)),
        _part("document", f"<w:body>{body}{_SHEET}</w:body>"),
        _related((("styles", "styles.xml"), ("footer", "footer1.xml"))),
        _part("styles", "".join(_style(kind, levels) for kind in _STYLES if kind in levels or kind not in _HEADINGS)),
        _part("ftr", _foot(foot)),
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in zip(DOCUMENT_PARTS, parts, strict=True):
            stamp = zipfile.ZipInfo(name, (max(when.year, 1980), when.month, when.day, 0, 0, 0))
            stamp.create_system, stamp.compress_type = 3, zipfile.ZIP_DEFLATED
            packed.writestr(stamp, text.encode())
    return out.getvalue()


def _related(targets: Iterable[tuple[str, str]]) -> str:
    """What a part leads to: kind and name of each, with the ids rId1, rId2 ..."""
    return _RELATIONS.format("".join(_RELATION.format(at, *each) for at, each in enumerate(targets, 1)))


def _part(name: str, inner: str) -> str:
    head = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    return f'{head}<w:{name} xmlns:w="{_MAIN}" xmlns:r="{_OFFICE}">{inner}</w:{name}>'


def _style(kind: str, levels: Mapping[str, int]) -> str:
    key, name, paragraph, run = _STYLES[kind]
    level = levels.get(kind)
    outline = f'<w:outlineLvl w:val="{level - 1}"/>' if level else ""
    return (
        f'<w:style w:type="paragraph" w:styleId="{key.format(level)}"><w:name w:val="{name.format(level)}"/>'
        f"<w:qFormat/><w:pPr>{paragraph}{outline}</w:pPr><w:rPr>{run}</w:rPr></w:style>"
    )


def _foot(words: str) -> str:
    """The foot of every sheet. "Sheet", since a page is one of the book's."""
    fields = [
        f'{_run(said)}<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText>{field}</w:instrText></w:r>'
        '<w:r><w:fldChar w:fldCharType="separate"/></w:r><w:r><w:t>1</w:t></w:r>'
        '<w:r><w:fldChar w:fldCharType="end"/></w:r>'
        for said, field in ((f"{words} \u00b7 sheet ", "PAGE"), (" of ", "NUMPAGES"))
    ]
    return f'<w:p><w:pPr><w:pStyle w:val="{_STYLES["foot"][0]}"/></w:pPr>{"".join(fields)}</w:p>'


def _paragraph(block: Block, levels: Mapping[str, int]) -> str:
    runs = _run(block.text)
    if block.kind == "balloon":
        runs = f"<w:r><w:t>{block.number}.</w:t><w:tab/></w:r>{_run(block.who + ': ', '<w:b/>')}{runs}"
    style = _STYLES[block.kind][0].format(levels.get(block.kind))
    return f'<w:p><w:pPr><w:pStyle w:val="{style}"/></w:pPr>{runs}</w:p>'


def _run(text: str, look: str = "") -> str:
    """Words as they stand; signs that XML 1.0 can't hold (section 2.2) are left out, others were shown before."""
    held = "".join(sign for sign in text if sign not in "\ufffe\uffff")
    return f'<w:r><w:rPr>{look}</w:rPr><w:t xml:space="preserve">{escape(held, quote=False)}</w:t></w:r>'
