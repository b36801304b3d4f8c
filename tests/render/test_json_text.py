"""JSON as it is printed: what was put in, ASCII only, and in lines that a person can read."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from ledger.render.json_text import json_text

plain = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text()
values = st.recursive(plain, lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner), max_leaves=30)


@given(st.dictionaries(st.text(), values))
def test_it_is_the_same_document(document: dict[str, Any]) -> None:
    text = json_text(document)
    assert json.loads(text) == document
    assert text.isascii()


def test_a_lone_surrogate_is_written_as_it_is() -> None:
    assert json.loads(json_text({"path": "caf\udce9.md"})) == {"path": "caf\udce9.md"}


def test_an_item_a_line() -> None:
    lines = [{"kind": "cut", "old": {"text": "Is the light on?"}, "new": None}] * 2
    panels = [{"kind": "kept", "old": 1, "new": 1}, {"kind": "cut", "old": 2, "new": None}]
    document = {"schema": "inkledger/compare/1", "scenes": [{"moved": False, "lines": lines}], "findings": [],
                "pages": [{"kind": "kept", "old": "1", "new": "2", "panels": panels}]}  # fmt: skip
    assert json_text(document).split("\n") == [
        "{",
        '  "schema": "inkledger/compare/1",',
        '  "scenes": [',
        "    {",
        '      "moved": false,',
        '      "lines": [',
        '        {"kind": "cut", "old": {"text": "Is the light on?"}, "new": null},',
        '        {"kind": "cut", "old": {"text": "Is the light on?"}, "new": null}',
        "      ]",
        "    }",
        "  ],",
        '  "findings": [],',
        '  "pages": [',
        '    {"kind": "kept", "old": "1", "new": "2", "panels": [{"kind": "kept", "old": 1, "new": 1}, '
        '{"kind": "cut", "old": 2, "new": null}]}',
        "  ]",
        "}",
    ]
