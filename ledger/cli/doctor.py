"""`inkledger doctor`."""

from __future__ import annotations

from pathlib import Path

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


def _doctor(here: Path) -> Answer:
    """See whether everything that the entries name is there; make missing tags again. Nothing is deleted."""
    from ledger.desk.health import examine
    from ledger.render.health import health_document, health_text

    health = examine(here)
    return Answer(health_text(health), health_document(health), BLOCKED if health.ill else DONE)


command = verb("doctor", "inkledger doctor")(_doctor)
