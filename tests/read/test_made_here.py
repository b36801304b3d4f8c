"""Files of inkledger's own are told from any other by what stands in them."""

from __future__ import annotations

import io
import zipfile
from datetime import date

import pytest

from ledger.read.made_here import DOCUMENT_PARTS, made_here
from ledger.render.lending.script_document import Block, script_docx
from ledger.render.page import environment, set_page


def zipped(*names: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name in names:
            packed.writestr(name, "x")
    return out.getvalue()


def test_its_own_pages_and_documents() -> None:
    page = environment().from_string(
        '{% extends "base.html" %}{% block title %}T{% endblock %}{% block body %}{% endblock %}'
    )
    assert made_here(set_page(page).encode())
    assert made_here(script_docx([Block("page", "Page 1")], date(2026, 3, 2), "packet-script-1-1f2e3d4c"))
    assert made_here(b'{"schema": "inkledger/audit/1", "ok": true}')


@pytest.mark.parametrize("data", [
    b"", b"<!doctype html>\n<html lang='en'><head><title>inkledger</title></head></html>",
    b'<!doctype html>\n<html><head><meta charset="utf-8">\n<meta name="generator" content="another"></head></html>',
    b'I wrote <meta name="generator" content="inkledger"> by hand', b'{"schema": "else/1"}', b"\x89PNG\r\n\x1a\n",
    b"PK\x03\x04", b"PK\x03\x04" + b"\0" * 200, zipped("word/document.xml"),
    zipped(*DOCUMENT_PARTS, "word/comments.xml"),
])  # fmt: skip
def test_what_somebody_else_made_is_none(data: bytes) -> None:
    """A packet's document that a reader's program saved again holds more parts: that is the reader's."""
    assert not made_here(data)
