"""What goes wrong outside the tool: refusals carry the place and the way out."""

from __future__ import annotations


class Refusal(Exception):
    """Wrong use, or input that cannot be read (exit 2).

    `message` is one plain sentence, `path` and `line` say where, `remedy` says what to do.
    """

    exit_code = 2

    def __init__(
        self, message: str, *, path: str | None = None, line: int | None = None, remedy: str | None = None
    ) -> None:
        super().__init__(message)
        self.message, self.path, self.line, self.remedy = message, path, line, remedy


class ContentMissing(Exception):
    """Content that is named but can't be had: not fetched, lost, or a file that can't be read.

    `why` is a short phrase that can stand in brackets: "not fetched", "Permission denied".
    """

    def __init__(self, name: str, why: str) -> None:
        super().__init__(f"{name}: {why}")
        self.name, self.why = name, why
