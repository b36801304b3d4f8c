"""Replies under a note: `done in script-4 at p30.2: cut to two lines`, `carried to inks: later`, plain words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ledger.model.note import STATES, Reply
from ledger.read.anchors import QUOTES, read_anchor

#: Words before the colon that are no state but mean something.
OTHER = ("answer", "seen", "mark")

_HEAD = re.compile(
    r"(?P<state>[a-z]+)(?:[ \t]+(?:in|to)[ \t]+(?P<where>[\w.-]+))?(?:[ \t]+at[ \t]+(?P<at>\S.*))?\Z",
    re.IGNORECASE | re.DOTALL,
)


def read_reply(rows: Sequence[str], line: int) -> tuple[Reply, str | None]:
    """The reply that these rows say, and what is wrong with it in a sentence (None: nothing).

    A reply that begins with no state is plain words: state "".
    """
    first, rest = rows[0], list(rows[1:])
    colon = _colon(first)
    head = first.rstrip(" \t.!") if colon is None else first[:colon].rstrip(" \t")
    found = _HEAD.match(head)
    state = found["state"].lower() if found else ""
    if not found or state not in (*STATES, *OTHER) or (state == "mark" and colon is None):
        return Reply("", _joined(rows), line), _half_said(first)
    at = read_anchor(found["at"]) if found["at"] else None
    wrong = f"{found['at']!r} is no place" if found["at"] and at is None else None
    words = "" if colon is None else first[colon + 1 :].strip(" \t")
    return Reply(state, _joined([words, *rest]), line, found["where"], at), wrong


def _joined(rows: Sequence[str]) -> str:
    return "\n".join(row.rstrip(" \t") for row in rows).strip("\n")


def _colon(text: str) -> int | None:
    """Where the first colon outside quotes stands."""
    until = ""
    for at, sign in enumerate(text):
        if until:
            until = "" if sign in until else until
        elif sign in QUOTES and sign != "\u2018":
            until = QUOTES[sign]
        elif sign == ":":
            return at
    return None


def _half_said(first: str) -> str | None:
    """What to say of plain words that begin like a state."""
    word = re.match(r"[a-z]+(?![\w'-])", first, re.IGNORECASE)
    if word and word.group().lower() in STATES and word.group().lower() != "open":
        state = word.group().lower()
        return f"a reply begins with {state!r} but is not written as one, it is kept as words"
    return None


def state_of(replies: Sequence[Reply], ticked: bool) -> str:
    """What the replies decide: the last one that says a state; an answer opens again; a tick alone is done."""
    for reply in reversed(replies):
        if reply.state in STATES:
            return reply.state
        if reply.state == "answer":
            return "open"
    return "done" if ticked else "open"
