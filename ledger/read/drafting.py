"""Blocks to a draft: chapters, scenes, lines, and the pages they stand on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from ledger.model.book import Person
from ledger.model.finding import Finding
from ledger.model.script import Draft, Line, Scene
from ledger.model.words import count_words
from ledger.read.blocks import Block
from ledger.read.marks import Mark, leading_marks, like_a_mark, trade_heading
from ledger.read.mouths import Mouth, Mouths
from ledger.read.paging import Paging
from ledger.read.plain_words import plain_words
from ledger.read.typed_text import Row

# Patterns are compiled when first met: most drafts need few of them.
_PIN = r"\s*\{#([^\s{}]+)\}\s*\Z"
_CUE = r"(?<!\\)\{([^{}]{1,60})\}"
_FENCE = r"(?:`{3,}|~{3,})[ \t]*"
#: The number of a beat: one put in between would make every later beat another.
_ITEM_NUMBER = r"\A\d{1,9}[.)][ \t]+"
_NAME_LIKE = r"([^\W\d_][\w'’.-]*(?: [^\W\d_][\w'’.-]*){0,2})(?: \([^()]*\))?:(?=\s)"
_MARKS = "marks are [page 12], [pages 24-25], [panel 3], [page 12, panel 1], [reveal] and [omitted]"
_SURE_HEADING = r".*[.:)]\s*\Z|[^a-z]+\Z"


class _OpenScene:
    """A scene that more lines may come to; `bare` is the scene without them."""

    __slots__ = ("bare", "lines", "omitted")

    def __init__(self, bare: Scene) -> None:
        self.bare, self.omitted = bare, False
        self.lines: list[Line] = []

    def closed(self) -> Scene:
        return self.bare._replace(lines=tuple(self.lines), omitted=self.omitted)


class _OpenLine(NamedTuple):
    """A line that may still go on below; `mouth` is None for action."""

    mouth: Mouth | None
    rows: list[Row]


class _Said(NamedTuple):
    """What a paragraph of one line says; `words` counts lettered ones, `named` is whether a name stands for a key."""

    mouth: Mouth
    cue: str
    text: str
    words: int
    named: bool


#: So many paragraphs are remembered with what they say.
_REMEMBERED = 1 << 16


@lru_cache(maxsize=2)
def _said_before(cast: tuple[Person, ...]) -> dict[str, _Said]:
    """Paragraphs as typed and what they say under a cast: two drafts of one script have most in common."""
    return {}


class Drafting:
    """Takes the blocks of file after file and gives the draft. `outline` reads list items as beats."""

    def __init__(self, cast: Sequence[Person], *, outline: bool = False) -> None:
        self.mouths = Mouths(cast)
        self.said = _said_before(tuple(cast))
        self.words = 0
        self.outline = outline
        self.paging = Paging()
        self.scenes: list[_OpenScene] = []
        self.findings: list[Finding] = []
        self.path = ""
        self.chapter, self.chapters = "", 0
        self.scene: _OpenScene | None = None
        self.open: _OpenLine | None = None
        self.bare_heading = False
        self.empty_chapter: Finding | None = None
        self.names_typed = False
        self.like_names: list[Finding] = []

    def file(self, path: str, blocks: Sequence[Block]) -> None:
        """Reads one file on from where the last one ended."""
        self.path = path
        before: Block | None = None
        for block in blocks:
            if block.level > 0:
                self._heading(block)
            elif block.level == 0:
                self._paragraph(block)
            elif before is not None and before.level == 0 and _underlines(block, before):
                self._underlined(before)
            before = block

    def draft(self, paths: Sequence[str]) -> Draft:
        """Everything read so far."""
        self._chapter_ends()
        if self.names_typed:
            self.findings.extend(self.like_names)
        scenes = tuple(scene.closed() for scene in self.scenes)
        return Draft(scenes, self.paging.closed(), tuple(self.findings), self.words, tuple(paths))

    # Headings

    def _heading(self, block: Block) -> None:
        ((line, typed),) = block.rows
        pinned = re.search(_PIN, typed) if typed[-1:] == "}" else None
        bare = typed[: pinned.start()] if pinned else typed
        trade = trade_heading(bare, alone=block.level < 3)
        marks, rest = trade or leading_marks(bare)
        self._marks(marks, line)
        if marks and not rest:
            return
        if block.level > 2:
            self._paragraph(Block(0, ((line, rest),)))
            return
        title = plain_words(rest)
        if block.level == 1:
            self._chapter_ends()
            self.chapter, self.chapters, self.scene = title, self.chapters + 1, None
            self.empty_chapter = Finding(
                "text-dropped", "query", f"nothing stands under the chapter heading {title!r}", self.path, line,
                remedy="write below it, or take the heading out",
            )  # fmt: skip
        else:
            self._scene(title, line, pinned[1] if pinned else None, headed=True)
        self.bare_heading = True

    def _chapter_ends(self) -> None:
        """A chapter without a scene or line would leave no trace in the draft: it is named."""
        if self.empty_chapter:
            self.findings.append(self.empty_chapter)
        self.empty_chapter = None

    def _scene(self, title: str, line: int, pin: str | None, *, headed: bool) -> _OpenScene:
        bare = Scene(len(self.scenes), self.chapter, title, self.path, line, (), pin, headed, self.chapters)
        self.scene = _OpenScene(bare)
        self.scenes.append(self.scene)
        self.empty_chapter = None
        return self.scene

    # Paragraphs

    def _paragraph(self, block: Block) -> None:
        """The lines of one paragraph: marks, keys with their words, action."""
        if len(block.rows) == 1 and not block.item:
            line, typed = block.rows[0]
            if typed[:1].isalpha() and typed[:2].lower() != "pa":
                self._single(line, typed)
                return
        rows = _without_fences(block.rows)
        if self.outline and block.item and rows:
            line, typed = rows[0]
            rows[0] = (line, re.sub(_ITEM_NUMBER, "", typed, count=1))
        after_mark = True
        for at, (line, typed) in enumerate(rows):
            if at and not typed.strip("=") and self._setext(rows, at):
                continue
            marks, text = leading_marks(typed)
            if not marks and (after_mark or re.match(_SURE_HEADING, typed)) and (trade := trade_heading(typed)):
                marks, text = trade
            if marks:
                self._close()
                text = self._marks(marks, line) + text
            after_mark = bool(marks) and not text
            if text:
                self._row((line, text), block.item, below=at + 1 < len(rows), led=bool(marks))
        self._close()

    def _single(self, line: int, text: str) -> None:
        """A paragraph of one line that begins with a letter, and so with no mark: nearly every line is one."""
        said = self.said.get(text) or self._taken_in(line, text)
        self.names_typed = self.names_typed or said.named
        self._line(said, line, line)

    def _taken_in(self, line: int, text: str) -> _Said:
        """What such a paragraph says; remembered where there is nothing to say about it."""
        told = len(self.findings) + len(self.like_names)
        spoken = self.mouths.split(text)
        if spoken is None:
            self._like_a_name(text, line)
        else:
            self._begun(spoken[0], line)
        said = _said(*spoken) if spoken else _said(None, text)
        if len(self.findings) + len(self.like_names) == told and len(self.said) < _REMEMBERED:
            self.said[text] = said
        return said

    def _row(self, row: Row, item: bool, *, below: bool, led: bool) -> None:
        """`below` is whether the paragraph goes on after this line, `led` whether a mark stood before it."""
        line, text = row
        if self.outline and item:
            self._go_on(row)
            return
        spoken = self.mouths.split(text)
        if spoken is None and below and (name := self._name_alone(text)) and not (led and name.loose):
            spoken = name, ""
        if spoken is None:
            self._like_a_name(text, line)
            if text[0] == "[" and like_a_mark(text):
                self._say("page-number", f"{text[:40]!r} is no mark, so it was read as words", line, _MARKS)
            self._go_on(row)
            return
        self._close()
        mouth, words = spoken
        self._begun(mouth, line)
        self.open = _OpenLine(mouth, [(line, words)])

    def _begun(self, mouth: Mouth, line: int) -> None:
        self.names_typed = self.names_typed or _is_named(mouth)
        if not mouth.known:
            self._unknown(mouth, line)

    def _name_alone(self, text: str) -> Mouth | None:
        """A name that fills its line; inside a speech a word in capitals is a shout, unless names stand so here."""
        mouth = self.mouths.alone(text)
        if mouth is None or self.open is None:
            return mouth
        if self.open.mouth is None:
            return mouth if not mouth.loose and text.isupper() else None
        typed_below = self.open.rows[0][1] == ""
        return mouth if typed_below or not mouth.loose else None

    def _go_on(self, row: Row) -> None:
        """A line that begins nothing new continues what is open."""
        if self.open is None:
            self.open = _OpenLine(None, [row])
        else:
            self.open.rows.append(row)

    def _setext(self, rows: Sequence[Row], at: int) -> bool:
        """A line of `=` below a single line of words makes it a chapter, as CommonMark has it; else it is no words."""
        line, title = rows[at - 1]
        if at == 1 and self.open is not None and self.open.mouth is None:
            self.open = None
            self._heading(Block(1, ((line, title),)))
        return True

    # Lines

    def _close(self) -> None:
        """The open line goes to its scene."""
        if self.open is None:
            return
        mouth, rows = self.open
        self.open = None
        self._line(_said(mouth, *(text for _, text in rows)), rows[0][0], rows[-1][0])

    def _line(self, said: _Said, first: int, last: int) -> None:
        mouth, cue, text, words, _ = said
        if not text and mouth is _ACTION:
            return
        self.words += words
        scene, paging = self.scene or self._scene("", first, None, headed=False), self.paging
        paging.line()
        self.bare_heading = False
        role, speaker, key = mouth.role, mouth.speaker, mouth.key
        scene.lines.append(Line(self.path, first, last, role, speaker, text, key, cue,
                                paging.label, paging.panel, scene.bare.index))  # fmt: skip

    def _marks(self, marks: Sequence[Mark], line: int) -> str:
        """Takes marks in; gives back as words what can't stand here."""
        words = ""
        for at, mark in enumerate(marks):
            if self.paging.goes_on(mark, marks[at + 1 : at + 2]):
                continue
            if mark.kind == "omitted" and self.bare_heading and not self.paging.fresh:
                if self.scene is not None:
                    self.scene.omitted = True
            elif not self.paging.met(mark, self.path, line):
                words += f"[{mark.kind}] "
        return words

    # What there is to say

    def _unknown(self, mouth: Mouth, line: int) -> None:
        self._say("unknown-key", f"{mouth.speaker!r} is nobody in the cast", line, self._right_name(mouth.speaker))

    def _right_name(self, typed: str) -> str:
        from ledger.read.config_table import nearest_name

        near = nearest_name(typed, self.mouths.cast.exact)
        add = "add it to [cast] in book.toml"
        return f"did you mean {near!r}? Otherwise {add}" if near else f"{add}, or mend the name"

    def _like_a_name(self, text: str, line: int) -> None:
        """Where keys are typed as names, a name that is nobody's is told: it may be an old one, left after a change."""
        found = re.match(_NAME_LIKE, text) if ":" in text[:40] and self.mouths.cast else None
        if found and all(word[0].isupper() for word in found[1].split()):
            said = f"{found[1]!r} is nobody in the cast, so this was not read as a speech"
            self.like_names.append(self._finding("unknown-key", said, line, self._right_name(found[1])))

    def _underlined(self, above: Block) -> None:
        line, typed = above.rows[-1]
        if not leading_marks(typed)[0] and not trade_heading(typed):
            said = f"the hyphens below would make a heading of {typed[:40]!r}; it was read as words"
            self._say("text-dropped", said, line, "put an empty line between, or write ## before a scene")

    def _say(self, rule: str, message: str, line: int, remedy: str) -> None:
        self.findings.append(self._finding(rule, message, line, remedy))

    def _finding(self, rule: str, message: str, line: int, remedy: str) -> Finding:
        title = self.scene.bare.title or None if self.scene else None
        return Finding(rule, "query", message, self.path, line, self.paging.label, self.paging.panel, title, remedy)


