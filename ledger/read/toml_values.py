"""Values written as TOML; one value always gives the same text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

_ESCAPED = re.compile(r'["\\\x00-\x1f\x7f]')
_SHORT = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r", "\b": "\\b", "\f": "\\f"}
_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")


def toml_value(value: Any) -> str:
    """A value as it stands after `=`; a mapping as an inline table."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return str(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, str):
        return toml_string(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {toml_value(said)}" for key, said in value.items()) + " }"
    return "[" + ", ".join(toml_value(item) for item in value) + "]"


def toml_string(text: str) -> str:
    """Words in quotes."""
    return '"' + _ESCAPED.sub(lambda sign: _SHORT.get(sign[0], f"\\u{ord(sign[0]):04X}"), text) + '"'


def _key(key: str) -> str:
    return key if _BARE.match(key) else toml_string(key)
