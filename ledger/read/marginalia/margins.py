"""Comments and tracked changes of a word processor's file, as notes with their author, date and place."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence
from typing import NamedTuple

from ledger.model.book import Person
from ledger.model.coming_in import Left, NoteIn, NotesIn
from ledger.model.note import Anchor, Reply
from ledger.model.script import Draft
from ledger.read.blocks import blocks_of
from ledger.read.drafting import Drafting
from ledger.read.marginalia.places import Finds, phrase, settled, told
from ledger.read.marginalia.plain import one_row, plain
from ledger.read.marks import trade_heading
from ledger.read.word_processor.document import Comment, Document, Margin
from ledger.read.word_processor.docx import read_docx
from ledger.read.word_processor.odt import read_odt
from ledger.read.word_processor.packet_head import packet_of
from ledger.read.word_processor.typed import typed_rows

#: What a tracked change asks for.
_ASKS = {"insertion": "insert", "deletion": "cut", "move": "move here"}
#: So many words before an insertion are its place.
_BEFORE = 6


def read_margins(source: str, kind: str, data: bytes, cast: Sequence[Person], finds: Finds) -> NotesIn:
    """The notes in the margin of a `.docx` or `.odt` (`kind` says which). Raises Refusal for what can't be read."""
    document = (read_odt if kind == ".odt" else read_docx)(source, data)
    drafting = Drafting(cast)
    rows = typed_rows(document, cast)
    drafting.file(source, blocks_of(rows))
    headings = {at for at, row in rows if row.startswith("#") and not trade_heading(row.lstrip("# "))}
    margin = _Reading(document, _Here(drafting.draft([source]), headings), finds)
    left = [Left(kind) for kind in ("macro",) if document.counted[kind]]
    return NotesIn(source, tuple(margin.notes()), tuple(left), packet_of(document.paragraphs))


class _Where(NamedTuple):
    line: int
    page: str | None
    panel: int | None
    scene: str | None
    begins: bool


class _Here:
    """Where a paragraph of the file stands in its own pages, panels and scenes.

    `headings` are the paragraphs that begin a chapter or scene: each stands where what comes next does.
    """

    def __init__(self, draft: Draft, headings: Collection[int]) -> None:
        self.headings = headings
        marks: list[tuple[int, int, str | None, int | None]]
        marks = [(page.line, 0, page.label, None) for page in draft.pages]
        marks += [(panel.line, 1, page.label, panel.number) for page in draft.pages for panel in page.panels]
        marks += [(line.line, 2, line.page, line.panel) for line in draft.lines]
        titles = [(scene.line, scene.title) for scene in draft.scenes if scene.headed]
        self.scenes = sorted(titles)
        self.marks = sorted(marks, key=lambda mark: mark[:2])
        self.lines = [mark[0] for mark in self.marks]

    def at(self, paragraph: int) -> _Where:
        """The page, panel and scene of a paragraph; None where the file has no such marks before it."""
        at = bisect_right(self.lines, paragraph)
        if paragraph in self.headings:
            at = min(at + 1, len(self.marks))
        _, _, page, panel = self.marks[at - 1] if at else (0, 0, None, None)
        scene = next((title for line, title in reversed(self.scenes) if line <= paragraph), None)
        return _Where(paragraph, page, panel, scene, any(line == paragraph for line, _ in self.scenes))


