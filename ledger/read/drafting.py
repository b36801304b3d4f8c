"""Blocks to a draft: chapters, scenes, lines, and the pages they stand on."""

import re
from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from ledger.model.finding import Finding
from ledger.model.script import Draft, Line, Scene
from ledger.model.words import count_in_all
from ledger.read.blocks import Block, block_alone, blocks_of
from ledger.read.marks import Mark, leading_marks, like_a_mark, trade_heading
from ledger.read.mouths import Mouth
from ledger.read.paging import Paging
from ledger.read.plain_words import plain_words
from ledger.read.sayings import Said, Sayings, said_by, unbroken
from ledger.read.typed_text import Row, rows_in

if TYPE_CHECKING:
    from ledger.model.book import Person

# Patterns are compiled when first met: most drafts need few of them.
_PIN = r"\s*\{#([^\s{}]+)\}\s*\Z"
_FENCE = r"(?:`{3,}|~{3,})[ \t]*"
#: The number of a beat: one put in between would make every later beat another.
_ITEM_NUMBER = r"\A\d{1,9}[.)][ \t]+"
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


class Drafting:
    """Takes the blocks of file after file and gives the draft. `outline` reads list items as beats.

    `sayings` are those of the same cast, where other drafts were read by it before.
    """

    def __init__(self, cast: "Sequence[Person]", *, outline: bool = False, sayings: Sayings | None = None) -> None:
        self.sayings = sayings or Sayings(cast)
        self.mouths = self.sayings.mouths
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
        self.like_names: list[Finding] = []

    def within_a_scene(self) -> None:
        """What is read next stands in a scene that began before it."""
        self._scene("", 0, None, headed=True)

    def typed(self, path: str, text: str) -> None:
        """Reads one file on from where the last one ended; its text is that of `text_of`.

        A line that begins with a letter at the margin and stands between empty lines is a paragraph whatever else
        there is: CommonMark lets it end every list and quote. So it is read at once, and what is between two such
        lines by itself.
        """
        self.path = path
        self.sayings.of(text)
        known, alone, make = self.sayings.known, self.sayings.alone, partial(tuple.__new__, Line)
        at = 1
        between: list[str] = []
        lines: list[Line] | None = None
        for typed in text[:-1].split("\n\n"):
            said = known.get(typed) or alone(typed)
            if said is None:
                between.append(typed)
                continue
            if between or lines is None:
                at = self._between(at, between)
                between.clear()
                lines, page, panel, scene = self._stands(at)
            role, speaker, words, key, cue = said
            lines.append(make((path, at, at, role, speaker, words, key, cue, page, panel, scene)))
            at += 2
        self._between(at, between)

    def _between(self, at: int, parts: Sequence[str]) -> int:
        """Headings, marks, lists, paragraphs of several lines; the first begins on line `at`. Gives the line after."""
        for index, part in enumerate(parts):
            if "\n" in part:
                said = self.sayings.speeches(part) if part[0].isalpha() else None
                if said is None:
                    return self._rest(at, parts[index:])
                lines, page, panel, scene = self._stands(at)
                for line, (role, speaker, words, key, cue) in enumerate(said, at):
                    lines.append(Line(self.path, line, line, role, speaker, words, key, cue, page, panel, scene))
                at += len(said) + 1
                continue
            marks, rest = leading_marks(part)
            if marks and not rest:
                if left := self._marks(marks, at):
                    self._row((at, left), False, below=False, led=True)
                    self._close()
            elif block := block_alone(at, part):
                self._blocks((block,))
            else:
                return self._rest(at, parts[index:])
            at += 2
        return at

    def _rest(self, at: int, parts: Sequence[str]) -> int:
        """What may hang together, such as a list."""
        together = "\n\n".join(parts)
        self._blocks(blocks_of(rows_in(together, at)))
        return at + together.count("\n") + 2

    def file(self, path: str, blocks: Sequence[Block]) -> None:
        """Reads one file on from where the last one ended."""
        self.path = path
        self._blocks(blocks)

    def _blocks(self, blocks: Sequence[Block]) -> None:
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
        if self.like_names and any(map(self._is_named, {line.key for scene in self.scenes for line in scene.lines})):
            self.findings.extend(self.like_names)
        scenes = tuple(scene.closed() for scene in self.scenes)
        words = count_in_all([line.text for scene in self.scenes for line in scene.lines if line.role != "action"])
        return Draft(scenes, self.paging.closed(), tuple(self.findings), words, tuple(paths))

    def _is_named(self, key: str) -> bool:
        """Whether a key is a name as people write it."""
        mouth = self.mouths.mouth(key)
        return mouth is not None and not (mouth.loose or key.isupper())

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
        if not mouth.known:
            self._unknown(mouth, line)
        self.open = _OpenLine(mouth, [(line, words)])

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
        said = said_by(mouth, " ".join([unbroken(text) for _, text in rows]))
        self._line(said, rows[0][0], rows[-1][0])

    def _line(self, said: Said, first: int, last: int) -> None:
        _, _, text, key, _ = said
        if text or key:
            lines, *stands = self._stands(first)
            lines.append(Line._make((self.path, first, last, *said, *stands)))

    def _stands(self, line: int) -> tuple[list[Line], str | None, int | None, int]:
        """Where a line goes: the lines of its scene; its page, panel and the scene's number."""
        self.paging.line()
        self.bare_heading = False
        scene = self.scene or self._scene("", line, None, headed=False)
        return scene.lines, self.paging.label, self.paging.panel, scene.bare.index

    def _marks(self, marks: Sequence[Mark], line: int) -> str:
        """Takes marks in; gives back as words what can't stand here."""
        words, last = "", len(marks) - 1
        for at, mark in enumerate(marks):
            if at < last and self.paging.goes_on(mark, marks[at + 1]):
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
        name = self.mouths.like_a_name(text)
        if name:
            said = f"{name!r} is nobody in the cast, so this was not read as a speech"
            self.like_names.append(self._finding("unknown-key", said, line, self._right_name(name)))

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


def _without_fences(rows: Sequence[Row]) -> list[Row]:
    """Rows without the signs that fence code off; words beside them stay."""
    bare = [row if row[1][:1] not in ("`", "~") else (row[0], _unfenced(row[1])) for row in rows]
    return [row for row in bare if row[1]]


def _unfenced(text: str) -> str:
    found = re.match(_FENCE, text)
    return text[found.end() :] if found else text


def _underlines(rule: Block, above: Block) -> bool:
    """Whether a line of hyphens stands so close to a paragraph that CommonMark makes that a heading."""
    line, text = rule.rows[0]
    return not above.item and set(text) == {"-"} and above.rows[-1][0] == line - 1
