"""`inkledger compare`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import Answer, verb
from ledger.cli.looking import compare
from ledger.model.errors import Refusal


@click.argument("references", metavar="[OLD] [NEW]", nargs=-1)
@click.option("--all", "everything", is_flag=True, help="Unfold small polish, too.")
@click.option("--all-lines", is_flag=True, help="Show every line, also those that stayed.")
@click.option("--patch", is_flag=True, help="The drafts as a unified diff.")
@click.option("--out", metavar="DIR", type=click.Path(path_type=Path), help="Difference pictures (not made yet).")
def _compare(
    here: Path, references: tuple[str, ...], everything: bool, all_lines: bool, patch: bool, out: Path | None
) -> Answer:
    """What changed, scene by scene, page by page, picture by picture.

    OLD and NEW are a round (script-3), a pass (inks), a git revision, `:index`, a file or a folder; without NEW your
    files now, without both the newest rounds against your files now.
    """
    if out is not None:
        raise Refusal("difference pictures are not made yet", remedy="leave --out away: the pages are named in words")
    return compare(here, references, everything=everything, all_lines=all_lines, patch=patch)


command = verb("compare", "inkledger compare script-3 script-4")(_compare)
