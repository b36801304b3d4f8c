"""Words from outside made fit for a notes file: lines end in one way, no sign steers a terminal."""

from __future__ import annotations

import re

_ENDS = re.compile("\r\n|[\r\x0b\x0c\x85\u2028\u2029]")
#: C0 and C1 controls but tab and line feed, and halves of a sign that is not there.
_CONTROLS = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
#: Bidirectional controls that hold on past the words they stand in (UAX 9); isolates and marks end by themselves.
_OVERRIDES = re.compile("[\u202a-\u202e]")


def plain(text: str) -> str:
    """The text with line feeds alone at its line ends; each control character is shown as U+FFFD."""
    return _OVERRIDES.sub("", _CONTROLS.sub("\ufffd", _ENDS.sub("\n", text)))


def one_row(text: str) -> str:
    """The text on one line, runs of blanks as one."""
    return " ".join(plain(text).split())
