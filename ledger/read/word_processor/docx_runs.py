"""One paragraph of a `.docx`: its runs with their looks, tracked changes accepted (ECMA-376 part 1, §17.3, §17.13)."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from ledger.read.word_processor.document import FURTHER_IN, Margin, Paragraph, Run, joined
from ledger.read.word_processor.docx_numbers import Numbers
from ledger.read.word_processor.docx_styles import paragraph_look, run_look
from ledger.read.word_processor.looks import Look, Styles
from ledger.read.word_processor.xml_parts import Element, child, name_of, value

#: What stands for a sign of its own inside a run.
_SIGNS = {"tab": "\t", "ptab": "\t", "br": "\n", "cr": "\n", "noBreakHyphen": "-", "sym": "\ufffd"}
#: What holds no words of the draft: properties, field codes, the reading aid over a word, the second form of a shape.
_PASSED = frozenset(("instrText", "delText", "delInstrText", "rt", "Fallback", "softHyphen", "sdtPr", "sdtEndPr"))
#: Tracked changes and how they are counted; a move counts once, where it went.
_CHANGES: Mapping[str, tuple[str, ...]] = {
    "ins": ("insertion",), "del": ("deletion",), "moveTo": ("move",), "moveFrom": (),
}  # fmt: skip
#: The ends of a comment's words, and the sign that it hangs on (§17.13.4).
_ENDS = {"commentRangeStart": "start", "commentRangeEnd": "end", "commentReference": "point"}
_TRACKED = {"ins": "insertion", "del": "deletion", "moveTo": "move"}
_PROPERTIES = re.compile(r"\w+Pr\Z")
_CONTENTS = re.compile(r"toc (?:\d|heading)\Z")

Notes = Mapping[tuple[str, str], tuple[Run, ...]]


class Beside(NamedTuple):
    """What stands in other parts of the package: styles, footnotes and endnotes by kind and id, numbered lists."""

    styles: Styles
    notes: Notes
    numbers: Numbers


@dataclass
class Words:
    """A paragraph as it is being read; `gone` is whether its mark was taken out, so that the next one joins it."""

    paragraph: Paragraph
    gone: bool = False
    counted: Counter[str] = field(default_factory=Counter)
    boxes: list[Words] = field(default_factory=list)
    notes: list[tuple[Run, ...]] = field(default_factory=list)
    margins: list[Margin] = field(default_factory=list)

    def joined_to(self, before: Words) -> Words:
        """This paragraph with the one before it, whose mark was taken out; it looks as this one does."""
        own = self.paragraph
        runs = joined([*before.paragraph.runs, *own.runs])
        whole = Paragraph(0, runs, own.level, own.style, own.set_off, own.item, own.row, own.cell)
        length = len(before.paragraph.text)
        return Words(whole, self.gone, before.counted + self.counted, before.boxes + self.boxes,
                     before.notes + self.notes, before.margins + _shifted(self.margins, length))  # fmt: skip


def read_paragraph(element: Element, beside: Beside, row: int = 0, cell: int = 0) -> Words:
    """Reads a `w:p` that stands whole in memory."""
    properties, styles = child(element, "pPr"), beside.styles
    identity = _val(properties, "pStyle") or styles.standard
    look = paragraph_look(properties).over(styles.paragraph(identity))
    reading = _Reading(beside, look)
    name = styles.name(identity)
    if _CONTENTS.match(name):
        return Words(Paragraph(0, (), 0, name, row=row, cell=cell), counted=Counter(contents=1))
    reading.inside(element, look)
    counted, gone = reading.counted, _mark(properties, reading.counted)
    listed = look.numbered if look.numbered and look.numbered[0] != "0" else None
    label = beside.numbers.label(*listed) if listed and not gone else ""
    runs = joined([*_set_before(label, reading.runs), *reading.runs])
    own = Paragraph(
        0, runs, look.level or 0, name, bool(look.centred) or (look.indent or 0) >= FURTHER_IN,
        listed is not None or name.startswith("list "), row, cell,
    )  # fmt: skip
    shifted = _shifted(reading.margins, len(label) + 1 if label else 0)
    return Words(own, gone, counted, reading.boxes, reading.notes_met, shifted)


def _shifted(margins: list[Margin], length: int) -> list[Margin]:
    """What hangs on a paragraph's words, with so many signs put before them."""
    return [margin._replace(at=margin.at + length) for margin in margins] if length else margins


