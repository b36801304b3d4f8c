"""Paragraphs to a script as the convention types it: the one way in, for reading at once and for writing a file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from ledger.model.book import Person
from ledger.read.marks import trade_heading
from ledger.read.mouths import Mouths
from ledger.read.plain_words import plain_words
from ledger.read.typed_text import Row
from ledger.read.word_processor.document import Document, Paragraph, Run
from ledger.read.word_processor.headings import heading_levels
from ledger.read.word_processor.packet_head import said_to_the_reader
from ledger.read.word_processor.speeches import Speeches, aside_cue

_ODD_BLANK = re.compile(r"[^\S\n\r\t ]")
_EDGES = re.compile(r"(\s*)(.*?)(\s*)\Z", re.DOTALL)


def typed_rows(document: Document, cast: Sequence[Person], *, outline: bool = False) -> list[Row]:
    """The rows of a script, each with the number of its paragraph; an empty row stands between paragraphs.

    With `outline` the items of lists are typed as items. What a packet says to its reader is no row.
    """
    rows: list[Row] = []
    mouths = Mouths(cast)
    apart = said_to_the_reader(document.paragraphs)
    paragraphs = [each for each in document.paragraphs if each.number not in apart]
    levels = heading_levels(paragraphs, mouths)
    for group in Speeches(paragraphs, levels, mouths).groups():
        typed = list(_speech(group)) if len(group) > 1 else _alone(group[0], levels.get(group[0].number, 0), outline)
        if typed and rows:
            rows.append((rows[-1][0], ""))
        rows.extend(typed)
    return rows


def typed_script(document: Document, cast: Sequence[Person], *, outline: bool = False) -> bytes:
    """The document as a file of the book."""
    text = "\n".join(text for _, text in typed_rows(document, cast, outline=outline))
    return (text + "\n").encode("utf-8", "replace") if text else b""


def _alone(each: Paragraph, level: int, outline: bool) -> list[Row]:
    """One paragraph by itself."""
    if level:
        return [(each.number, _heading(each, level))]
    lines = _lines(each)
    if outline and each.item and lines and not lines[0].startswith(("- ", "* ", "+ ")):
        lines[0] = f"- {lines[0]}"
    return [(each.number, line) for line in lines]


def _heading(each: Paragraph, level: int) -> str:
    """A heading; `PAGE TWELVE` and `Panel 3` are none but marks, with words that may follow them."""
    title = " ".join(_plain(each.text).split())
    if trade_heading(title):
        level = max(level, 3)
    if title.endswith("#"):
        title = f"{title[:-1]}\\#"
    return f"{'#' * min(level, 6)} {title}"


def _speech(group: Sequence[Paragraph]) -> Iterator[Row]:
    """A name and its words, an aside between them as a cue."""
    for at, each in enumerate(group):
        cue = aside_cue(each.text) if at == 1 and len(group) > 2 else None
        for line in [cue] if cue else _lines(each):
            yield each.number, line


def _lines(each: Paragraph) -> list[str]:
    """The lines of a paragraph that hold anything; emphasis is marked unless the whole paragraph is set so."""
    plain = [line.strip() for line in _plain(each.text).split("\n")]
    if not any(run.bold or run.italic for run in each.runs):
        return [line for line in plain if line]
    marked = [line.strip() for line in _plain(_emphasised(each)).split("\n")]
    if [plain_words(line) for line in marked] != [plain_words(line) for line in plain]:
        marked = plain
    return [line for line in marked if line]


def _plain(text: str) -> str:
    """Words as they may stand in a typed script: no odd blanks, nothing that would begin a comment.

    Soft hyphens say where a word may break in the document, and are no part of it.
    """
    return _ODD_BLANK.sub(" ", text).replace("\r", "\n").replace("\u00ad", "").replace("<!--", "\\<!--")


def _emphasised(each: Paragraph) -> str:
    said = [run for run in each.runs if run.text.strip()]
    bold, italic = all(run.bold for run in said), all(run.italic for run in said)
    return "".join(_marked(run, run.bold and not bold, run.italic and not italic) for run in each.runs)


def _marked(run: Run, bold: bool, italic: bool) -> str:
    """A run with its signs of emphasis close to the words; none around a line break."""
    sign = "*" * (2 * bold + italic)
    found = _EDGES.match(run.text)
    if not sign or not found or not found[2] or "\n" in found[2]:
        return run.text
    return f"{found[1]}{sign}{found[2]}{sign}{found[3]}"
