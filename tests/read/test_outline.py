"""Outlines: the same as scripts, with list items as beats (convention §3)."""

from __future__ import annotations

import pytest

from ledger.model.script import Draft
from ledger.read.outline import read_outline

OUTLINE = """\
# Chapter 1: Low water

Wren comes home.

## The harbour

- The ferry is late.
- NOTE: nobody waits for her,
  or so she thinks.
  - The keeper watches from the lamp room.
1. She finds the gauge.
2. It has stopped.

- [page 3] The lamp goes out.
"""


def read(text: str) -> Draft:
    return read_outline([("outline/01.md", text.encode())], ())


def test_list_items_are_beats() -> None:
    draft = read(OUTLINE)
    assert {(line.role, line.speaker) for line in draft.lines} == {("action", "")}
    assert [(line.line, line.end_line, line.text) for line in draft.lines] == [
        (3, 3, "Wren comes home."),
        (7, 7, "The ferry is late."),
        (8, 9, "NOTE: nobody waits for her, or so she thinks."),
        (10, 10, "The keeper watches from the lamp room."),
        (11, 11, "She finds the gauge."),
        (12, 12, "It has stopped."),
        (14, 14, "The lamp goes out."),
    ]
    assert [(scene.chapter, scene.title) for scene in draft.scenes] == [
        ("Chapter 1: Low water", ""),
        ("Chapter 1: Low water", "The harbour"),
    ]
    assert draft.words == 0


def test_a_beat_put_in_between_changes_no_other() -> None:
    assert [line.text for line in read("1. One.\n2. Two.\n").lines] == ["One.", "Two."]


def test_lines_outside_a_list_are_read_as_in_a_script() -> None:
    assert [(line.role, line.speaker) for line in read("W: Row.\n\n- W: rows.\n").lines] == [
        ("dialogue", "W"),
        ("action", ""),
    ]


@pytest.mark.parametrize("text", ["1.\n", "- \n", "3.\n\n4. Four.\n"])
def test_an_empty_beat_is_no_line_or_its_number(text: str) -> None:
    assert all(line.text for line in read(text).lines)