class _Reading:
    """Goes through what hangs on the words: `open` are comments whose words go on, by name."""

    def __init__(self, document: Document, here: _Here, finds: Finds) -> None:
        self.document, self.here, self.finds = document, here, finds
        self.spans: dict[str, tuple[int, str]] = {}
        self.changes: list[NoteIn] = []

    def notes(self) -> Iterator[NoteIn]:
        """Comments and changes in the order of the text; a comment on nothing comes last."""
        self._spans()
        answers: dict[str, list[Comment]] = {}
        names = {comment.name for comment in self.document.said}
        for comment in self.document.said:
            answers.setdefault(comment.answers if comment.answers in names else "", []).append(comment)
        tops = answers.get("", [])
        reached = {c.name for top in tops for c in (top, *_thread(top, answers))}
        tops += [c for c in self.document.said if c.name not in reached]
        placed = [(self.spans.get(c.name, (1 << 30, ""))[0], self._comment(c, answers)) for c in tops]
        changed = [(margin.paragraph, self._change(margin)) for margin in self.document.margins if margin.kind in _ASKS]
        return iter([note for _, note in sorted([*placed, *changed], key=lambda each: each[0])])

    def _spans(self) -> None:
        """The paragraph in which the words of each comment begin, and these words."""
        begun: dict[str, Margin] = {}
        for margin in self.document.margins:
            if margin.kind == "start":
                begun.setdefault(margin.name, margin)
                self.spans.setdefault(margin.name, (margin.paragraph, ""))
            elif margin.kind in ("end", "point") and (start := begun.pop(margin.name, None)):
                self.spans[margin.name] = (start.paragraph, self._between(start, margin))
            elif margin.kind == "point":
                self.spans.setdefault(margin.name, (margin.paragraph, ""))

    def _between(self, start: Margin, end: Margin) -> str:
        texts = [self.document.paragraphs[n - 1].text for n in range(start.paragraph, end.paragraph + 1)]
        if len(texts) == 1:
            return texts[0][start.at : end.at]
        return "\n".join([texts[0][start.at :], *texts[1:-1], texts[-1][: end.at]])

    def _comment(self, comment: Comment, answers: dict[str, list[Comment]]) -> NoteIn:
        paragraph, words = self.spans.get(comment.name, (0, ""))
        place = self._place(paragraph, phrase(words))
        own = said = plain(comment.text).strip()
        if phrase(words) and not place.quote:
            said = f"\u201c{phrase(words)}\u201d: {said}" if said else f"\u201c{phrase(words)}\u201d"
        replies = tuple(reply_of(each.author, each.date[:10], each.text) for each in _thread(comment, answers))
        if comment.resolved:
            replies += (Reply("", "marked as settled in the draft", 0),)
        return NoteIn(said or "a comment without words", told(place), one_row(comment.author), _day(comment.date),
                      "comment", where=comment.date, replies=replies, own=own)  # fmt: skip

    def _change(self, margin: Margin) -> NoteIn:
        words = one_row(margin.text)
        before = " ".join(self.document.paragraphs[margin.paragraph - 1].text[: margin.at].split()[-_BEFORE:])
        quote = phrase(margin.text if margin.kind == "deletion" else before)
        place = self._place(margin.paragraph, quote)
        after = f" after \u201c{quote}\u201d" if margin.kind != "deletion" and quote else ""
        return NoteIn(f"{_ASKS[margin.kind]} \u201c{words}\u201d{after}", told(place), one_row(margin.author),
                      _day(margin.date), margin.kind, where=margin.date)  # fmt: skip

    def _place(self, paragraph: int, quote: str) -> Anchor:
        """The scene whose title it is; else the words on their page, alone, the panel, the page, the scene, all."""
        if not paragraph:
            return Anchor()
        here = self.here.at(paragraph)
        row = phrase(self.document.paragraphs[paragraph - 1].text)
        places = [Anchor(scene=here.scene), Anchor(page=here.page, scene=here.scene)] * here.begins
        places += [Anchor(page=here.page, panel=here.panel, quote=quote), Anchor(page=here.page, quote=quote),
                   Anchor(quote=quote)] * bool(quote)  # fmt: skip
        places += [Anchor(page=here.page, panel=here.panel), Anchor(page=here.page)] * bool(here.page)
        places += [Anchor(quote=row)] if row and not quote else []
        return settled([*places, Anchor(scene=here.scene)] if here.scene else places, self.finds)


def _thread(comment: Comment, answers: dict[str, list[Comment]]) -> Iterator[Comment]:
    """What answers a comment, and what answers these, in order; each once."""
    waiting, seen = list(reversed(answers.get(comment.name, ()))), {comment.name}
    while waiting:
        each = waiting.pop()
        if each.name not in seen:
            seen.add(each.name)
            yield each
            waiting += reversed(answers.get(each.name, ()))


def reply_of(author: str, date: str, text: str) -> Reply:
    """A reply that came with a mark, as plain words under its note; never a state, whatever it says."""
    who = ", ".join(filter(None, (one_row(author), _day(date))))
    head = f"reply by {who}" if who else "reply"
    return Reply("", f"{head}: {plain(text).strip()}", 0)


def _day(date: str) -> str:
    day = date[:10]
    return day if len(day) == 10 and day[4] == day[7] == "-" and day.replace("-", "").isdecimal() else ""
