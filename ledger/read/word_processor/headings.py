"""Headings of a document: by the style of a paragraph, else by its look."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from ledger.read.marks import leading_marks, trade_heading
from ledger.read.mouths import Mouths
from ledger.read.numerals import number
from ledger.read.word_processor.document import Paragraph
from ledger.read.word_processor.speeches import OFTEN

#: Words that begin a chapter's or a scene's heading (English; common practice, no source).
_CHAPTER = re.compile(r"(?:chapter|part|book|prologue|epilogue)\b[\s.:]*([\w-]*)", re.IGNORECASE)
_SCENE = re.compile(r"(?:scene\s+\w+|(?:int|ext|int\.?/ext)\.?\s+\S)", re.IGNORECASE)
#: A scene's heading as screenplays type it, in capitals: `EXT. SLIPWAY - DAWN` (common practice, no source).
_PLACE_AND_TIME = re.compile(r"(?:INT|EXT|INT\.?/EXT|I/E)[. ]\s*\w")
_ROMAN = re.compile(r"[ivxlc]+\Z", re.IGNORECASE)
#: A heading by look has no more signs and words than this (own choice).
_LONGEST, _MOST_WORDS = 80, 12
#: Letters of a heading are larger by this many points than those of the text (own choice).
_LARGER = 1.5
#: Where more of the paragraphs than this would be headings because they are bold, bold says nothing (own choice).
_MOST_BOLD = 0.34
_TITLES = ("title", "subtitle")
_ENDS = (".", ",", ";", ":", "…", "-", "–", "—")


def heading_levels(paragraphs: Sequence[Paragraph], mouths: Mouths) -> Mapping[int, int]:
    """Paragraph number -> heading level, 1 for a chapter, 2 for a scene, more as the style says.

    By look a heading is a short line that is bold or larger than the text, ends like no sentence, and is neither a
    speech, a name above one, nor a mark of a page or panel. `Chapter 2` and `INT. SHED - NIGHT` alone on their line
    are ones however they look. A title is the chapter of a document that has no other.
    """
    levels = {each.number: each.level for each in paragraphs if each.level and each.text.strip()}
    body = _body_size(paragraphs)
    looks: dict[int, float] = {}
    bold: set[int] = set()
    capitals: list[int] = []
    for at, each in enumerate(paragraphs):
        if each.number in levels or each.style in _TITLES or not _short_line(each):
            continue
        text = each.text.strip()
        if says_chapter(text):
            levels[each.number] = 1
        elif _PLACE_AND_TIME.match(text) and text == text.upper():
            looks[each.number] = each.size
        elif (each.bold or _larger(each, body)) and not _something_else(text, each, body, mouths):
            if not _larger(each, body) and not _SCENE.match(text) and mouths.alone(text):
                capitals.append(at)
                continue
            looks[each.number] = each.size
            bold |= set() if _larger(each, body) else {each.number}
    for each in _no_names(paragraphs, capitals):
        looks[each.number] = each.size
        bold.add(each.number)
    if len(bold) > _MOST_BOLD * sum(1 for each in paragraphs if each.text.strip()):
        looks = {at: size for at, size in looks.items() if at not in bold}
    levels |= _by_size(looks, 1 in levels.values())
    if 1 not in levels.values():
        levels |= {each.number: 1 for each in paragraphs if each.style == "title" and each.text.strip()}
    return levels


def _by_size(looks: Mapping[int, float], chapters: bool) -> dict[int, int]:
    """Where nothing else says what is a chapter, the larger of two sizes does."""
    sizes = sorted(set(looks.values()), reverse=True)
    largest = sizes[0] if len(sizes) > 1 and not chapters else None
    return {at: 1 if size == largest else 2 for at, size in looks.items()}


def _body_size(paragraphs: Sequence[Paragraph]) -> float:
    """The size in which most of the words are set."""
    sizes: Counter[float] = Counter()
    for each in paragraphs:
        for run in each.runs:
            sizes[run.size] += len(run.text)
    return sizes.most_common(1)[0][0] if sizes else 0.0


def _short_line(each: Paragraph) -> bool:
    text = each.text.strip()
    return bool(text) and not (each.item or each.row) and "\n" not in text and len(text) <= _LONGEST


def says_chapter(text: str) -> bool:
    """`Chapter 2: The tide gauge`, `CHAPTER TWO`, `Prologue`; not `Chapter and verse`."""
    found = _CHAPTER.match(text)
    if not found or text.endswith((".", ",", ";")):
        return False
    word, alone = found[1], found.end() == len(text)
    if text.lower().startswith(("prologue", "epilogue")):
        return alone or (text[8:9] in (":", " ", ".") and len(text.split()) <= 6)
    return number(word) is not None or bool(word and _ROMAN.match(word) and word.upper() == word)


def _larger(each: Paragraph, body: float) -> bool:
    return bool(each.size and body) and each.size >= body + _LARGER


def _something_else(text: str, each: Paragraph, body: float, mouths: Mouths) -> bool:
    """Whether a line that stands out is no heading all the same."""
    if len(text.split()) > _MOST_WORDS or text.endswith(_ENDS) or not any(sign.isalpha() for sign in text):
        return True
    if text[-1] == "!" and text == text.upper():  # a sound
        return True
    if text[0] in "([{" or leading_marks(text)[0] or trade_heading(text) or mouths.split(text):
        return True
    if _SCENE.match(text) or _larger(each, body):
        return False
    mouth = mouths.alone(text)
    return mouth is not None and not mouth.loose


def _no_names(paragraphs: Sequence[Paragraph], capitals: Sequence[int]) -> list[Paragraph]:
    """Of lines in bold capitals, by their places, those that are headings and neither names above speeches nor sounds.

    Several words at the margin are one. What is set off, or one word, is one beside two others that look the same and
    are several words, if it is not a name: names come again, or stand above words that are set off too.
    """
    often = Counter(paragraphs[at].text.strip() for at in capitals)
    sure = [paragraphs[at] for at in capitals if _several(paragraphs[at]) and not paragraphs[at].set_off]
    perhaps = [
        each for at in capitals
        if (each := paragraphs[at]).set_off or not _several(each)
        if often[each.text.strip()] < OFTEN and not _above_set_off(paragraphs, at)
    ]  # fmt: skip
    alike = Counter((each.size, each.set_off) for each in [*sure, *perhaps] if _several(each))
    return [*sure, *(each for each in perhaps if alike[each.size, each.set_off] > 1)]


def _above_set_off(paragraphs: Sequence[Paragraph], at: int) -> bool:
    """Whether a line and what stands below it are both set off, and only the line is bold: a name and its words."""
    below = paragraphs[at + 1] if at + 1 < len(paragraphs) else None
    return paragraphs[at].set_off and below is not None and below.set_off and not below.bold


def _several(each: Paragraph) -> bool:
    return len(each.text.split()) > 1
