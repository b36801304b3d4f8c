"""Comments and tracked changes of an `.odt` (OpenDocument 1.2, §14.1 annotations, §5.5 change tracking)."""

from __future__ import annotations

from itertools import count
from typing import NamedTuple

from ledger.read.word_processor.document import Comment, Margin
from ledger.read.word_processor.xml_parts import Element, name_of, value

_BLOCKS = ("p", "h", "list", "list-item")
#: Comments that stand without a name of their own (§14.1 does not ask for one) get one that no file has.
_UNNAMED = count(1)


def read_comment(element: Element) -> Comment:
    """An `office:annotation` that stands whole in memory."""
    name = value(element, "name") or f"\0{next(_UNNAMED)}"
    return Comment(
        name, _words(element), _said(element, "creator"), _said(element, "date"), value(element, "parent-name") or "",
        value(element, "resolved") == "true",
    )  # fmt: skip


def _said(element: Element, name: str) -> str:
    return next(((each.text or "").strip() for each in element if name_of(each) == name), "")


def _words(element: Element) -> str:
    """The words of the paragraphs in an element, one on a row."""
    return "\n".join(
        _words(each) if name_of(each) in ("list", "list-item") else "".join(map(str, each.itertext()))
        for each in element
        if name_of(each) in _BLOCKS
    )


class Region(NamedTuple):
    """A tracked change: what it is, who made it when, and the words that it took out."""

    kind: str
    author: str
    date: str
    words: str


class Regions:
    """The tracked changes of a text, which are declared before it; `open` are insertions that have begun."""

    def __init__(self) -> None:
        self.declared: dict[str, Region] = {}
        self.open: dict[str, int] = {}

    def declare(self, element: Element) -> None:
        """Takes a `text:changed-region` in."""
        if not len(element):
            return
        info = next((each for each in element[0] if name_of(each) == "change-info"), None)
        author, date = ("", "") if info is None else (_said(info, "creator"), _said(info, "date"))
        self.declared[value(element, "id") or ""] = Region(name_of(element[0]), author, date, _words(element[0]))

    def told(self, margins: list[Margin], text: str) -> list[Margin]:
        """What hangs on a paragraph of this text, its tracked changes with their words and authors."""
        self.open = dict.fromkeys(self.open, 0)
        told: list[Margin] = []
        for margin in margins:
            region = self.declared.get(margin.name)
            if margin.kind == "gone" and region and region.words:
                told.append(Margin("deletion", "", margin.at, region.words, region.author, region.date))
            elif margin.kind == "begun":
                self.open[margin.name] = margin.at
            elif margin.kind == "done":
                told += self._inserted(margin.name, self.open.pop(margin.name, 0), text[: margin.at])
            elif margin.kind not in ("gone", "begun", "done"):
                told.append(margin)
        for name, start in self.open.items():
            told += self._inserted(name, start, text)
        return told

    def _inserted(self, name: str, start: int, text: str) -> list[Margin]:
        region = self.declared.get(name)
        if region is None or region.kind != "insertion" or not text[start:].strip():
            return []
        return [Margin("insertion", "", start, text[start:], region.author, region.date)]
