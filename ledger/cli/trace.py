"""`inkledger trace`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import Answer, verb


@click.argument("words", metavar='"WORDS"', nargs=-1, required=True)
def _trace(here: Path, words: tuple[str, ...]) -> Answer:
    """The life of a line: when it came, changed, moved, changed mouth or left.

    WORDS are some words of the line, as it is now or ever was. Case, emphasis, quotes and dashes make no difference.
    Every round of the script is looked through, and your files now.
    """
    from ledger.desk.history.tracing import trace
    from ledger.render.lives.documents import trace_document
    from ledger.render.lives.trace import trace_text

    found = trace(here, " ".join(words))
    return Answer(trace_text(found), trace_document(found))


command = verb("trace", 'inkledger trace "stopped counting"')(_trace)
