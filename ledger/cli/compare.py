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
@click.option("--out", metavar="DIR", type=click.Path(path_type=Path), help="Put difference pictures there.")
def _compare(
    here: Path, references: tuple[str, ...], everything: bool, all_lines: bool, patch: bool, out: Path | None
) -> Answer:
    """What changed, scene by scene, page by page, picture by picture.

    OLD and NEW are a round (script-3), a pass (inks), a git revision, `:index`, a file or a folder; without NEW your
    files now, without both the newest rounds against your files now.

    `compare script letters.pdf` sets the text of a PDF of lettered pages against the script, page by page: lines that
    are missing, there twice, changed or out of order. A page whose words are pictures is not read, never right.

    With --out every changed page that both have becomes DIR/<pass>/p012.png: as it was, both laid in one, as it is.
    In the middle what both have is pale, what is gone orange, what has come blue.
    """
    if out is not None and patch:
        raise Refusal("--patch shows drafts, --out pictures", remedy="leave one of them away")
    to = here / out if out is not None else None
    return compare(here, references, everything=everything, all_lines=all_lines, patch=patch, to=to)


command = verb("compare", "inkledger compare script-3 script-4")(_compare)
