"""`inkledger compare`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb
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
    from ledger.desk.comparing import compare_contents, sides, sources
    from ledger.render.compare_text import compare_text
    from ledger.render.documents import compare_document

    if len(references) > 2:
        raise Refusal("compare takes two references at most", remedy="inkledger compare script-2 script-3")
    if out is not None:
        raise Refusal("difference pictures are not made yet", remedy="leave --out away: the pages are named in words")
    old, new = sides(here, references)
    found = compare_contents(old, new)
    document = compare_document(found, all_lines)
    code = BLOCKED if any(finding.blocks for finding in found.findings) else DONE
    if patch:
        from ledger.render.patch_text import patch_text

        return Answer(patch_text(*sources(old, new)), document, code)
    return Answer(compare_text(found, everything=everything, all_lines=all_lines), document, code)


command = verb("compare", "inkledger compare script-3 script-4")(_compare)
