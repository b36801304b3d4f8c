"""`inkledger memo`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ledger.cli.frame import DONE, Answer, verb
from ledger.model.errors import Refusal

#: How the name of a file ends that a memo is written to.
_PAGE, _TEXT = (".html", ".htm"), (".md", ".markdown", ".txt")


@click.argument("references", metavar="[OLD] [NEW]", nargs=-1)
@click.option("--for", "reader", metavar="NAME", help="Whom the memo is for.")
@click.option(
    "--out", metavar="FILE", type=click.Path(path_type=Path), help="Write it there: a page (.html) or Markdown (.md)."
)
def _memo(here: Path, references: tuple[str, ...], reader: str | None, out: Path | None) -> Answer:
    """The change memo: what happened, told to a reader, the weighty first. In Markdown, or as a page of its own.

    OLD and NEW as `compare` takes them; without them the newest rounds against your files now.
    """
    from ledger.desk.memos import memo
    from ledger.gitedge.one_file import put_whole

    if len(references) > 2:
        raise Refusal("memo takes two references at most", remedy="inkledger memo script-2 script-3")
    kind = out.suffix.lower() if out else ".md"
    if kind not in (*_PAGE, *_TEXT):
        raise Refusal(
            "a memo is written as a page or as Markdown", path=str(out), remedy="name a file that ends in .html or .md"
        )
    text = memo(here, references, reader, page=kind in _PAGE)
    document: dict[str, Any] = {
        "done": out is not None,
        "entry": None,
        "commit": None,
        "tag": None,
        "paths": [],
        "findings": [],
    }
    if out is None:
        return Answer(text, {**document, "text": text}, DONE)
    put_whole(here / out, text.encode("utf-8"))
    # A page stands in its file, pictures too: it is not told a second time.
    told = "" if kind in _PAGE else text
    return Answer(f"The memo is in {out}.", {**document, "paths": [str(out)], "text": told}, DONE)


command = verb("memo", "inkledger memo script-3 script-4 --for Marsh")(_memo)
