"""`inkledger doctor`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.option("--renumber", is_flag=True, help="In a merge: give entries whose number both sides took a free one.")
def _doctor(here: Path, renumber: bool) -> Answer:
    """See whether everything that the entries name is there; make missing tags again. Nothing is deleted."""
    from ledger.desk.health import examine
    from ledger.render.health import health_document, health_text, renumbered_document, renumbered_text

    if renumber:
        from ledger.desk.renumbering import renumber as give_numbers

        health = give_numbers(here)
        return Answer(renumbered_text(health), renumbered_document(health))
    health = examine(here)
    return Answer(health_text(health), health_document(health), BLOCKED if health.ill else DONE)


command = verb("doctor", "inkledger doctor")(_doctor)
