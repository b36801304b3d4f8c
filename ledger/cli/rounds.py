"""`inkledger rounds`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("pass_name", metavar="[PASS]", required=False)
@click.option("--page", help="Only what concerns this page.")
def _rounds(here: Path, pass_name: str | None, page: str | None) -> Answer:
    """Every round, sign-off, slip, hand-off and delivery in order, in words."""
    from ledger.desk.history.rounds import rounds
    from ledger.render.rounds_text import rounds_document, rounds_text

    title, entries, findings = rounds(here, pass_name, page)
    of = ", ".join(part for part in (pass_name or "", f"page {page}" if page else "") if part)
    code = BLOCKED if any(finding.blocks for finding in findings) else DONE
    return Answer(rounds_text(title, entries, of, findings), rounds_document(entries, findings), code)


command = verb("rounds", "inkledger rounds pencils --page 12")(_rounds)
