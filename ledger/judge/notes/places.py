"""Places of notes in a draft: found by their anchor, told in the notes' own spelling, and what stands there."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, groupby
from typing import Generic, NamedTuple, TypeVar

from ledger.model.note import Anchor
from ledger.model.pages import page_numbers
from ledger.model.script import Draft, Line, Page, Scene
from ledger.model.words import normalise
from ledger.read.anchors import spell

#: How many lines that follow each other a quoted phrase may span.
SPAN = 3
#: How many signs around a place are shown.
AROUND = 140

#: Drafts of which so much is kept as is asked again and again for one note after the other.
_DRAFTS = 32

_NOBODY: Mapping[str, str] = {}
Held = TypeVar("Held")


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
            title, chapter = self.scenes[0].title, self.scenes[0].number_of_chapter
            return spell(self.page, self.panel, scene=title or None) or spell(chapter=chapter or None)
        return spell(self.page, self.panel, quote=self.quote, spot=self.spot)


def find_place(anchor: Anchor, draft: Draft) -> Place | None:
    """Where an anchor points to in a draft; None where there is no such place, or it could be several."""
    found = find_places(anchor, draft)
    return found[0] if len(found) == 1 else None


def find_places(anchor: Anchor, draft: Draft) -> tuple[Place, ...]:
    """Every place that an anchor may mean: words and titles may stand more than once."""
    if anchor.chapter is not None:
        chapter = chapter_place(anchor.chapter, draft)
        return (chapter,) if chapter else ()
    if anchor.scene is not None:
        return tuple(scene_place((scene,)) for scene in _scenes_named(anchor.scene, draft, anchor))
    if anchor.quote is not None:
        return tuple(phrase_place(run, anchor.quote, draft) for run in _standing_on(draft, anchor).runs(anchor.quote))
    page = page_of(draft, anchor.page)
    if page is None:
        return ()
    place = page_place(draft, page) if anchor.panel is None else panel_place(draft, page, anchor.panel)
    return (place,) if place else ()


def told_apart(found: Sequence[Place]) -> Iterator[str]:
    """Several places in the notes' own spelling; a phrase that stands twice in a panel is told by speaker and line."""
    told = [place.told() or "" for place in found]
    for place, words in zip(found, told, strict=True):
        whole = " ".join([_said(place.lines[0]), *(line.text for line in place.lines[1:])]) if place.lines else ""
        yield words if told.count(words) == 1 else spell(place.page, place.panel, quote=whole) or words


def _said(line: Line) -> str:
    return f"{line.speaker}: {line.text}" if line.speaker else line.text


