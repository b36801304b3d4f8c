"""`inkledger notes import`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from ledger.cli.answer import at_a_terminal
from ledger.cli.frame import DONE, Answer
from ledger.model.errors import Refusal
from ledger.render.plain import visible


@click.argument("source", metavar="FILE|-")
@click.option("--from", "reader", metavar="NAME", help="Whose notes these are; marks that name somebody stay theirs.")
@click.option("--on", metavar="ENTRY", help="The round that was read, such as script-3; the newest script if left out.")
@click.option("--no-greeting", is_flag=True, help="Leave out a greeting or sign-off that stands alone.")
def import_notes(here: Path, source: str, reader: str | None, on: str | None, *, no_greeting: bool) -> Answer:
    """Take notes in: a mail (.eml or its words), plain text, a saved round, a PDF with marks, the margin of a draft
    (.docx, .odt). In plain words a line that begins with a place (p12.3, page 24-25, ch 2) opens a note; the rest is a
    note on the whole book; quoted mail is left out."""
    from ledger.desk.notes.arrivals import read_arrival, take_in
    from ledger.desk.notes.sources import ImportWish, source_bytes
    from ledger.render.notes.arrivals import arrival_outcome, nothing_taken, preview_text
    from ledger.render.outcome import outcome_document, outcome_text

    place = None if source == "-" else here / source
    if place is None and at_a_terminal(sys.stdin):
        click.echo("Paste the mail here; end with Ctrl-D on a line of its own (twice if nothing happens).", err=True)
    data = source_bytes(place, source) if place else _typed_in()
    arrival = read_arrival(
        here, ImportWish(source if place else "standard input", data, reader, on, place, not no_greeting)
    )
    as_json = bool(click.get_current_context().params.get("as_json"))
    if arrival.fresh and at_a_terminal(sys.stdout) and not as_json:
        click.echo(visible(preview_text(arrival)))
        if not _wanted(source):
            outcome = nothing_taken(arrival)
            return Answer(outcome_text(outcome), outcome_document(outcome), DONE)
    take_in(here, arrival)
    outcome = arrival_outcome(arrival)
    return Answer(outcome_text(outcome), outcome_document(outcome), DONE)


def _typed_in() -> bytes:
    """What standard input gives; nothing where it was closed."""
    return sys.stdin.buffer.read() if sys.stdin is not None else b""


def _wanted(source: str) -> bool:
    """Asks; where standard input was read to its end, or is none a person types at, the terminal itself is asked."""
    if source != "-" and at_a_terminal(sys.stdin):
        return click.confirm("Take these in?", default=True)
    try:
        with Path("/dev/tty").open("r+b", buffering=0) as terminal:
            terminal.write(b"Take these in? [Y/n]: ")
            return terminal.readline(256).strip().lower() in (b"", b"y", b"yes")
    except OSError:
        raise Refusal("there is no terminal to ask at", remedy="send the output elsewhere: | cat") from None
