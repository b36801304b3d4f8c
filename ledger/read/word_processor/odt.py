"""`.odt`, bytes to paragraphs (ISO/IEC 26300, OpenDocument 1.2 and later)."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

from ledger.model.errors import Refusal
from ledger.read.word_processor.archive import Package, encrypted
from ledger.read.word_processor.document import FURTHER_IN, Comment, Document, Margin, Paragraph, Run, Writer, joined
from ledger.read.word_processor.looks import Look, Styles
from ledger.read.word_processor.odt_lists import Lists
from ledger.read.word_processor.odt_margins import Regions, read_comment
from ledger.read.word_processor.odt_styles import read_style, style_key, usual_look
from ledger.read.word_processor.xml_parts import Element, name_of, stream, value

_CONTENT = "content.xml"
#: Lists that the program makes of what stands elsewhere in the document (§8).
_INDEXES = (
    "table-of-content", "illustration-index", "table-index", "object-index", "user-index", "alphabetical-index",
    "bibliography",
)  # fmt: skip
_WHOLE = ("p", "h", "changed-region", "style", "default-style", "list-style", *_INDEXES)
_FRAMES = ("text", "list", "list-item", "table", "table-row", "table-cell")
#: What holds no words of the draft (§7.5 reading aids, §14.1 comments are counted on their own).
_PASSED = frozenset(("ruby-text", "note-citation", "tracked-changes", "desc"))
#: The ends of an insertion (§5.5.7); a comment has its beginning where it stands (§14.1, §14.2).
_ENDS = {"annotation-end": "end", "change-start": "begun", "change-end": "done", "change": "gone"}
#: Most blanks that one `text:s` stands for; more is a trap.
_MOST_BLANKS = 1_000
_BLANKS = re.compile(r"[ \t\r\n]+")


def read_odt(path: str, data: bytes) -> Document:
    """Reads the text of a document in order. Raises Refusal for what is none, is encrypted, damaged or a trap.

    Tracked changes are read as accepted and counted: an `.odt` keeps words that were taken out beside its text.
    Comments are left out and counted; macros are not run.
    """
    package = Package(path, data)
    _refuse_encrypted(package)
    if _CONTENT not in package:
        raise _no_draft(path)
    styles = Styles({})
    lists = Lists()
    for met in stream(path, package.part("styles.xml"), ("style", "default-style", "list-style")):
        _declare(styles, lists, met.name, met.element)
    text = _Text(path, styles, lists)
    for met in stream(path, package.chunks(_CONTENT), _WHOLE, _FRAMES):
        text.take(met.event, met.name, met.element)
    if not text.begun:
        raise _no_draft(path)
    if any(name.startswith("Basic/") and not name.endswith("script-lc.xml") for name in package.names):
        text.writer.counted["macro"] = text.writer.first["macro"] = 1
    return text.writer.document()


def _refuse_encrypted(package: Package) -> None:
    """Parts that are encrypted say so in the manifest (OpenDocument 1.2 part 3, §3.4)."""
    for met in stream(package.path, package.part("META-INF/manifest.xml"), ("encryption-data", "file-entry")):
        if met.name == "encryption-data" or any(name_of(each) == "encryption-data" for each in met.element):
            raise encrypted(package.path)


def _no_draft(path: str) -> Refusal:
    return Refusal("this is no .odt: no text stands in it", path=path, remedy="save the draft again as .odt or .docx")


def _declare(styles: Styles, lists: Lists, name: str, element: Element) -> None:
    if name == "list-style":
        lists.declare(element)
    elif name == "default-style":
        styles.usual = usual_look(element).over(styles.usual)
    elif found := read_style(element):
        styles.declared[found[0]] = found[1]


class _Text:
    """Takes the elements of the text in and gives paragraphs."""

    def __init__(self, path: str, styles: Styles, lists: Lists) -> None:
        self.styles, self.lists = styles, lists
        self.writer = Writer(path)
        self.begun = False
        self.tables, self.row, self.cell = 0, 0, 0
        self.regions = Regions()

    def take(self, event: str, name: str, element: Element) -> None:
        """One element as it comes by."""
        if event == "whole":
            self._whole(name, element)
        elif name == "text":
            self.begun = True
        elif name in ("list", "list-item"):
            self._list(name, element, event == "start")
        elif name == "table":
            self.tables += 1 if event == "start" else -1
        elif event == "start" and self.tables == 1:
            row = name == "table-row"
            self.row, self.cell = (self.row + 1, 0) if row else (self.row, self.cell + 1)

    def _list(self, name: str, element: Element, starts: bool) -> None:
        if name == "list-item":
            if starts:
                self.lists.item_starts(element)
        elif starts:
            self.lists.list_starts(element)
        else:
            self.lists.list_ends()

    def _whole(self, name: str, element: Element) -> None:
        if name in ("p", "h"):
            self._paragraph(element)
        elif name == "changed-region":
            self._changed(element)
        elif name in _INDEXES:
            self.writer.count("contents")
        else:
            _declare(self.styles, self.lists, name, element)

    def _changed(self, element: Element) -> None:
        kind = name_of(element[0]) if len(element) else ""
        self.regions.declare(element)
        if kind in ("insertion", "deletion"):
            self.writer.count(kind)

    def _paragraph(self, element: Element) -> None:
        reading = _Reading(self.styles)
        place = (self.row, self.cell) if self.tables else (0, 0)
        found = reading.paragraph(element, bool(self.lists.open), *place)
        if label := self.lists.label():
            first = found.runs[0] if found.runs else Run("")
            before = Run(f"{label} ", first.bold, first.italic, first.size)
            found = replace(found, runs=joined([before, *found.runs]))
            reading.margins = [m._replace(at=m.at + len(before.text)) for m in reading.margins]
        for kind, times in reading.counted.items():
            self.writer.count(kind, times)
        self.writer.said += reading.said
        self.writer.add(found, self.regions.told(reading.margins, found.text))
        for each in reading.beside:
            self.writer.add(each)


class _Reading:
    """One paragraph with what hangs on it: text boxes and footnotes, which come after it."""

    def __init__(self, styles: Styles) -> None:
        self.styles = styles
        self.runs: list[Run] = []
        self.counted: Counter[str] = Counter()
        self.beside: list[Paragraph] = []
        self.margins: list[Margin] = []
        self.said: list[Comment] = []

    def paragraph(self, element: Element, item: bool = False, row: int = 0, cell: int = 0) -> Paragraph:
        """Reads a `text:p` or `text:h` that stands whole in memory."""
        key = style_key("paragraph", value(element, "style-name") or "")
        look = self.styles.paragraph(key)
        level = value(element, "outline-level") if name_of(element) == "h" else str(look.level or 0)
        self.inside(element, look)
        heading = int(level) if level and level.isdecimal() and len(level) < 3 else 1
        set_off = bool(look.centred) or (look.indent or 0) >= FURTHER_IN
        return Paragraph(0, joined(self.runs), heading, self._name(key), set_off, item, row, cell)

    def _name(self, key: str) -> str:
        """The name of the style that a person chose: an automatic one goes by the style it rests on."""
        found = self.styles.declared.get(key)
        if found and found.above and found.above in self.styles.declared and key.startswith("paragraph:P"):
            return self.styles.declared[found.above].name
        return found.name if found else key.partition(":")[2].lower()

    def inside(self, element: Element, look: Look) -> None:
        """Text and elements in order; blanks count as one, as the format has it (§6.1.2)."""
        self._text(_folded(element.text), look)
        for each in element:
            self._one(each, name_of(each), look)
            self._text(_folded(each.tail), look)

    def _one(self, each: Element, name: str, look: Look) -> None:
        if name == "span":
            own = self.styles.look(style_key("text", value(each, "style-name") or ""))
            self.inside(each, own.over(look))
        elif name == "s":
            typed = value(each, "c") or "1"
            self._text(" " * min(int(typed) if typed.isdecimal() and len(typed) < 6 else 1, _MOST_BLANKS), look)
        elif name == "tab":
            self._text("\t", look)
        elif name == "line-break":
            self._text("\n", look)
        elif name == "annotation" or name in _ENDS:
            self._hang(each, name)
        elif name == "note":
            self.counted["footnote"] += 1
            self._beside(each)
        elif name in ("text-box", "custom-shape"):
            self._beside(each)
        elif name == "hidden-text":
            self.counted["hidden"] += 1
        elif name not in _PASSED and not _of_a_drawing(each, name):
            self.inside(each, look)

    def _hang(self, each: Element, name: str) -> None:
        """A comment, or the end of one or of a tracked change."""
        own = value(each, "change-id") or value(each, "name") or ""
        if name == "annotation":
            self.counted["comment"] += 1
            self.said.append(read_comment(each))
            own = self.said[-1].name
        self.margins.append(Margin(_ENDS.get(name, "start"), own, sum(len(run.text) for run in self.runs)))

    def _beside(self, element: Element) -> None:
        """The paragraphs that stand in an element, nearest first."""
        for each in element:
            if name_of(each) in ("p", "h"):
                below = _Reading(self.styles)
                self.beside.append(below.paragraph(each))
                self.beside.extend(below.beside)
                self.counted.update(below.counted)
            elif name_of(each) not in _PASSED:
                self._beside(each)

    def _text(self, text: str, look: Look) -> None:
        if not text:
            return
        if look.hidden:
            self.counted["hidden"] += 1
            return
        self.runs.append(
            Run(text.upper() if look.capitals else text, bool(look.bold), bool(look.italic), look.size or 0.0)
        )


def _of_a_drawing(each: Element, name: str) -> bool:
    """The name of a drawing, which is no words; the title of the document as a field is."""
    return name == "title" and "svg" in str(each.tag)


def _folded(text: str | None) -> str:
    """Text of the file with its runs of blanks as one."""
    return _BLANKS.sub(" ", text) if text else ""