def said_at(place: Place) -> str:
    """What stands at a place, at most AROUND signs of it, those around a phrase; dots where something was left out."""
    text = ""
    for line in place.lines:
        text += (" / " if text else "") + _said(line)
        if place.kind != "phrase" and len(text) > AROUND:
            break
    if len(text) <= AROUND:
        return text
    at = max(0, text.lower().find((place.quote or "").lower())) if place.kind == "phrase" else 0
    start = max(0, min(at - AROUND // 3, len(text) - AROUND))
    end = start + AROUND
    start = 0 if not start else text.rfind(" ", 0, start + 1) + 1
    end = end if end >= len(text) else max(text.rfind(" ", start, end), start + 1)
    return ("…" if start else "") + text[start:end] + ("…" if end < len(text) else "")


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
    return Place("page", _by_page(_Same(draft.scenes)).get(page.label, ()), page.label, marked=bool(page.panels))


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
    there = _by_label(_Same(draft.pages))
    if label in there:
        return there[label]
    wanted = set(page_numbers(label))
    for fits in (
        lambda page: wanted and wanted <= set(page_numbers(page.label)),
        lambda page: page.typed == label,
    ):
        found = next((page for page in there.values() if fits(page)), None)
        if found is not None:
            return found
    return None


def find_phrase(words: str, lines: Sequence[Line], draft: Draft) -> Place | None:
    """The first place among these lines where the words stand, in one line or in some that follow each other."""
    found = find_phrases(words, lines, draft)
    return found[0] if found else None


def find_phrases(words: str, lines: Sequence[Line], draft: Draft) -> tuple[Place, ...]:
    """Every place among these lines where the words stand."""
    return tuple(phrase_place(run, words, draft) for run in Column.of(lines).runs(words))


class Column(NamedTuple):
    """Lines that follow each other as one text in which words are looked for; `starts` is where each line begins."""

    lines: Sequence[Line]
    text: str
    starts: Sequence[int]

    @classmethod
    def of(cls, lines: Sequence[Line]) -> Column:
        """The column of these lines."""
        said = [_plain(line.text) for line in lines]
        return cls(lines, " ".join(said), [0, *accumulate(len(text) + 1 for text in said)][: len(said)])

    def runs(self, words: str) -> list[Sequence[Line]]:
        """The lines that hold the words, each run once: whole words before parts of words, few lines before many.

        Where the words have a speaker in front, the lines of that speaker alone if there are any.
        """
        for phrase, mouth in spellings(words):
            spans = list(self._spans(phrase))
            spans = [span for span in spans if self._whole(span, phrase)] or spans
            fewest = min((last - first for first, last, _ in spans), default=0)
            kept = dict.fromkeys((first, last) for first, last, _ in spans if last - first == fewest)
            runs = [self.lines[first : last + 1] for first, last in kept]
            if runs:
                return [run for run in runs if mouth and mouth in _mouths(run[0])] or runs
        return []

    def _spans(self, phrase: str) -> Iterator[tuple[int, int, int]]:
        """First line, last line and place in the text of every time the phrase stands there."""
        at = self.text.find(phrase)
        while at >= 0:
            first, last = (bisect_right(self.starts, n) - 1 for n in (at, at + len(phrase) - 1))
            if last - first < SPAN:
                yield first, last, at
            at = self.text.find(phrase, at + 1)

    def _whole(self, span: tuple[int, int, int], phrase: str) -> bool:
        before, after = self.text[: span[2]][-1:], self.text[span[2] + len(phrase) :][:1]
        return not (before.isalnum() and phrase[0].isalnum()) and not (after.isalnum() and phrase[-1].isalnum())


def phrase_place(lines: Sequence[Line], words: str, draft: Draft) -> Place:
    """A phrase that stands in these lines."""
    page = page_of(draft, lines[0].page)
    return Place("phrase", tuple(lines), lines[0].page, lines[0].panel, quote=words, marked=bool(page and page.panels))


def spellings(words: str) -> Iterator[tuple[str, str]]:
    """The words as compared; then without emphasis signs; then without a speaker in front, who is named beside them."""
    plain = words.replace("*", "").replace("_", "")
    mouth, _, said = plain.partition(":")
    seen = set()
    for tried, who in ((words, ""), (plain, ""), (said, normalise(mouth))):
        phrase = normalise(tried)
        if phrase and phrase not in seen:
            seen.add(phrase)
            yield phrase, who


def _mouths(line: Line) -> tuple[str, str]:
    return normalise(line.speaker), normalise(line.key)


def joined(lines: Iterable[Line]) -> str:
    """The words of some lines as they are compared."""
    return " ".join(_plain(line.text) for line in lines)


#: The same lines are looked through for one note after the other.
_plain = lru_cache(maxsize=1 << 15)(normalise)


class _Same(Generic[Held]):
    """Scenes or pages of a draft, told apart by being the very same."""

    def __init__(self, held: Sequence[Held]) -> None:
        self.held = held

    def __hash__(self) -> int:
        return id(self.held)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.held is other.held


@lru_cache(maxsize=_DRAFTS)
def _whole_draft(scenes: _Same[Scene]) -> Column:
    return Column.of(lines_of(scenes.held))


@lru_cache(maxsize=_DRAFTS)
def _by_page(scenes: _Same[Scene]) -> Mapping[str, tuple[Line, ...]]:
    """Page label -> the lines on that page."""
    found: dict[str, list[Line]] = {}
    for line in lines_of(scenes.held):
        if line.page is not None:
            found.setdefault(line.page, []).append(line)
    return {label: tuple(lines) for label, lines in found.items()}


@lru_cache(maxsize=_DRAFTS)
def _by_label(pages: _Same[Page]) -> Mapping[str, Page]:
    """Label -> page, of several of one label the first; pages that are left out are none."""
    found: dict[str, Page] = {}
    for page in pages.held:
        if not page.omitted:
            found.setdefault(page.label, page)
    return found


def _standing_on(draft: Draft, anchor: Anchor) -> Column:
    """The lines that an anchor's page and panel leave to look through."""
    if anchor.page is None:
        return _whole_draft(_Same(draft.scenes))
    page = page_of(draft, anchor.page)
    if page is None:
        return Column.of(())
    place = page_place(draft, page) if anchor.panel is None else panel_place(draft, page, anchor.panel)
    return Column.of(place.lines if place else ())


def _scenes_named(title: str, draft: Draft, anchor: Anchor) -> list[Scene]:
    """The scenes of this title; a title's beginning, then a part of it, will do; so will a pinned name.

    A page and panel of the anchor leave the scenes that have lines on them; of several those that begin there.
    """
    wanted = normalise(title)
    scenes = [s for s in draft.scenes if anchor.page is None or _on_page(s.lines, draft, anchor.page)]
    for fits in (
        lambda scene: normalise(scene.title) == wanted,
        lambda scene: scene.pin == title,
        lambda scene: normalise(scene.title).startswith(wanted),
        lambda scene: wanted in normalise(scene.title),
    ):
        found = [scene for scene in scenes if fits(scene)]
        if len(found) > 1 and anchor.page is not None:
            begin = [s for s in found if _on_page(s.lines[:1], draft, anchor.page)]
            begin = [s for s in begin if anchor.panel in (None, s.lines[0].panel)] or begin
            found = begin or found
        if found:
            return found
    return []


def _on_page(lines: Iterable[Line], draft: Draft, label: str) -> bool:
    sheet = page_of(draft, label)
    return sheet is not None and any(line.page == sheet.label for line in lines)


def lines_of(scenes: Iterable[Scene]) -> tuple[Line, ...]:
    """Every line of some scenes."""
    return tuple(line for scene in scenes for line in scene.lines)


def wording(lines: Iterable[Line], *, by_panel: bool, renamed: Mapping[str, str] = _NOBODY) -> tuple[object, ...]:
    """What some lines say, fit for comparing: mouth and words; balloons of one mouth in a row are one.

    `by_panel` keeps what stands in different panels apart. `renamed` maps cast names to those of the
    other draft.
    """

    def head(line: Line) -> tuple[object, ...]:
        return (_panel_key(line) if by_panel else None, line.role, mouth(line.speaker, renamed))

    runs = [(key, joined(run)) for key, run in groupby(lines, key=head)]
    if not by_panel:
        return tuple((key, words) for key, words in runs)
    panels = list(dict.fromkeys(key[0] for key, _ in runs))
    return tuple((panels.index(key[0]), *key[1:], words) for key, words in runs)


def _panel_key(line: Line) -> tuple[str | None, int | None]:
    return line.page, line.panel


def mouth(speaker: str, renamed: Mapping[str, str]) -> str:
    """A speaker by the names of the other draft; several of them one by one."""
    if " & " not in speaker:
        return renamed.get(speaker, speaker)
    return " & ".join(renamed.get(name, name) for name in speaker.split(" & "))