def _set_before(label: str, runs: Sequence[Run]) -> Iterator[Run]:
    """The words that numbering sets before a paragraph, in the look of its first."""
    if label:
        first = runs[0] if runs else Run("")
        yield Run(f"{label} ", first.bold, first.italic, first.size)


def _mark(properties: Element | None, counted: Counter[str]) -> bool:
    """Whether the paragraph's mark was taken out; a mark put in or taken out counts where nothing else does."""
    look = child(properties, "rPr")
    marks = {name_of(each) for each in look} if look is not None else set()
    gone = bool(marks & {"del", "moveFrom"})
    if "del" in marks and not counted["deletion"]:
        counted["deletion"] += 1
    if "ins" in marks and not counted["insertion"]:
        counted["insertion"] += 1
    return gone


def _val(element: Element | None, name: str) -> str | None:
    found = child(element, name)
    return None if found is None else value(found, "val")


class _Reading:
    """Collects what one paragraph holds."""

    def __init__(self, beside: Beside, look: Look) -> None:
        self.beside, self.look = beside, look
        self.runs: list[Run] = []
        self.counted: Counter[str] = Counter()
        self.boxes: list[Words] = []
        self.notes_met: list[tuple[Run, ...]] = []
        self.margins: list[Margin] = []

    def inside(self, element: Element, look: Look) -> None:
        """Everything that stands in an element, in order."""
        for each in element:
            self._one(each, name_of(each), look)

    def _one(self, each: Element, name: str, look: Look) -> None:
        if name == "r":
            self._run(each)
        elif name == "t" or name in _SIGNS:
            self._text(_SIGNS.get(name) or each.text or "", look)
        elif name in _CHANGES:
            self._change(each, name, look)
        elif name in _ENDS:
            self.counted["comment"] += name == "commentReference"
            self.margins.append(Margin(_ENDS[name], value(each, "id") or "", self._length()))
        elif name in ("footnoteReference", "endnoteReference"):
            self._note(name.removesuffix("Reference"), value(each, "id") or "")
        elif name == "txbxContent":
            self._box(each)
        elif name not in _PASSED and not _PROPERTIES.match(name):
            self.inside(each, look)

    def _length(self) -> int:
        return sum(len(run.text) for run in self.runs)

    def _change(self, element: Element, name: str, look: Look) -> None:
        """A tracked change, read as accepted; its words are told beside."""
        self.counted.update(_CHANGES[name])
        at, runs = self._length(), len(self.runs)
        if name in ("ins", "moveTo"):
            self.inside(element, look)
        if name not in _TRACKED:
            return
        gone = "".join(each.text or "" for each in element.iter("{*}delText")) if name == "del" else ""
        words = gone or "".join(run.text for run in self.runs[runs:])
        if words:
            self.margins.append(Margin(_TRACKED[name], "", at, words, value(element, "author") or "",
                                       value(element, "date") or ""))  # fmt: skip

    def _run(self, element: Element) -> None:
        properties = child(element, "rPr")
        own = run_look(properties)
        style = _val(properties, "rStyle")
        look = own.over(self.beside.styles.look(style)).over(self.look) if style else own.over(self.look)
        if look.hidden and any(name_of(each) == "t" and (each.text or "").strip() for each in element):
            self.counted["hidden"] += 1
        else:
            self.inside(element, look)

    def _text(self, text: str, look: Look) -> None:
        if look.capitals:
            text = text.upper()
        self.runs.append(Run(text, bool(look.bold), bool(look.italic), look.size or 0.0))

    def _note(self, kind: str, identity: str) -> None:
        said = self.beside.notes.get((kind, identity))
        if said:
            self.notes_met.append(said)

    def _box(self, element: Element) -> None:
        """The paragraphs of a text box, those of boxes inside it among them."""
        for each in element.iter("{*}p"):
            if next((a for a in each.iterancestors("{*}txbxContent", "{*}Fallback")), None) is element:
                self.boxes.append(read_paragraph(each, self.beside))
