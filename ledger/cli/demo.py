"""`inkledger demo`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from ledger.cli.answer import at_a_terminal
from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("target", metavar="[DIR]", required=False)
def _demo(here: Path, target: str | None) -> Answer:
    """Build the example book with its whole history in a folder (./demo-book) and show the main job on it."""
    from ledger.desk.upkeep.example import show_example
    from ledger.model.outcome import Outcome
    from ledger.render.outcome import outcome_document
    from ledger.render.story import story_text

    try:
        story = show_example(here, target, _progress)
    finally:
        _progress("")
    document = outcome_document(Outcome(story.told, paths=(story.place,)))
    return Answer(story_text(story), document, DONE if story.told else BLOCKED)


def _progress(word: str) -> None:
    """What is being done, on one line of a terminal; no word clears the line."""
    if at_a_terminal(sys.stderr):
        sys.stderr.write(f"\r\x1b[K{word} ..." if word else "\r\x1b[K")
        sys.stderr.flush()


command = verb("demo", "inkledger demo my-example")(_demo)
