"""`inkledger doctor`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.option("--renumber", is_flag=True, help="In a merge: give entries whose number both sides took a free one.")
@click.option(
    "--sizes", is_flag=True, help="What each pass takes on disk: its files now, and all that its rounds hold."
)
def _doctor(here: Path, renumber: bool, sizes: bool) -> Answer:
    """See whether everything that the entries name is there; make missing tags again. Nothing is deleted."""
    from ledger.desk.upkeep.health import examine
    from ledger.render.health import health_document, health_text, renumbered_document, renumbered_text

    if renumber:
        from ledger.desk.recording.renumbering import renumber as give_numbers

        health = give_numbers(here)
        return Answer(renumbered_text(health), renumbered_document(health))
    if sizes:
        from ledger.desk.upkeep.health import measure
        from ledger.render.health import sized_document, sizes_text

        health = measure(here)
        return Answer(sizes_text(health), sized_document(health))
    health = examine(here)
    return Answer(health_text(health), health_document(health), BLOCKED if health.ill else DONE)


command = verb("doctor", "inkledger doctor")(_doctor)
