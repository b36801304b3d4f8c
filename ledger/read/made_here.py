"""Files that inkledger wrote for somebody to read or look at, told by what stands in them."""

from __future__ import annotations

import io
import re
import zipfile

#: So many bytes of a file are enough to tell.
HEAD = 2048
#: What marks a difference picture (PNG, keyword "Software").
DIFFERENCE_PICTURE = "inkledger difference picture"
#: Endings under which such files are written.
ENDINGS = (".html", ".htm", ".json", ".png", ".docx")
#: The parts of a script for a word processor as it leaves here, in order; a program that saves it again adds its own.
DOCUMENT_PARTS = ("[Content_Types].xml", "_rels/.rels", "word/document.xml", "word/_rels/document.xml.rels",
                  "word/styles.xml", "word/footer1.xml")  # fmt: skip

_PAGE = re.compile(rb'\A<!doctype html>\s*<html [^>]*>\s*<head>\s*<meta charset="utf-8">\s*'
                   rb'<meta name="generator" content="inkledger">')  # fmt: skip
_REPORT = re.compile(rb'\A\{\s*"schema"\s*:\s*"inkledger/[a-z]+/[0-9]+"')


def made_here(data: bytes) -> bool:
    """Whether a file is a page, a report, a difference picture or a script document of inkledger's own.

    `data` are its first HEAD bytes at least; of a document all.
    """
    if data.startswith(b"PK\x03\x04"):
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as packed:
                return tuple(packed.namelist()) == DOCUMENT_PARTS
        except (zipfile.BadZipFile, NotImplementedError, ValueError, UnicodeDecodeError):
            return False
    return bool(_PAGE.match(data) or _REPORT.match(data)) or is_difference_picture(data)


def is_difference_picture(head: bytes) -> bool:
    """Whether a file is a difference picture, by its first bytes."""
    return head.startswith(b"\x89PNG\r\n\x1a\n") and b"tEXtSoftware\0" + DIFFERENCE_PICTURE.encode() in head[:512]
