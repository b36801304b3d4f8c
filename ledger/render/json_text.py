"""A JSON document as text that a person can read and a line-wise tool can search."""

from __future__ import annotations

import json
from json.encoder import encode_basestring_ascii as quoted
from typing import Any

#: Written by the encoder in C, which knows no indentation: that makes the text about five times as quick to make.
_encode = json.JSONEncoder(ensure_ascii=True).encode
#: A dict of so many words and numbers, such as what became of a panel, needs no line of its own.
_FEW = 3


class Rows(list[str]):
    """The items of a list as JSON, each for a line of its own: of what there is very much no dicts are made first."""


def json_text(document: dict[str, Any]) -> str:
    """The document, ASCII only: a key a line, a list one item a line, short items side by side."""
    rows = ["{"]
    _lay_pairs(document, "  ", rows)
    rows.append("}")
    return "\n".join(rows)


def _lay_pairs(pairs: dict[str, Any], margin: str, rows: list[str]) -> None:
    for key, value in pairs.items():
        _lay(value, margin, f"{quoted(key)}: ", rows)
        rows[-1] += ","
    rows[-1] = rows[-1].removesuffix(",")


def _lay(value: Any, margin: str, before: str, rows: list[str]) -> None:
    """Adds the rows of a value; `before` is what stands before it in the first one."""
    if _tall(value):
        rows.append(f"{margin}{before}[")
        _lay_items(value, margin + "  ", rows)
        rows.append(f"{margin}]")
    elif isinstance(value, dict) and any(map(_tall, value.values())):
        rows.append(f"{margin}{before}{{")
        _lay_pairs(value, margin + "  ", rows)
        rows.append(f"{margin}}}")
    else:
        rows.append(f"{margin}{before}{_encode(value)}")


def _lay_items(items: list[Any], margin: str, rows: list[str]) -> None:
    if isinstance(items, Rows):
        rows.append(margin + f",\n{margin}".join(items))
        return
    for each in items:
        _lay(each, margin, "", rows)
        rows[-1] += ","
    rows[-1] = rows[-1].removesuffix(",")


def _tall(value: Any) -> bool:
    """Whether a value is a list of things that take a line each: dicts that hold more than a few plain words."""
    if isinstance(value, Rows):
        return bool(value)
    if not isinstance(value, list) or not value or not isinstance(value[0], dict):
        return False
    first = value[0]
    return len(first) > _FEW or any(isinstance(each, (dict, list)) for each in first.values())
