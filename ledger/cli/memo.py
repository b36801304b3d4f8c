"""`inkledger memo`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ledger.cli.frame import DONE, Answer, verb
from ledger.model.errors import Refusal


@click.argument("references", metavar="[OLD] [NEW]", nargs=-1)
@click.option("--for", "reader", metavar="NAME", help="Whom the memo is for.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="Write it there (.md) instead.")
def _memo(here: Path, references: tuple[str, ...], reader: str | None, out: Path | None) -> Answer:
    """The change memo in Markdown: what happened, told to a reader, the weighty first.

    OLD and NEW as `compare` takes them; without them the newest rounds against your files now.
    """
    from ledger.desk.memos import memo

    if len(references) > 2:
        raise Refusal("memo takes two references at most", remedy="inkledger memo script-2 script-3")
    if out is not None and out.suffix.lower() not in (".md", ".markdown", ".txt"):
        raise Refusal("the memo can be written as Markdown only, so far", path=str(out), remedy="name a file in .md")
    text, _ = memo(here, references, reader)
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
    (here / out).write_text(text, "utf-8", newline="\n")
    return Answer(f"The memo is in {out}.", {**document, "paths": [str(out)], "text": text}, DONE)


command = verb("memo", "inkledger memo script-3 script-4 --for Marsh")(_memo)
