"""`inkledger undo`."""

from __future__ import annotations

from pathlib import Path

from ledger.cli.frame import DONE, Answer, verb


def _undo(here: Path) -> Answer:
    """Take back the last thing inkledger recorded, if nothing stands on it and it never left this machine."""
    from ledger.desk.recording.undoing import undo
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = undo(here)
    return Answer(outcome_text(outcome), outcome_document(outcome), DONE)


command = verb("undo", "inkledger undo")(_undo)
