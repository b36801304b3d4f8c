"""`inkledger check`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.option("--staged", is_flag=True, help="Judge what is about to be recorded, as git's hooks do.")
def _check(here: Path, staged: bool) -> Answer:
    """Judge the book: what is signed off, the drafts, the exports, the notes and the ledger."""
    from ledger.desk.checking import check, check_staged
    from ledger.render.documents import judged_document
    from ledger.render.findings_text import findings_text

    findings = check_staged(here) if staged else check(here)
    nothing = "What is about to be recorded stands." if staged else "Nothing found."
    blocked = any(finding.blocks for finding in findings)
    return Answer(findings_text(findings) or nothing, judged_document(findings), BLOCKED if blocked else DONE)


command = verb("check", "inkledger check")(_check)
