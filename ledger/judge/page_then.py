"""A page of the script then and now: what changed on it that a drawing has to follow, in a cartoonist's words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ledger.judge.fingerprint import fingerprint_of, page_fingerprint, script_pages
from ledger.judge.resting import Ground
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.script import Draft, Line
from ledger.model.words import normalise
from ledger.read.state import BookState

#: Said where the earlier page can't be had to look closer.
UNKNOWN = "its panels, lines, speakers or action"


def where_it_went(state: BookState, upstream: Pass, then: str, label: str) -> str | None:
    """The one page that now holds what this page was drawn from; None where there is none, or several."""
    draft = state.draft(upstream.name)
    drawn = then.partition("-")[0]
    found = [
        page.label
        for page in draft.pages
        if page.holds and page.label != label and fingerprint_of([page], draft.lines).partition("-")[0] == drawn
    ]
    here = page_fingerprint(draft, label)
    return found[0] if len(found) == 1 and (here is None or here.partition("-")[0] != drawn) else None


def what_changed(state: BookState, ground: Ground, label: str) -> str:
    """What changed on a page since a round, where the round's own draft has the page as it was drawn."""
    now = state.draft(ground.upstream.name)
    old = _draft_of(state, ground.basis)
    if old is None or page_fingerprint(old, label) != ground.then:
        return UNKNOWN
    return ", ".join(_told(old, now, label)) or UNKNOWN


def _draft_of(state: BookState, basis: str) -> Draft | None:
    """The draft that a round held, read back by its object ids."""
    from ledger.read.script import read_script

    entry = next((e for e in state.entries if isinstance(e, Round) and e.name == basis), None)
    if entry is None:
        return None
    try:
        files = [(path, state.snapshot.store.blob(oid)) for path, oid in entry.files.items() if oid]
        return read_script(files, state.book.cast)
    except (ContentMissing, Refusal):
        return None


def _told(old: Draft, now: Draft, label: str) -> list[str]:
    before, after = (_lines(draft, label) for draft in (old, now))
    told = []
    panels = [sum(page.panel_count for page in script_pages(draft, label)) for draft in (old, now)]
    if panels[0] != panels[1]:
        told.append(f"{panels[0]} panel{'s' * (panels[0] != 1)} then, {panels[1]} now")
    told += _lines_told([x for x in before if x.lettered], [x for x in after if x.lettered])
    if [normalise(x.text) for x in before if not x.lettered] != [normalise(x.text) for x in after if not x.lettered]:
        told.append("its action was rewritten")
    return told


def _lines(draft: Draft, label: str) -> list[Line]:
    labels = {page.label for page in script_pages(draft, label)}
    return [line for line in draft.lines if line.page in labels]


def _lines_told(before: Sequence[Line], after: Sequence[Line]) -> list[str]:
    if len(before) != len(after):
        count, word = abs(len(after) - len(before)), "added" if len(after) > len(before) else "cut"
        return [f"{count} line{'s' * (count != 1)} {word}"]
    mouths = [[(line.role, line.speaker) for line in side] for side in (before, after)]
    if Counter(mouths[0]) != Counter(mouths[1]):
        return ["a line is in another mouth"]
    places = [[line.panel for line in side] for side in (before, after)]
    return ["lines changed places"] if mouths[0] != mouths[1] or places[0] != places[1] else []
