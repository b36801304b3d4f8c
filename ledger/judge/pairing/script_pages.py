"""A script read page by page: what is read of a page once serves every state in which it is the same."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import chain
from typing import NamedTuple

from ledger.judge.pairing.page_chunks import paged
from ledger.judge.pairing.sheets import Sheet, sheets_of
from ledger.model.book import Person
from ledger.model.script import Draft, Scene
from ledger.read.one_page import Leaf, read_leaf

#: A line that holds words however it is read: a letter after what may be a key, and no mark of a panel.
_SAYS = re.compile(r"(?m)^(?![Pp][Aa])[^\W\d_][^:\n]*: [^\W\d_]")


class PageText:
    """A page as it is typed, wherever it stands; the same text under the same cast is one object.

    It is read when that is first needed. `within` is whether a scene goes on into it.
    """

    __slots__ = ("_leaf", "_sheets", "_silent", "cast", "path", "typed", "within")

    def __init__(self, path: str, typed: str, cast: tuple[Person, ...], within: bool) -> None:
        self.path, self.typed, self.cast, self.within = path, typed, cast, within
        self._leaf: Leaf | None = None
        self._silent: bool | None = None
        self._sheets: dict[tuple[int, int], Sheet] = {}

    @property
    def leaf(self) -> Leaf:
        """What it says."""
        if self._leaf is None:
            self._leaf = read_leaf(self.path, self.typed, self.cast, within=self.within)
        return self._leaf

    @property
    def titles(self) -> tuple[str, ...]:
        """Those of the scenes that begin in it; where no sign of a heading stands in it that is known unread."""
        return () if self._goes_on else self.leaf.titles

    @property
    def open(self) -> bool:
        """Whether a scene goes on beyond it."""
        return self._goes_on or self.leaf.open

    @property
    def _goes_on(self) -> bool:
        return self.within and "#" not in self.typed and "=" not in self.typed

    @property
    def speakers(self) -> frozenset[str]:
        """Who speaks on it."""
        return frozenset(line.speaker for line in self.leaf.lines)

    @property
    def silent(self) -> bool:
        """Whether no word stands on it; a plain line with its key says enough."""
        if self._silent is None:
            self._silent = not (_SAYS.search(self.typed) and "=" not in self.typed) and self._says_nothing()
        return self._silent

    def _says_nothing(self) -> bool:
        return not any(sign.isalnum() for line in self.leaf.lines for sign in line.text)

    def sheet(self, first: int, scene: int) -> Sheet:
        """The page as it is set against another, where its first line and its scene 0 are these."""
        found = self._sheets.get((first, scene))
        if found is None:
            leaf = self.leaf.at(first, scene)
            assert leaf.page is not None
            found = sheets_of(Draft((Scene(0, "", "", leaf.page.path, 0, leaf.lines),), (leaf.page,)))[0]
            self._sheets[first, scene] = found
        return found


class Place(NamedTuple):
    """Where a page stands: its number, its first line in its file, the index that its scene 0 has in the draft."""

    number: int
    first: int
    scene: int


class FileInPages(NamedTuple):
    """A file of a script: `pages` with their places, after the text that stands before them all (`front`).

    Scenes are counted from the beginning of the file. `open` is whether a scene goes on beyond it, `joined` whether
    several might speak at once somewhere.
    """

    front: PageText
    pages: tuple[tuple[PageText, Place], ...]
    titles: tuple[str, ...]
    open: bool
    joined: bool


class ScriptInPages(NamedTuple):
    """A script page by page. `scenes` are the numbers of scenes before each file, `titles` those of all scenes."""

    files: tuple[FileInPages, ...]
    scenes: tuple[int, ...]
    titles: tuple[str, ...]
    labels: tuple[str, ...]

    def speakers(self) -> frozenset[str]:
        """Everybody who speaks in a file in which several might speak at once."""
        asked = [one for one in self.files if one.joined]
        texts = chain.from_iterable((one.front, *(text for text, _ in one.pages)) for one in asked)
        return frozenset[str]().union(*(text.speakers for text in texts))


def in_pages(files: Sequence[tuple[str, bytes]], cast: Sequence[Person]) -> ScriptInPages | None:
    """A script, (path, bytes) in reading order, taken apart; None where it is not certain that each page has its own.

    It is where every page has a plain mark, one after the other, and no text before the first mark of a later file.
    """
    under = tuple(cast)
    found: list[FileInPages] = []
    scenes: list[int] = []
    titles: tuple[str, ...] = ()
    goes_on = False
    for path, data in files:
        one = _file(path, data, under, goes_on)
        if one is None or (found and (one.front.leaf.lines or one.front.leaf.back)):
            return None
        found.append(one)
        scenes.append(len(titles))
        titles += one.titles
        goes_on = one.open
    numbers = [place.number for one in found for _, place in one.pages]
    if not numbers or numbers != list(range(numbers[0], numbers[0] + len(numbers))):
        return None
    return ScriptInPages(tuple(found), tuple(scenes), titles, tuple(map(str, numbers)))


@lru_cache(maxsize=256)
def _file(path: str, data: bytes, cast: tuple[Person, ...], goes_on: bool) -> FileInPages | None:
    parts = paged(data)
    if parts is None:
        return None
    texts: list[tuple[PageText, Place]] = []
    titles: tuple[str, ...] = ()
    within = goes_on
    for number, typed, first in zip((0, *parts.numbers), parts.typed, parts.begins, strict=True):
        text = _page(path, typed, cast, within)
        texts.append((text, Place(number, first, len(titles) - within)))
        titles += text.titles
        within = text.open
    return FileInPages(texts[0][0], tuple(texts[1:]), titles, within, any("&" in typed for typed in parts.typed))


@lru_cache(maxsize=4096)
def _page(path: str, typed: str, cast: tuple[Person, ...], within: bool) -> PageText:
    return PageText(path, typed, cast, within)


class Changed(NamedTuple):
    """A page that two states of a script have otherwise.

    `at` is its place among all pages, `then` and `now` are its first lines, `scene` is the index of its scene 0.
    """

    at: int
    old: PageText
    new: PageText
    then: int
    now: int
    scene: int

    @property
    def sheets(self) -> tuple[Sheet, Sheet]:
        """The page as it was and as it is."""
        return self.old.sheet(self.then, self.scene), self.new.sheet(self.now, self.scene)


def changed_pages(old: ScriptInPages, new: ScriptInPages) -> list[Changed] | None:
    """The pages that are typed otherwise; None where scenes are not those they were, or anything before the pages."""
    if len(old.files) != len(new.files) or old.labels != new.labels or old.scenes != new.scenes:
        return None
    found: list[Changed] = []
    at = 0
    for before, after, scenes in zip(old.files, new.files, old.scenes, strict=True):
        if before is not after:
            told = _in_file(before, after, scenes, at)
            if told is None:
                return None
            found += told
        at += len(before.pages)
    return found


def _in_file(before: FileInPages, after: FileInPages, scenes: int, at: int) -> list[Changed] | None:
    if before.front is not after.front or len(before.pages) != len(after.pages):
        return None
    found: list[Changed] = []
    for n, ((text, place), (other, there)) in enumerate(zip(before.pages, after.pages, strict=True), at):
        if place.scene != there.scene or place.number != there.number:
            return None
        if text is not other:
            found.append(Changed(n, text, other, place.first, there.first, place.scene + scenes))
    return found if before.open == after.open else None


def silent_between(script: ScriptInPages, first: int, last: int) -> Iterator[int]:
    """The places of the pages between two others on which no word stands."""
    at = 0
    for one in script.files:
        if at + len(one.pages) > first and at < last:
            yield from (n for n, (text, _) in enumerate(one.pages, at) if first < n < last and text.silent)
        at += len(one.pages)


def spoken_in(script: ScriptInPages, scene: int, without: Sequence[int]) -> bool:
    """Whether any line of a scene stands on a page, or before the first, that is not one of these places."""
    at = 0
    for one, scenes in zip(script.files, script.scenes, strict=True):
        if any(line.scene + scenes == scene for line in one.front.leaf.lines):
            return True
        for n, (text, place) in enumerate(one.pages, at):
            if n not in without and any(line.scene + place.scene + scenes == scene for line in text.leaf.lines):
                return True
        at += len(one.pages)
    return False
