"""What a change costs, as a document."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ledger.plan.weight import Placed, Redo, Weight
from ledger.render.finding_documents import findings_list

#: How many days a change costs, from least to most; each is null where no pace says.
RANGE = ("early", "likely", "late")


def weigh_document(weight: Weight) -> dict[str, Any]:
    """`weigh`: `flipped` and `cut` are numbers of the old book, `added` and the pages of `redo` of the new one."""
    old, new = weight.old, weight.new
    return {
        "extent": {
            "old": old.extent, "new": new.extent, "signature": new.signature,
            "signatures_old": old.sheets, "signatures_new": new.sheets,
            "blanks_old": old.blanks, "blanks_new": new.blanks,
        },
        "pages": {
            "added": _labels(weight.numbering.added), "cut": _labels(weight.numbering.cut),
            "flipped": _labels(weight.flipped),
        },
        "spreads": [_placed(each) for each in weight.spreads],
        "reveals": [_placed(each) for each in weight.reveals],
        "redo": [_redo(each) for each in weight.redo],
        "locks": [each.entry for each in weight.locks],
        "findings": findings_list(weight.findings),
    }  # fmt: skip


def _labels(pages: Iterable[int]) -> list[str]:
    return [str(page) for page in sorted(pages)]


def _placed(placed: Placed) -> dict[str, Any]:
    return {"old": placed.old, "new": placed.new, "broken": placed.broken}


def _redo(redo: Redo) -> dict[str, Any]:
    days = redo.days or (None, None, None)
    told = {name: None if each is None else round(each, 2) for name, each in zip(RANGE, days, strict=True)}
    return {"pass": redo.pass_name, "pages": _labels(redo.pages), "days": told, "rate": redo.pace.source}
