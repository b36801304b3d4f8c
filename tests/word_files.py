"""Documents of word processors made by hand from their standards, for tests that need to know every byte."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from io import BytesIO

W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
REL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_OASIS = "urn:oasis:names:tc:opendocument:xmlns:"

STYLES = """\
<w:docDefaults><w:rPrDefault><w:rPr><w:sz w:val="24"/></w:rPr></w:rPrDefault></w:docDefaults>
<w:style w:type="paragraph" w:default="1" w:styleId="Normal"><w:name w:val="Normal"/></w:style>
<w:style w:type="paragraph" w:styleId="Kapitel"><w:name w:val="heading 1"/><w:basedOn w:val="Normal"/></w:style>
<w:style w:type="paragraph" w:styleId="Szene"><w:name w:val="heading 2"/><w:pPr><w:outlineLvl
w:val="1"/></w:pPr></w:style>
<w:style w:type="paragraph" w:styleId="MyScene"><w:name w:val="My scene"/><w:basedOn w:val="Szene"/></w:style>
<w:style w:type="paragraph" w:styleId="Speaker"><w:name w:val="Character"/></w:style>
<w:style w:type="paragraph" w:styleId="Title"><w:name w:val="Title"/></w:style>
<w:style w:type="paragraph" w:styleId="TOC1"><w:name w:val="toc 1"/></w:style>
<w:style w:type="character" w:styleId="Loud"><w:name w:val="Loud"/><w:rPr><w:b/></w:rPr></w:style>
"""


def packed(parts: Mapping[str, str | bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip package of these parts."""
    kept = BytesIO()
    with zipfile.ZipFile(kept, "w", method) as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return kept.getvalue()


def docx(body: str, **more: str | bytes) -> bytes:
    """A `.docx` with this body (ECMA-376 part 1, §11.3.10); `more` are parts of `word/` by the stem of their name."""
    return packed(docx_parts(body) | {f"word/{name}.xml": content for name, content in more.items()})


def docx_parts(body: str) -> dict[str, str | bytes]:
    """The parts of such a package."""
    head = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
    return {
        "[Content_Types].xml": f'{head}<Types xmlns="{_PACKAGE}/content-types"/>',
        "_rels/.rels": f'{head}<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="r1" '
        f'Type="{REL}/officeDocument" Target="word/document.xml"/></Relationships>',
        "word/styles.xml": f'{head}<w:styles xmlns:w="{W}">{STYLES}</w:styles>',
        "word/document.xml": f'{head}<w:document xmlns:w="{W}" xmlns:mc="http://schemas.openxmlformats.org/'
        f'markup-compatibility/2006"><w:body>{body}</w:body></w:document>',
    }


def p(*content: str, style: str = "", more: str = "") -> str:
    """A paragraph; bare text becomes a run."""
    named = f'<w:pStyle w:val="{style}"/>' if style else ""
    inside = "".join(each if each.startswith("<") else r(each) for each in content)
    return f"<w:p><w:pPr>{named}{more}</w:pPr>{inside}</w:p>"


def r(text: str, look: str = "") -> str:
    """A run of text."""
    return f'<w:r><w:rPr>{look}</w:rPr><w:t xml:space="preserve">{text}</w:t></w:r>'


def odt(text: str, automatic: str = "", manifest: str = "", **more: str | bytes) -> bytes:
    """An `.odt` with this content of `office:text` (OpenDocument 1.2 part 1, §3.4); the mimetype comes first."""
    spaces = " ".join(f'xmlns:{name}="{_OASIS}{name}:1.0"' for name in ("office", "text", "style", "table"))
    spaces += f' xmlns:fo="{_OASIS}xsl-fo-compatible:1.0" xmlns:draw="{_OASIS}drawing:1.0"'
    spaces += ' xmlns:dc="http://purl.org/dc/elements/1.1/"'
    return packed(
        {
            "mimetype": "application/vnd.oasis.opendocument.text",
            "META-INF/manifest.xml": f'<manifest:manifest xmlns:manifest="{_OASIS}manifest:1.0">{manifest}'
            "</manifest:manifest>",
            "content.xml": f"<office:document-content {spaces}><office:automatic-styles>{automatic}"
            f"</office:automatic-styles><office:body><office:text>{text}</office:text></office:body>"
            "</office:document-content>",
            **{f"{name}.xml": content for name, content in more.items()},
        }
    )
