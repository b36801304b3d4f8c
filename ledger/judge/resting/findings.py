"""Stale pages as findings: why a page may no longer show what is written or drawn, in plain words."""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger.judge.resting.made_from import Sources, made_from
from ledger.judge.resting.page_then import what_changed, what_was_reworded, where_it_went
from ledger.judge.resting.upstream import Ground, Resting, grounds, is_stale, look_ahead, round_now
from ledger.model.book import Pass
from ledger.model.finding import Finding
from ledger.model.pages import page_name, pages_text
from ledger.model.stale import Stale, StalePage
from ledger.read.state import BookState

__all__ = ["made_from", "stale", "stale_findings"]

#: What became of an upstream picture, in words that go on after "was" or "were".
_PAST = {"touch-up": "touched up", "redrawn": "redrawn", "layout": "laid out anew"}


@dataclass
class _Reworded:
    """Pages of a text pass whose words alone changed, and the passes drawn from them."""

    pages: set[str] = field(default_factory=set)
    passes: list[str] = field(default_factory=list)


def stale(state: BookState, kinds: dict[tuple[str, str], str] | None = None) -> Stale:
    """Every stale page with its reason, pass by pass.

    `kinds` is what became of pictures looked at before, by their object ids; what is looked at now is added to it.

    Pages whose words alone changed are told once for each text pass: nothing has to be drawn again for them.
    """
    sources = Sources(state, kinds)
    look_ahead(sources, state.book.passes)
    found: list[StalePage] = []
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
    return Stale(tuple(found), tuple(_words_only(name, told) for name, told in reworded.items()))


def stale_findings(found: Stale) -> tuple[Finding, ...]:
    """Stale pages as `page-stale` queries: one for every stale page, its export as the place.

    What is said of reworded pages has no page as its place.
    """
    words = (Finding("page-stale", "query", told, remedy="nothing has to be drawn again; the new words are the "
                     "letterer's") for told in found.reworded)  # fmt: skip
    return (*map(_finding, found.pages), *words)


def _finding(page: StalePage) -> Finding:
    again = f"inkledger enter {page.pass_name} --pages {page.page}"
    return Finding(
        "page-stale", "query", f"{page_name(page.page)} of {page.pass_name} rests on {page.because}", page.path,
        page=page.page,
        remedy=f"its picture is a new one: if that follows the change, enter it: {again}" if page.drawn_anew else
        f'make it again and enter it; if it holds as it is: {again} --stands -m "why"',
    )  # fmt: skip


def _stale(sources: Sources, pass_: Pass, label: str, resting: Resting, reasons: tuple[Ground, ...]) -> StalePage:
    weighty = [each for each in reasons if each.kind != "words" or "wording" in pass_.locks]
    told = "; and on ".join(reason(sources, label, each) for each in weighty)
    since = f" (this picture is from {resting.since})" if resting.since else ""
    file = sources.pictures(pass_, label)[0]
    anew = resting.picture is not None and sources.known(file) != resting.picture
    return StalePage(pass_.name, label, told + since, file.path, anew)


def reason(sources: Sources, label: str, ground: Ground) -> str:
    """`script-3, now script-5: panel 2 has a new speaker`; goes on after "rests on"."""
    now = round_now(sources, ground.upstream, label)
    since = f"now {now}" if now not in (None, ground.basis) else "changed since (in no round yet)"
    return f"{ground.basis}, {since}: {_what(sources, label, ground)}"


def _what(sources: Sources, label: str, ground: Ground) -> str:
    name = ground.upstream.name
    if ground.kind == "words":
        return f"{what_was_reworded(sources, ground, label)}, nothing else"
    if ground.upstream.kind == "art":
        return _drawn(ground)
    moved = where_it_went(sources, ground, label)
    if moved is not None:
        return f"what it was made from is page {moved} of {name} now"
    if ground.kind == "gone":
        return f"{name} no longer has the page"
    return what_changed(sources, ground, label)


def _drawn(ground: Ground) -> str:
    """What became of the picture it was made from."""
    if ground.kind == "gone":
        return f"{ground.upstream.name} no longer has a picture of it"
    if ground.kind == "lost":
        return "its picture has changed, and the earlier one can't be had to say how"
    if ground.kind == "layout" or not ground.panels:
        return f"the page was {_PAST[ground.kind]}"
    panels = [str(each) for each in ground.panels]
    if len(panels) == 1:
        return f"panel {panels[0]} was {_PAST[ground.kind]}"
    return f"panels {', '.join(panels[:-1])} and {panels[-1]} were {_PAST[ground.kind]}"


def _words_only(name: str, told: _Reworded) -> str:
    pages = page_name(*told.pages) if len(told.pages) == 1 else f"pages {pages_text(told.pages)}"
    was = "was" if len(told.pages) == 1 else "were"
    return (
        f"words only: {pages} of {name} {was} reworded after {', '.join(told.passes)}; the drawings stand as they are"
    )
