"""Two drafts of a text pass, and what happened between them."""

from collections.abc import Iterator, Mapping
from itertools import chain, zip_longest
from typing import NamedTuple

from ledger.compare.bodies import DraftBody, prepare, ready_texts, typed_lines
from ledger.compare.cast import compare_cast, renames_by_lines, renames_by_words
from ledger.compare.lines import Group as Lines
from ledger.compare.lines import Pairing, pair_lines
from ledger.compare.pages import Paged, PageMatch, match_pages, page_changes, paged
from ledger.compare.rarity import Rarity
from ledger.compare.scenes import Group, pair_scenes
from ledger.compare.telling import Told, carried_between_panels, line_kinds, tell_scenes
from ledger.model.change import CastChange, DraftChange
from ledger.model.script import Draft, Line

_NOBODY: Mapping[str, str] = {}


def compare_drafts(old: Draft, new: Draft, renamed_keys: Mapping[str, str] = _NOBODY) -> DraftChange:
    """What changed between two drafts: scenes, lines, cast, pages.

    Every old line and every new line stands in the answer once, unchanged ones too. `renamed_keys` are
    renames of characters the caller can vouch for, old cast name -> new one; others are found by what the
    characters say. Chance has no part in it: what is even is decided the same way whichever of two drafts
    is called the old one, so the answer read backwards is the answer to the question turned round.
    """
    names = renames_by_words(old, new, renamed_keys)
    ready = Ready(old, new, names)
    if ready.given_away:
        more = renames_by_lines(old, new, ready.lines(), names)
        if more != names:
            names, ready = more, Ready(old, new, more)
    return _told(ready, compare_cast(old, new, names))


class Ready:
    """Two drafts made ready, and what belongs together in them; `names` are renamed characters, old -> new."""

    def __init__(self, old: Draft, new: Draft, names: Mapping[str, str]) -> None:
        before, after = typed_lines(old, names), typed_lines(new, {})
        texts = ready_texts(chain(before, after))
        self.old, self.new = prepare(old, before, texts), prepare(new, after, texts)
        self.paged = paged(self.old), paged(self.new)
        self.turned = _before(self.new, self.old)
        if self.turned:
            self.found = _found(self.new, self.old, self.paged[1], self.paged[0]).turned()
        else:
            self.found = _found(self.old, self.new, *self.paged)

    @property
    def given_away(self) -> bool:
        """Whether any line is in another mouth."""
        return any(a.key[1] != b.key[1] for a, b in self.found.pairing.new_of.items())

    def lines(self) -> list[tuple[Line, Line]]:
        """Every pair of lines."""
        return [(a.line, b.line) for a, b in self.found.pairing.new_of.items()]


class Found(NamedTuple):
    """What belongs together in two drafts."""

    groups: list[Group]
    pairing: Pairing
    pages: PageMatch

    def turned(self) -> "Found":
        """The same, with old and new exchanged."""
        return Found([(b, a) for a, b in self.groups], self.pairing.turned(), self.pages.turned())


def _before(one: DraftBody, other: DraftBody) -> bool:
    """Whether a draft stands before another in an order of its own: by words, then by mouths, pages and panels."""
    for marks in (_words, _places):
        for a, b in zip_longest(marks(one), marks(other), fillvalue=()):
            if a != b:
                return a < b
    return False


def _words(draft: DraftBody) -> Iterator[tuple[object, ...]]:
    return ((scene.scene.title, *[key[2] for key in scene.print]) for scene in draft.scenes)


def _places(draft: DraftBody) -> Iterator[tuple[object, ...]]:
    return ((b.line.role, b.line.speaker, b.line.page or "", b.line.panel or 0) for b in draft.bodies)


def _found(old: DraftBody, new: DraftBody, before: Paged, after: Paged) -> Found:
    rarity = Rarity(old.scenes, new.scenes)
    groups = pair_scenes(old.scenes, new.scenes, rarity)
    sides = [
        ([b for at in a for b in old.scenes[at].bodies], [b for at in bs for b in new.scenes[at].bodies])
        for a, bs in groups
    ]
    settled: list[Lines] = []
    changed: list[Lines] = []
    for a, b in sides:
        same = [body.key for body in a] == [body.key for body in b]
        (settled if same else changed).append((a, b))
    pairing = pair_lines(changed, settled, (old.bodies, new.bodies), rarity)
    return Found(groups, pairing, match_pages(before, after, pairing.new_of))


def _told(ready: Ready, cast: CastChange) -> DraftChange:
    found, pairing = ready.found, ready.found.pairing
    kinds = line_kinds(ready.old, found.groups, pairing, turned=ready.turned)
    told = Told(ready.old, ready.new, found.groups, pairing, kinds, ready.turned)
    before, after = ready.paged
    carried_between_panels(told, before, after, found.pages)
    same = {a: b for a, b in pairing.new_of.items() if a.key == b.key}
    return DraftChange(tell_scenes(told), cast, page_changes(before.sheets, after.sheets, found.pages, same))
