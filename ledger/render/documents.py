"""JSON documents as the contract of the commands lays them out; every key is always there."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ledger.model.finding import Finding
from ledger.model.pages import label_order
from ledger.render.finding_documents import Document, findings_list

if TYPE_CHECKING:
    from ledger.model.note import Followed
    from ledger.model.standing import Away, PassStanding, Standing


def judged_document(findings: Iterable[Finding]) -> Document:
    """`check` and `audit`: `ok` is false exactly when a finding blocks."""
    found = list(findings)
    return {"ok": not any(f.blocks for f in found), "findings": findings_list(found)}


def done_document(
    *, done: bool = True, entry: str | None = None, commit: str | None = None, tag: str | None = None,
    paths: Iterable[str] = (), findings: Iterable[Finding] = (),
) -> Document:  # fmt: skip
    """The general form, for commands that have no shape of their own."""
    return {"done": done, "entry": entry, "commit": commit, "tag": tag, "paths": list(paths),
            "findings": findings_list(findings)}  # fmt: skip


def notes_document(followed: Iterable[Followed], findings: Iterable[Finding]) -> Document:
    """`notes list`: every note with what became of its place, file by file in typed order."""
    ordered = sorted(followed, key=lambda f: (f.note.path.encode("utf-8", "surrogateescape"), f.note.line))
    return {"findings": findings_list(findings), "notes": [_note(each) for each in ordered]}


def _note(followed: Followed) -> Document:
    note = followed.note
    return {
        "id": note.id, "round": note.round, "state": note.state, "text": note.text,
        "anchor": note.anchor.typed or None, "place_then": followed.place_then, "place_now": followed.place_now,
        "evidence": followed.evidence, "standing": list(followed.standing), "path": note.path, "line": note.line,
        "reader": followed.reader, "on": followed.on, "carried_to": note.carried_to, "beside": list(followed.beside),
        "candidates": list(followed.candidates), "words_then": followed.words_then, "words_now": followed.words_now,
    }  # fmt: skip


def status_document(standing: Standing) -> Document:
    """`status`: passes in the book's order; `pages` of a text pass is null. `away` tells who has what."""
    from ledger.model.note import STATES

    return {
        "passes": [_pass(each) for each in standing.passes],
        "notes": {state: standing.notes.get(state, 0) for state in STATES},
        "away": [
            *(_away(each, packet=False) for each in standing.away),
            *(_away(each, packet=True) for each in standing.reading),
        ],
        "next": [{"what": step.what, "why": step.why, "command": step.command} for step in standing.next],
        "findings": findings_list(standing.findings),
    }


def _away(away: Away, *, packet: bool) -> Document:
    return {"entry": away.entry, "pass": away.pass_name, "pages": away.pages, "to": away.to,
            "since": away.since.isoformat()[:10], "packet": packet}  # fmt: skip


def _pass(standing: PassStanding) -> Document:
    pages = standing.pages
    counted = pages and {"total": pages.total, "entered": pages.entered, "stale": sorted(pages.stale, key=label_order)}
    locks = [{"entry": lock.entry, "pages": lock.pages, "scopes": list(lock.scopes)} for lock in standing.locks]
    return {"name": standing.name, "kind": standing.kind, "round": standing.round, "pages": counted, "locks": locks}
