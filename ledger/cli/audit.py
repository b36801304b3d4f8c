"""`inkledger audit`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.answer import document_text
from ledger.cli.frame import BLOCKED, DONE, Answer, verb
from ledger.model.errors import Refusal


@click.argument("reach", metavar="[RANGE]", required=False)
@click.option("--since-lock", is_flag=True, help="From the oldest sign-off on.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path),
              help="Write the report there: a page (.html) or JSON (.json).")  # fmt: skip
def _audit(here: Path, reach: str | None, since_lock: bool, out: Path | None) -> Answer:
    """Judge history by the same rules: every commit, entry and tag, whatever hook it passed by."""
    from ledger.desk.auditing import audit_report
    from ledger.render.documents import judged_document
    from ledger.render.findings_text import findings_text

    kind = out.suffix.lower() if out else ""
    if out is not None and kind not in (".html", ".htm", ".json"):
        raise Refusal("a report is written as a page or as JSON", path=str(out),
                      remedy="name a file that ends in .html or .json")  # fmt: skip
    report = audit_report(here, reach, since_lock=since_lock)
    document = judged_document(report.findings)
    text = findings_text(report.findings) or "Nothing found: history holds what was agreed."
    if out is not None:
        if kind == ".json":
            written = document_text({"schema": "inkledger/audit/1", **document}) + "\n"
        else:
            from ledger.render.audit_page import audit_html

            written = audit_html(report)
        (here / out).write_text(written, "utf-8", errors="replace", newline="\n")
        text = f"{text}\nThe report is in {out}."
    return Answer(text, document, DONE if document["ok"] else BLOCKED)


command = verb("audit", "inkledger audit")(_audit)
