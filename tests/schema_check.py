"""Every JSON document that a command prints is held against the schema that is shipped for it."""

from __future__ import annotations

import json
from typing import Any

from jsonschema import Draft202012Validator

from ledger.schemas import schema_path


def checked(text: str | bytes) -> dict[str, Any]:
    """Reads a command's `--json` output, fails where it is not as its schema says, and gives it back."""
    document: dict[str, Any] = json.loads(text)
    _, command, version = document["schema"].split("/")
    assert version == "1"
    schema = json.loads(schema_path(command).read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    faults = sorted(Draft202012Validator(schema).iter_errors(document), key=str)
    assert not faults, f"{command}: " + "; ".join(
        f"{'/'.join(map(str, fault.absolute_path))}: {fault.message}" for fault in _causes(faults)
    )
    return document


def _causes(faults: list[Any]) -> list[Any]:
    """The innermost reasons, so that a test says which key is wrong."""
    return [cause for fault in faults for cause in (_causes(list(fault.context)) if fault.context else [fault])]
