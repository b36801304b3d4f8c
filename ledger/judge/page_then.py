"""A page of the script then and now: what changed on it that a drawing has to follow, in a cartoonist's words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ledger.judge.fingerprint import Fingerprints
from ledger.judge.made_from import Sources
from ledger.judge.resting import Ground
from ledger.model.script import Line
from ledger.model.words import normalise

#: Said where the earlier page can't be had to look closer.
UNKNOWN = "its panels, lines, speakers or action"


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
    return ", ".join(_told(old, now, label)) or UNKNOWN


def _told(old: Fingerprints, now: Fingerprints, label: str) -> list[str]:
    before, after = old.lines(label), now.lines(label)
    told = []
    panels = [sum(page.panel_count for page in side.pages(label)) for side in (old, now)]
    if panels[0] != panels[1]:
        told.append(f"{panels[0]} panel{'s' * (panels[0] != 1)} then, {panels[1]} now")
    told += _lines_told(panels[0] == panels[1], [x for x in before if x.lettered], [x for x in after if x.lettered])
    if [normalise(x.text) for x in before if not x.lettered] != [normalise(x.text) for x in after if not x.lettered]:
        told.append("its action was rewritten")
    return told


def _lines_told(panels_kept: bool, before: Sequence[Line], after: Sequence[Line]) -> list[str]:
    if len(before) != len(after):
        count, word = abs(len(after) - len(before)), "added" if len(after) > len(before) else "cut"
        return [f"{count} line{'s' * (count != 1)} {word}"]
    mouths = [[(line.role, line.speaker) for line in side] for side in (before, after)]
    if Counter(mouths[0]) != Counter(mouths[1]):
        return ["a line is in another mouth"]
    places = [[line.panel for line in side] for side in (before, after)]
    carried = mouths[0] != mouths[1] or (panels_kept and places[0] != places[1])
    return ["lines changed places"] if carried else []
