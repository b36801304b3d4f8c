"""The shipped schemas say what the documents look like, and refuse what they do not."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import pytest

from ledger.cli.verbs import VERBS
from ledger.model.entry import Round
from ledger.model.finding import Finding
from ledger.model.note import Anchor, Followed, Note
from ledger.model.standing import NextStep, PageCount, PassStanding, SignedOff, Standing
from ledger.render.changes.document import compare_document
from ledger.render.documents import judged_document, notes_document, status_document
from ledger.render.rounds_text import rounds_document
from ledger.schemas import FOLDER
from tests.render.drafts import whole
from tests.schema_check import checked

FOUND = Finding("line-cut", "block", "a line was cut", "script/01.md", 4, "12", 3, "Harbour office", "put it back")
LOCKS = (SignedOff("lock-pencils-1", None, ("structure",)),)
STANDING = Standing(
    "The Salt Lantern",
    (
        PassStanding("script", "text", 4),
        PassStanding("pencils", "art", None, PageCount(24, 3, ("2",)), LOCKS),
    ),
    {"open": 2},
    (NextStep("See what changed", "two files differ", "inkledger compare"),),
    (FOUND,),
)
ROUND = Round(path="ledger/script-1.toml", number=1, date=datetime(2026, 3, 2, tzinfo=UTC), by="I", pass_name="script")
NOTE = Note("marsh", 1, "open", "Why?", Anchor("p1"), "notes/marsh.md", 3, 3)
DOCUMENTS = {
    "compare": compare_document(whole()._replace(findings=(FOUND,)), all_lines=True),
    "check": judged_document([FOUND]),
    "audit": judged_document([]),
    "status": status_document(STANDING),
    "notes": notes_document([Followed(NOTE)], [FOUND]),
    "rounds": rounds_document([ROUND]),
}


@pytest.mark.parametrize("command", DOCUMENTS)
def test_a_document_is_as_its_schema_says(command: str) -> None:
    checked(json.dumps({"schema": f"inkledger/{command}/1", **DOCUMENTS[command]}))


@pytest.mark.parametrize("command", DOCUMENTS)
def test_a_key_less_or_more_is_noticed(command: str) -> None:
    whole_document = {"schema": f"inkledger/{command}/1", **DOCUMENTS[command]}
    for key in DOCUMENTS[command]:
        with pytest.raises(AssertionError):
            checked(json.dumps({k: v for k, v in whole_document.items() if k != key}))
    with pytest.raises(AssertionError):
        checked(json.dumps({**whole_document, "rank": 1}))


def test_every_verb_has_its_schema() -> None:
    assert {path.stem for path in FOLDER.glob("*.json")} == set(VERBS)


def test_a_refusal_is_a_document_too() -> None:
    error = {"message": "no such entry", "path": None, "line": None, "remedy": "see: inkledger rounds"}
    assert checked(json.dumps({"schema": "inkledger/compare/1", "error": error}))["error"] == error
