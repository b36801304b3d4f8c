"""`.docx`, bytes to paragraphs (ECMA-376 part 1, WordprocessingML; transitional and strict)."""

from __future__ import annotations

import posixpath

from ledger.model.errors import Refusal
from ledger.read.word_processor.archive import Package
from ledger.read.word_processor.document import Document, Paragraph, Run, Writer
from ledger.read.word_processor.docx_comments import read_comments
from ledger.read.word_processor.docx_numbers import Numbers, read_numbers
from ledger.read.word_processor.docx_runs import Beside, Notes, Words, read_paragraph
from ledger.read.word_processor.docx_styles import read_styles
from ledger.read.word_processor.looks import Styles
from ledger.read.word_processor.xml_parts import Element, child, stream, value

_MAIN = "word/document.xml"


def read_docx(path: str, data: bytes) -> Document:
    """Reads the body of a document in order. Raises Refusal for what is none, is encrypted, damaged or a trap.

    Tracked changes are read as accepted and counted, comments left out and counted; macros are not run.
    """
    package = Package(path, data)
    main = _main_part(package)
    folder, name = posixpath.split(main)
    targets = _targets(package, f"{folder}/_rels/{name}.rels")
    styles = read_styles(path, package.part(_part(main, targets.get("styles", "styles.xml"))))
    numbers = read_numbers(path, package.part(_part(main, targets.get("numbering", "numbering.xml"))))
    body = _Body(path, Beside(styles, _notes(package, main, targets, styles), numbers))
    for met in stream(path, package.chunks(main), ("p", "trPr", "altChunk"), ("body", "tbl", "tr", "tc")):
        body.take(met.event, met.name, met.element)
    if not body.begun:
        raise _no_document(path, "its main part holds no text")
    body.writer.said += read_comments(package, _part(main, targets.get("comments", "comments.xml")),
                                      _part(main, targets.get("commentsExtended", "commentsExtended.xml")))  # fmt: skip
    if any(name.lower().endswith("vbaproject.bin") for name in package.names):
        body.writer.counted["macro"] = body.writer.first["macro"] = 1
    return body.writer.document()


def _main_part(package: Package) -> str:
    named = _targets(package, "_rels/.rels").get("officeDocument", _MAIN)
    main = _part("", named)
    if main in package:
        return main
    raise _no_document(package.path, "an OpenDocument under another name" if "content.xml" in package else "no draft")


def _no_document(path: str, what: str) -> Refusal:
    return Refusal(f"this is no .docx: {what}", path=path, remedy="save the draft again as .docx or .odt")


def _targets(package: Package, part: str) -> dict[str, str]:
    """Kind of relationship -> the part it leads to (ECMA-376 part 2, relationships)."""
    found: dict[str, str] = {}
    for met in stream(package.path, package.part(part), ("Relationship",)):
        kind, target = value(met.element, "Type"), value(met.element, "Target")
        if kind and target and value(met.element, "TargetMode") != "External":
            found.setdefault(kind.rpartition("/")[2], target)
    return found


def _part(main: str, target: str) -> str:
    """A part as it is named from the main one."""
    return posixpath.normpath(posixpath.join("/", posixpath.dirname(main), target)).lstrip("/")


def _notes(package: Package, main: str, targets: dict[str, str], styles: Styles) -> Notes:
    """Footnotes and endnotes by kind and id: their words, which stand in parts of their own."""
    found: dict[tuple[str, str], tuple[Run, ...]] = {}
    plain = Beside(styles, {}, Numbers({}))
    for kind in ("footnote", "endnote"):
        part = _part(main, targets.get(f"{kind}s", f"{kind}s.xml"))
        for met in stream(package.path, package.part(part), (kind,)):
            if value(met.element, "type") in (None, "normal"):
                words = [read_paragraph(p, plain).paragraph.runs for p in met.element.iter("{*}p")]
                found[kind, value(met.element, "id") or ""] = tuple(
                    run for at, runs in enumerate(words) for run in ((Run(" "), *runs) if at else runs)
                )
    return found


class _Body:
    """Takes the elements of the body in and gives paragraphs."""

    def __init__(self, path: str, beside: Beside) -> None:
        self.beside = beside
        self.writer = Writer(path)
        self.begun = False
        self.depth, self.row, self.cell = 0, 0, 0
        self.row_gone = False
        self.held: Words | None = None

    def take(self, event: str, name: str, element: Element) -> None:
        """One element of the body as it comes by."""
        starts = event == "start"
        if name == "body":
            self.begun = True
            if not starts:
                self._end_of_body()
        elif name == "tbl":
            self.depth += 1 if starts else -1
        elif name == "tr" and starts and self.depth == 1:
            self.row, self.cell = self.row + 1, 0
        elif name == "tc" and starts and self.depth == 1:
            self.cell += 1
        elif name == "trPr":
            self.row_gone = child(element, "del") is not None
        elif name == "altChunk":
            self.writer.count("part")
        elif name == "p":
            self._paragraph(element)
        if name == "tr":
            self.row_gone = False

    def _paragraph(self, element: Element) -> None:
        place = (self.row, self.cell) if self.depth else (0, 0)
        words = read_paragraph(element, self.beside, *place)
        if self.row_gone:
            self.writer.count("deletion", words.counted["deletion"] or 1)
            return
        if self.held is not None:
            words = words.joined_to(self.held)
        self.held = words if words.gone else None
        if not words.gone:
            self._write(words)

    def _end_of_body(self) -> None:
        """A last paragraph whose mark was taken out has nothing to join."""
        if self.held is not None:
            self._write(self.held)

    def _write(self, words: Words) -> None:
        for kind, times in words.counted.items():
            self.writer.count(kind, times)
        self.writer.add(words.paragraph, words.margins)
        for box in words.boxes:
            self._write(box)
        for note in words.notes:
            self.writer.count("footnote")
            self.writer.add(Paragraph(0, note))