_ACTION = Mouth("action", "", "")


def _said(mouth: Mouth | None, *rows: str) -> _Said:
    """What the rows of a line say; no mouth makes them action."""
    typed = _unbroken(rows[0]) if len(rows) == 1 else " ".join(map(_unbroken, rows))
    if mouth is None:
        return _Said(_ACTION, "", plain_words(typed), 0, False)
    cue = mouth.cue
    if "{" in typed:
        cue = ", ".join(filter(None, [cue, *(said.strip() for said in re.findall(_CUE, typed))]))
        typed = re.sub(_CUE, " ", typed)
    text = plain_words(typed)
    words = count_words(text) if mouth.role != "action" else 0
    return _Said(mouth, cue, text, words, _is_named(mouth))


def _is_named(mouth: Mouth) -> bool:
    """Whether a name as people write it stands for the key."""
    return not (mouth.loose or mouth.key.isupper())


def _without_fences(rows: Sequence[Row]) -> list[Row]:
    """Rows without the signs that fence code off; words beside them stay."""
    if not any(text[:1] in ("`", "~") for _, text in rows):
        return [row for row in rows if row[1]]
    bare = [(line, text[found.end() :] if (found := re.match(_FENCE, text)) else text) for line, text in rows]
    return [row for row in bare if row[1]]


def _unbroken(text: str) -> str:
    """A line without the backslash that breaks it."""
    if text[-1:] != "\\":
        return text
    hard = len(text) - len(text.rstrip("\\"))
    return text[:-1] if hard % 2 else text


def _underlines(rule: Block, above: Block) -> bool:
    """Whether a line of hyphens stands so close to a paragraph that CommonMark makes that a heading."""
    line, text = rule.rows[0]
    return not above.item and set(text) == {"-"} and above.rows[-1][0] == line - 1
