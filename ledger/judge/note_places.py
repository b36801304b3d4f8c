"""Places of notes in a draft: found by their anchor, told in the notes' own spelling, and what stands there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

from ledger.model.note import Anchor
from ledger.model.pages import page_numbers
from ledger.model.script import Draft, Line, Page, Scene
from ledger.model.words import normalise
from ledger.read.anchors import spell

#: How many lines that follow each other a quoted phrase may span.
SPAN = 3

_NOBODY: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Place:
    """A place in one draft. `kind` is "page", "panel", "phrase", "scene" or "chapter".

    `lines` are the lines that stand there (for a phrase those that hold it), `scenes` the scenes of a
    scene or chapter. `marked` is whether the page has panel marks.
    """

    kind: str
    lines: tuple[Line, ...]
    page: str | None = None
    panel: int | None = None
    scenes: tuple[Scene, ...] = ()
    chapter: int | None = None
    quote: str | None = None
    spot: tuple[float, float] | None = None
    marked: bool = True

    def told(self) -> str | None:
        """The place in the notes' own spelling, with page and panel wherever the draft has them."""
        if self.kind == "chapter":
            return spell(chapter=self.chapter)
        if self.kind == "scene":
            return spell(self.page, self.panel, scene=self.scenes[0].title)
        return spell(self.page, self.panel, quote=self.quote, spot=self.spot)


def find_place(anchor: Anchor, draft: Draft) -> Place | None:
    """Where an anchor points to in a draft; None where there is no such place, or no anchor."""
    if anchor.chapter is not None:
        return chapter_place(anchor.chapter, draft)
    if anchor.scene is not None:
        found = _scene_named(anchor.scene, draft, anchor.page)
        return scene_place((found,)) if found else None
    if anchor.quote is not None:
        return find_phrase(anchor.quote, _standing_on(draft, anchor), draft)
    page = page_of(draft, anchor.page)
    if page is None:
        return None
    return page_place(draft, page) if anchor.panel is None else panel_place(draft, page, anchor.panel)


def chapter_place(number: int, draft: Draft) -> Place | None:
    """The chapter of this number, in order."""
    scenes = tuple(scene for scene in draft.scenes if scene.number_of_chapter == number)
    return Place("chapter", lines_of(scenes), scenes=scenes, chapter=number) if scenes else None


def scene_place(scenes: Sequence[Scene]) -> Place:
    """A scene, or the scenes that one became; told by the first of them."""
    lines = lines_of(scenes)
    first = next(iter(lines_of(scenes[:1])), None)
    page, panel = (first.page, first.panel) if first else (None, None)
    return Place("scene", lines, page, panel, tuple(scenes))


def page_place(draft: Draft, page: Page) -> Place:
    """A whole page."""
    lines = tuple(line for line in draft.lines if line.page == page.label)
    return Place("page", lines, page.label, marked=bool(page.panels))


def panel_place(draft: Draft, page: Page, number: int) -> Place | None:
    """A panel; a page without panel marks is its own first one."""
    on_page = page_place(draft, page)
    if not page.panels:
        return Place("panel", on_page.lines, page.label, 1, marked=False) if number == 1 and page.holds else None
    if number not in {panel.number for panel in page.panels}:
        return None
    return Place("panel", tuple(line for line in on_page.lines if line.panel == number), page.label, number)


def page_of(draft: Draft, label: str | None) -> Page | None:
    """The page of this label, or the spread it is a half of; by its count first, then by the number typed."""
    if label is None:
        return None
    there = [page for page in draft.pages if not page.omitted]
    wanted = set(page_numbers(label))
    for fits in (
        lambda page: page.label == label,
        lambda page: wanted and wanted <= set(page_numbers(page.label)),
        lambda page: page.typed == label,
    ):
        found = next((page for page in there if fits(page)), None)
        if found is not None:
            return found
    return None


def find_phrase(words: str, lines: Sequence[Line], draft: Draft) -> Place | None:
    """The first place among these lines where the words stand, in one line or in some that follow each other."""
    for phrase in _spellings(words):
        for length in range(1, SPAN + 1):
            for at in range(len(lines) - length + 1):
                run = lines[at : at + length]
                if phrase in joined(run):
                    return phrase_place(run, words, draft)
    return None


def phrase_place(lines: Sequence[Line], words: str, draft: Draft) -> Place:
    """A phrase that stands in these lines."""
    page = page_of(draft, lines[0].page)
    return Place("phrase", tuple(lines), lines[0].page, lines[0].panel, quote=words, marked=bool(page and page.panels))


def _spellings(words: str) -> Iterable[str]:
    """The words as compared; then without emphasis signs; then without a speaker in front."""
    plain = words.replace("*", "").replace("_", "")
    tried = (words, plain, plain.partition(":")[2])
    return dict.fromkeys(phrase for each in tried if (phrase := normalise(each)))


def joined(lines: Iterable[Line]) -> str:
    """The words of some lines as they are compared."""
    return " ".join(_plain(line.text) for line in lines)


#: The same lines are looked through for one note after the other.
_plain = lru_cache(maxsize=1 << 15)(normalise)


def _standing_on(draft: Draft, anchor: Anchor) -> Sequence[Line]:
    """The lines that an anchor's page and panel leave to look through."""
    page = page_of(draft, anchor.page)
    if anchor.page is None:
        return draft.lines
    if page is None:
        return ()
    place = page_place(draft, page) if anchor.panel is None else panel_place(draft, page, anchor.panel)
    return place.lines if place else ()


def _scene_named(title: str, draft: Draft, page: str | None) -> Scene | None:
    """The scene of this title; a title's beginning, then a part of it, will do; so will a pinned name."""
    wanted = normalise(title)
    sheet = page_of(draft, page)
    scenes = [s for s in draft.scenes if page is None or (sheet and any(line.page == sheet.label for line in s.lines))]
    for fits in (
        lambda scene: normalise(scene.title) == wanted,
        lambda scene: scene.pin == title,
        lambda scene: normalise(scene.title).startswith(wanted),
        lambda scene: wanted in normalise(scene.title),
    ):
        found = next((scene for scene in scenes if fits(scene)), None)
        if found is not None:
            return found
    return None


def lines_of(scenes: Iterable[Scene]) -> tuple[Line, ...]:
    """Every line of some scenes."""
    return tuple(line for scene in scenes for line in scene.lines)


def wording(lines: Iterable[Line], *, by_panel: bool, renamed: Mapping[str, str] = _NOBODY) -> tuple[object, ...]:
    """What some lines say, fit for comparing: mouth and words; balloons of one mouth in a row are one.

    `by_panel` keeps what stands in different panels apart. `renamed` maps cast names to those of the
    other draft.
    """

    def head(line: Line) -> tuple[object, ...]:
        return (_panel_key(line) if by_panel else None, line.role, _mouth(line.speaker, renamed))

    runs = [(key, joined(run)) for key, run in groupby(lines, key=head)]
    if not by_panel:
        return tuple((key, words) for key, words in runs)
    panels = list(dict.fromkeys(key[0] for key, _ in runs))
    return tuple((panels.index(key[0]), *key[1:], words) for key, words in runs)


def _panel_key(line: Line) -> tuple[str | None, int | None]:
    return line.page, line.panel


def _mouth(speaker: str, renamed: Mapping[str, str]) -> str:
    return " & ".join(renamed.get(name, name) for name in speaker.split(" & "))
