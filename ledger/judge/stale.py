"""Stale pages as findings: why a page may no longer show what is written or drawn, in plain words."""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger.judge.made_from import Sources, made_from
from ledger.judge.page_then import what_changed, where_it_went
from ledger.judge.resting import Ground, Resting, grounds, is_stale
from ledger.model.book import Pass
from ledger.model.finding import Finding
from ledger.model.pages import page_name, pages_text
from ledger.read.state import BookState

__all__ = ["made_from", "stale_pages"]

#: What became of an upstream picture, in words that go on after "was".
_PAST = {"touch-up": "touched up", "redrawn": "redrawn", "layout": "laid out anew",
         "lost": "changed (the earlier picture can't be had to say how)"}  # fmt: skip


@dataclass
class _Reworded:
    """Pages of a text pass whose words alone changed, and the passes drawn from them."""

    pages: set[str] = field(default_factory=set)
    passes: list[str] = field(default_factory=list)


def stale_pages(state: BookState, kinds: dict[tuple[str, str], str] | None = None) -> tuple[Finding, ...]:
    """A `page-stale` query for every stale page, its export as the place.

    `kinds` is what became of pictures looked at before, by their object ids; what is looked at now is added to it.

    Pages whose words alone changed are told once for each text pass, in one query without a page as its place:
    nothing has to be drawn again for them.
    """
    sources = Sources(state, kinds)
    found: list[Finding] = []
    reworded: dict[str, _Reworded] = {}
    for pass_ in state.book.passes:
        for label, (resting, reasons) in grounds(sources, pass_).items():
            if is_stale(pass_, reasons):
                found.append(_stale(sources, pass_, label, resting, reasons))
            else:
                for each in reasons:
                    told = reworded.setdefault(each.upstream.name, _Reworded())
                    told.pages.add(label)
                    told.passes += [] if pass_.name in told.passes else [pass_.name]
    return (*found, *(_words_only(name, told) for name, told in reworded.items()))


def _stale(sources: Sources, pass_: Pass, label: str, resting: Resting, reasons: tuple[Ground, ...]) -> Finding:
    weighty = [each for each in reasons if each.kind != "words" or "wording" in pass_.locks]
    told = "; ".join(_reason(sources, label, each) for each in weighty)
    since = f" (this picture is from {resting.since})" if resting.since else ""
    file, again = sources.pictures(pass_, label)[0], f"inkledger enter {pass_.name} --pages {label}"
    fresh = resting.picture is not None and sources.known(file) != resting.picture
    return Finding(
        "page-stale", "query", f"{page_name(label)} of {pass_.name} is stale: {told}{since}", file.path, page=label,
        remedy=f"its picture is a new one: if that follows the change, enter it: {again}" if fresh else
        f'make it again and enter it; if it holds as it is: {again} --stands -m "why"',
    )  # fmt: skip


def _reason(sources: Sources, label: str, ground: Ground) -> str:
    name, basis = ground.upstream.name, ground.basis
    if ground.kind == "words":
        return f"words of {page_name(label)} of {name} have changed since {basis}, nothing else"
    if ground.upstream.kind == "art":
        if ground.kind == "gone":
            return f"{name} no longer has a picture of {page_name(label)}"
        return f"{page_name(label)} of {name} was {_PAST[ground.kind]} since {basis}"
    moved = where_it_went(sources, ground, label)
    if moved is not None:
        return f"what it was made from in {basis} is page {moved} of {name} now"
    if ground.kind == "gone":
        return f"{name} no longer has {page_name(label)}"
    return f"{page_name(label)} of {name} has changed since {basis}: {what_changed(sources, ground, label)}"


def _words_only(name: str, told: _Reworded) -> Finding:
    pages = page_name(*told.pages) if len(told.pages) == 1 else f"pages {pages_text(told.pages)}"
    was = "was" if len(told.pages) == 1 else "were"
    return Finding(
        "page-stale", "query",
        f"words only: {pages} of {name} {was} reworded after {', '.join(told.passes)}; the drawings stand as they are",
        remedy="nothing has to be drawn again; the new words are the letterer's",
    )  # fmt: skip
