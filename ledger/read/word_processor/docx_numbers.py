"""Words that a `.docx` sets before its paragraphs by numbering, such as `Panel 3` (ECMA-376 part 1, §17.9)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ledger.read.word_processor.xml_parts import Element, child, name_of, stream, value

_PLACE = re.compile(r"%([1-9])")


@dataclass(frozen=True, slots=True)
class Level:
    """One level of a numbered list: what is set before the words (`Panel %1.`), and where it begins to count."""

    text: str
    start: int

    @property
    def says_words(self) -> bool:
        """Whether it sets more than a number or a bullet."""
        return sum(sign.isalpha() for sign in _PLACE.sub("", self.text)) > 1


class Numbers:
    """Counts the numbered paragraphs of a document as they come."""

    def __init__(self, lists: Mapping[str, tuple[str, Mapping[int, Level]]]) -> None:
        """`lists` maps a list's id to the id of what it counts with, and its levels."""
        self.lists = lists
        self.counts: dict[str, dict[int, int]] = {}

    def label(self, list_id: str, depth: int) -> str:
        """The words set before the next paragraph of a list; "" for a number or bullet alone. Numbers are in digits."""
        if list_id not in self.lists:
            return ""
        counted, levels = self.lists[list_id]
        counts = self.counts.setdefault(counted, {})
        if depth not in levels:
            return ""
        counts[depth] = counts.get(depth, levels[depth].start - 1) + 1
        for deeper in [each for each in counts if each > depth]:
            del counts[deeper]
        if not levels[depth].says_words:
            return ""

        def number(found: re.Match[str]) -> str:
            at = int(found[1]) - 1
            return str(counts.get(at, levels[at].start if at in levels else 1))

        return _PLACE.sub(number, levels[depth].text).strip()


def read_numbers(path: str, chunks: Iterator[bytes]) -> Numbers:
    """The numbering part; empty where there is none."""
    kinds: dict[str, dict[int, Level]] = {}
    lists: dict[str, tuple[str, Mapping[int, Level]]] = {}
    for met in stream(path, chunks, ("abstractNum", "num")):
        if met.name == "abstractNum":
            kinds[value(met.element, "abstractNumId") or ""] = dict(_levels(met.element))
            continue
        counted = _val(met.element, "abstractNumId") or ""
        lists[value(met.element, "numId") or ""] = (counted, kinds.get(counted, {}))
    return Numbers(lists)


def _levels(element: Element) -> Iterator[tuple[int, Level]]:
    for each in element:
        depth = value(each, "ilvl")
        if name_of(each) == "lvl" and depth and depth.isdecimal() and len(depth) < 3:
            start = _val(each, "start") or "1"
            yield int(depth), Level(_val(each, "lvlText") or "", int(start[:6]) if start.isdecimal() else 1)


def _val(element: Element, name: str) -> str | None:
    found = child(element, name)
    return None if found is None else value(found, "val")
