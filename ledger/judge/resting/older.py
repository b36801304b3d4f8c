"""Pictures that were here before the upstream round they are about to be entered as made from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from ledger.judge.resting.made_from import Sources
from ledger.judge.resting.page_then import what_changed
from ledger.judge.resting.upstream import Ground, content_in, picture_kind, script_kind
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.finding import Finding
from ledger.model.pages import label_order, page_name
from ledger.model.snapshot import FileAt
from ledger.read.state import BookState


def older_pictures(
    state: BookState, pass_: Pass, pages: Iterable[str], then: Mapping[str, Mapping[str, FileAt]]
) -> tuple[Finding, ...]:
    """A `page-stale` query for every page whose picture is older than an upstream round that changed its page.

    `state` is what is about to be entered; `then` maps the name of an upstream round to the book's files in the commit
    that entered it. A picture that such a commit already held was not made from what that round brought. One query a
    page, about the oldest such round.
    """
    sources = Sources(state)
    wanted = sorted(set(pages), key=label_order)
    return tuple(finding for label in wanted if (finding := _older(sources, pass_, label, then)))


def _older(sources: Sources, pass_: Pass, label: str, then: Mapping[str, Mapping[str, FileAt]]) -> Finding | None:
    files = sources.pictures(pass_, label)
    if len(files) != 1 or files[0].oid is None:
        return None
    for upstream, before, after in _later_rounds(sources.state, pass_):
        held = then.get(after.name, {}).get(files[0].path)
        if held is None or held.oid != files[0].oid:
            continue
        ground = _ground(sources, pass_, label, (upstream, before, after))
        if ground is not None:
            again = f"inkledger enter {pass_.name} --pages {label}"
            return Finding(
                "page-stale", "query",
                f"{page_name(label)} of {pass_.name} was here before {after.name}, which changed what it is made from: "
                f"{_said(sources, ground, label, after.name)}",
                files[0].path, page=label,
                remedy=f"if it was made from {before.name}, say so: {again} --made-from {before.name}; "
                f'if it holds as it is: {again} --stands -m "why"',
            )  # fmt: skip
    return None


def _later_rounds(state: BookState, pass_: Pass) -> Iterator[tuple[Pass, Round, Round]]:
    """Every round of an upstream pass but the first, oldest first, with the round before it."""
    for name in pass_.comes_from:
        upstream = state.book.pass_named(name)
        mine = [entry for entry in state.entries if isinstance(entry, Round) and entry.pass_name == name]
        for before, after in pairwise(sorted(mine, key=lambda entry: entry.number)):
            if upstream is not None:
                yield upstream, before, after


def _ground(sources: Sources, pass_: Pass, label: str, step: tuple[Pass, Round, Round]) -> Ground | None:
    """What a round changed that this page has to follow; None for nothing."""
    upstream, before, after = step
    old, new = (content_in(sources, upstream, entry, label) for entry in (before, after))
    kind = _kind(sources, upstream, old, new)
    if old is None or kind == "same" or (kind == "words" and "wording" not in pass_.locks):
        return None
    return Ground(upstream, kind, old, new, before.name)


def _kind(sources: Sources, upstream: Pass, old: str | None, new: str | None) -> str:
    if old is None or old == new:
        return "same"
    if upstream.kind == "text" or new is None:
        return script_kind(old, new)
    return picture_kind(sources.state.snapshot.store, old, new)


def _said(sources: Sources, ground: Ground, label: str, later: str) -> str:
    name = ground.upstream.name
    if ground.kind == "gone":
        return f"it took {page_name(label)} out of {name}"
    if ground.kind == "words":
        return f"words of {page_name(label)}, nothing else"
    if ground.upstream.kind == "art":
        return f"another picture of {page_name(label)} in {name}"
    return what_changed(sources, ground, label, later)
