"""`inkledger repage`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb
from ledger.model.errors import Refusal


@click.option("--apply", "carry_out", is_flag=True, help="Rename and record it, all or nothing.")
@click.option("--class", "alteration_class", metavar="CLASS", help="With --reason: PE, AA, EA or DA.")
@click.option("--reason", help="With --apply: admit signed-off pages by a slip that goes with it.")
def _repage(here: Path, carry_out: bool, alteration_class: str | None, reason: str | None) -> Answer:
    """The rename plan for exports after pages were inserted or cut.

    It sets the script that each export was entered from against the script now. A cut page's picture is set aside in
    a folder of its own; notes and entries stay as they are. With --apply the files are renamed and recorded as one
    commit with a round of each pass; signed-off pages need --reason, or have to be reopened first.
    """
    from ledger.desk.arithmetic.repage_applied import RepageWish, repage
    from ledger.desk.arithmetic.repaging import rename_plan
    from ledger.plan.renaming import Repaged
    from ledger.render.arithmetic.repage import repage_document, repage_text

    if (alteration_class or reason) and not carry_out:
        raise Refusal("--class and --reason go with --apply", remedy="leave them away to see the plan alone")
    found = repage(here, RepageWish(alteration_class, reason)) if carry_out else Repaged(rename_plan(here))
    blocked = any(finding.blocks for finding in found.findings)
    return Answer(partial(repage_text, found), partial(repage_document, found), BLOCKED if blocked else DONE)


command = verb("repage", "inkledger repage")(_repage)
