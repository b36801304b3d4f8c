"""`undo`: the last thing recorded here is taken back, if nothing stands on it and it never left this machine."""

from __future__ import annotations

from pathlib import Path

from ledger.desk.opening import open_book
from ledger.desk.recording.handing_over import refuse_unready
from ledger.gitedge.undo import take_back
from ledger.model.outcome import Outcome


def undo(here: Path) -> Outcome:
    """Takes the newest recording back. Raises Refusal with the reason where that can't be done."""
    book = open_book(here)
    refuse_unready(book.repo)
    back = take_back(book.repo)
    gone = "; its entry is out of the ledger again" if back.entry else ""
    said = [f"Took back: {back.subject}{gone}.", "Your drafts and pictures stay as they are now."]
    if back.renamed:
        said.append("The exports have the names again that they had before.")
    if back.kept:
        said.append(f"Changed since, so left as they are: {', '.join(back.kept)}.")
    said.append("What was taken back stays in the repository for 90 days.")
    return Outcome(True, tuple(said), back.entry, None, back.tag, back.paths)
