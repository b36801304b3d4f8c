"""A page of the script then and now: what changed on it that a drawing has to follow, in a cartoonist's words."""

from __future__ import annotations

from ledger.judge.resting.made_from import Sources
from ledger.judge.resting.panels_then import panels_reworded, panels_told, together, written_panels
from ledger.judge.resting.upstream import Ground

#: Said where the earlier page can't be had to look closer.
UNKNOWN = "its panels, lines, speakers or action have changed"


def where_it_went(sources: Sources, ground: Ground, label: str) -> str | None:
    """The one page that now holds what this page was drawn from; None where there is none, or several."""
    found = sources.prints(ground.upstream.name).drawn.get(ground.then.partition("-")[0], [])
    return found[0] if len(found) == 1 and found[0] != label else None


def what_changed(sources: Sources, ground: Ground, label: str, later: str | None = None) -> str:
    """What changed on a page since a round, where the round's own draft has the page as it was drawn.

    `later` names a round to look at in place of the draft as it is.
    """
    old = sources.prints_then(ground.basis)
    now = sources.prints(ground.upstream.name) if later is None else sources.prints_then(later)
    if old.of(label) != ground.then:
        return UNKNOWN
    return ", ".join(panels_told(written_panels(old, label), written_panels(now, label))) or UNKNOWN


def what_was_reworded(sources: Sources, ground: Ground, label: str) -> str:
    """`the words of panel 1 and panel 3`: where words alone changed on a page."""
    old, now = sources.prints_then(ground.basis), sources.prints(ground.upstream.name)
    panels = panels_reworded(written_panels(old, label), written_panels(now, label))
    if old.of(label) != ground.then or not panels:
        return "its words"
    return f"the words of {together(panels)}"
