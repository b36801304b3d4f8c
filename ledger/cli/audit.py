"""`inkledger audit`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import Answer, verb
from ledger.cli.looking import audit
from ledger.model.errors import Refusal


@click.argument("reach", metavar="[RANGE]", required=False)
@click.option("--since-lock", is_flag=True, help="From the oldest sign-off on.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path),
              help="Write the report there: a page (.html) or JSON (.json).")  # fmt: skip
def _audit(here: Path, reach: str | None, since_lock: bool, out: Path | None) -> Answer:
    """Judge history by the same rules: every commit, entry and tag, whatever hook it passed by."""
    kind = out.suffix.lower() if out else ""
    if out is not None and kind not in (".html", ".htm", ".json"):
        raise Refusal("a report is written as a page or as JSON", path=str(out),
                      remedy="name a file that ends in .html or .json")  # fmt: skip
    return audit(here, [reach] if reach else [], since_lock=since_lock, out=out)


command = verb("audit", "inkledger audit")(_audit)
