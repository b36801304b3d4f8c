"""A draft in whatever format it was written: what reads it, and what there is to say about it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath

from ledger.model.book import Person
from ledger.model.finding import Finding
from ledger.model.script import Draft
from ledger.read.blocks import blocks_of
from ledger.read.drafting import Drafting
from ledger.read.script import read_typed
from ledger.read.word_processor.document import Document
from ledger.read.word_processor.packet_head import said_to_the_reader
from ledger.read.word_processor.typed import typed_rows, typed_script

#: Formats of word processors that are read, by the ending of the name.
ENDINGS = (".docx", ".odt")


def is_document(path: str) -> bool:
    """Whether a file of this name is read as a word processor's."""
    return PurePath(path).suffix.lower() in ENDINGS


def read_document(path: str, data: bytes) -> Document:
    """Reads a `.docx` or `.odt` by the ending of its name. Raises Refusal."""
    if PurePath(path).suffix.lower() == ".odt":
        from ledger.read.word_processor.odt import read_odt

        return read_odt(path, data)
    from ledger.read.word_processor.docx import read_docx

    return read_docx(path, data)


def read_any_script(files: Sequence[tuple[str, bytes]], cast: Sequence[Person]) -> Draft:
    """Reads files as one draft, those of word processors too: the lines of these count paragraphs from 1.

    Raises Refusal for a document that can't be read.
    """
    drafting = Drafting(cast)
    for path, data in files:
        if not is_document(path):
            read_typed(path, data, drafting)
            continue
        document = read_document(path, data)
        drafting.findings.extend(document_findings(document))
        drafting.file(path, blocks_of(typed_rows(document, cast)))
    return drafting.draft([path for path, _ in files])


def as_typed(path: str, data: bytes, cast: Sequence[Person], *, outline: bool = False) -> tuple[bytes, list[Finding]]:
    """A file as the bytes of a script: a document converted, a typed file as it is. Raises Refusal."""
    if not is_document(path):
        return data, []
    document = read_document(path, data)
    return typed_script(document, cast, outline=outline), document_findings(document)


def document_findings(document: Document) -> list[Finding]:
    """What a document held beside its words, each kind once, at the paragraph that held it first."""
    said: list[tuple[str, str, str | None]] = []
    if document.changes:
        said = [("insertion", _changes(document), "look them through in the word processor if that is not meant")]
    said += [(kind, _counted(document.counted[kind], words), remedy) for kind, words, remedy in _KINDS
             if document.counted[kind]]  # fmt: skip
    first = {
        **document.first,
        "insertion": min((document.first[k] for k in _TRACKED if k in document.first), default=1),
    }
    if apart := said_to_the_reader(document.paragraphs):
        said.append(("packet", "what a packet says to its reader was left out: it is no script", None))
        first["packet"] = min(apart)
    return [Finding("text-dropped", "query", words, document.path, first[kind], remedy=remedy)
            for kind, words, remedy in said]  # fmt: skip


_TRACKED = ("insertion", "deletion", "move")
_KINDS = (
    ("comment", ("a comment was left out", "{} comments were left out"), "to keep them, take them in as notes"),
    ("footnote", ("a footnote was read as a paragraph of its own", "{} footnotes were read as paragraphs of their own"),
     "look where they stand"),
    ("hidden", ("hidden text was left out", "hidden text was left out in {} places"), "show it in the word processor"),
    ("contents", ("a table of contents was left out", "a table of contents was left out ({} parts)"),
     "nothing is to be done: it repeats the headings"),
    ("part", ("another file is embedded here, which was not read", "{} other files are embedded, which were not read"),
     "paste their text into the draft"),
    ("macro", ("it holds macros, which were not run and not taken in", "{} sets of macros were not run"),
     "nothing is to be done"),
)  # fmt: skip


def _counted(count: int, words: tuple[str, str]) -> str:
    return words[0] if count == 1 else words[1].format(count)


def _changes(document: Document) -> str:
    kinds = [
        f"{document.counted[kind]} {word}{'s' * (document.counted[kind] > 1)}"
        for kind, word in (("insertion", "insertion"), ("deletion", "deletion"), ("move", "move"))
        if document.counted[kind]
    ]
    total = f"{document.changes} tracked changes were" if document.changes > 1 else "a tracked change was"
    return f"{total} read as accepted ({', '.join(kinds)})"
