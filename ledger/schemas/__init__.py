"""JSON Schemas of the documents that the commands print, one file a command."""

from __future__ import annotations

from pathlib import Path

FOLDER = Path(__file__).parent


def schema_path(command: str) -> Path:
    """Where the schema of a command's document lies; the first word of a command of two names it."""
    return FOLDER / f"{command}.json"
