"""Page labels and ranges: "12", "24-25" (a spread), "f1" front matter, "b1" back matter, "cover"."""

from __future__ import annotations

import re
from collections.abc import Iterable

_LABEL = r"(?:p?0*(\d{1,6})(?:-p?0*(\d{1,6}))?|([fb])0*(\d{1,6})|(cover))\Z"
#: A range of more pages is a slip of the keyboard, or there to do harm: nobody could hold it in memory.
_LONGEST = 100_000
#: So many digits a page's number has at most, as in the pattern above.
_DIGITS = 6


def page_label(text: str) -> str | None:
    """The label of a page as typed or as it stands in a file name; padding goes away.

    "p012" and "12" give "12", "p024-025" gives "24-25", "f001" gives "f1"; None where it is no page.
    """
    found = re.match(_LABEL, text.strip())
    if not found:
        return None
    first, last, part, number, cover = found.groups()
    if cover:
        return "cover"
    if part:
        return f"{part}{int(number)}"
    if last is None:
        return str(int(first))
    return f"{int(first)}-{int(last)}" if 0 < int(last) - int(first) < _LONGEST else None


def page_numbers(label: str) -> tuple[int, ...]:
    """Story pages of a label: (12,) or (24, 25); none for front and back matter, the cover, and what is no label."""
    if label.isdecimal() and len(label) <= _DIGITS:
        return (int(label),)
    first, _, last = label.partition("-")
    if not (first.isdecimal() and last.isdecimal() and max(len(first), len(last)) <= _DIGITS):
        return ()
    return tuple(range(int(first), min(int(last), int(first) + _LONGEST) + 1))


def page_name(label: str) -> str:
    """A page as a sentence calls it: "page 12", "the spread 24-25", "page f1", "the cover"."""
    if label == "cover":
        return "the cover"
    return f"the spread {label}" if len(page_numbers(label)) > 1 else f"page {label}"


def pages_words(pages: str | None) -> str:
    """Pages as the ledger writes them, as a sentence calls them: "page 3", "pages 1-2, 5", "the cover", "all pages"."""
    if pages is None:
        return "all pages"
    single = page_label(pages) is not None and "-" not in pages
    return page_name(pages) if single else f"pages {pages.replace(',', ', ')}"


def label_order(label: str) -> tuple[int, int, str]:
    """Sort key: cover, front matter, story pages, back matter."""
    numbers = page_numbers(label)
    if numbers:
        return (2, numbers[0], label)
    part = {"c": 0, "f": 1, "b": 3}.get(label[:1], 4)
    number = label[1 : _DIGITS + 1]
    return (part, int(number) if number.isdecimal() else 0, label)


class PageSet:
    """Pages as a person names them ("1-24,30"); `everything` when no pages were named. Never changed."""

    __slots__ = ("everything", "labels")

    def __init__(self, labels: frozenset[str] = frozenset(), everything: bool = False) -> None:
        self.labels = labels
        self.everything = everything

    def __eq__(self, other: object) -> bool:
        return isinstance(other, PageSet) and (self.labels, self.everything) == (other.labels, other.everything)

    def __hash__(self) -> int:
        return hash((self.labels, self.everything))

    def __repr__(self) -> str:
        return f"PageSet({self.text() or 'all'!r})"

    def __contains__(self, label: object) -> bool:
        """A page is in the set by its label, or, for a spread, by either half."""
        if self.everything:
            return True
        if not isinstance(label, str):
            return False
        return label in self.labels or any(str(n) in self.labels for n in page_numbers(label))

    def __bool__(self) -> bool:
        return self.everything or bool(self.labels)

    def text(self) -> str | None:
        """The set as the ledger writes it: "1-24,30"; None for all pages."""
        return None if self.everything else pages_text(self.labels)


ALL_PAGES = PageSet(everything=True)


def parse_pages(text: str | None) -> PageSet:
    """Reads "1-24,30", "f1-f2", "cover"; None and "" mean all pages.

    Raises ValueError naming the part that is no page or range.
    """
    if text is None or not text.strip():
        return ALL_PAGES
    if text in _MET:
        return _MET[text]
    labels: set[str] = set()
    for part in text.split(","):
        labels.update(_labels_of(part.strip()))
    found = PageSet(frozenset(labels))
    if len(_MET) < _MOST_MET and len(labels) <= _FEW:
        _MET[text] = found
    return found


#: Page sets read before: a judgement asks an entry for its pages again and again. Only so many, and no long ones.
_MET: dict[str, PageSet] = {}
_MOST_MET, _FEW = 512, 1000


def _labels_of(part: str) -> Iterable[str]:
    matter = re.match(r"([fb])0*(\d{1,6})-\1?0*(\d{1,6})\Z", part)
    if matter and 0 <= int(matter[3]) - int(matter[2]) < _LONGEST:
        return [f"{matter[1]}{n}" for n in range(int(matter[2]), int(matter[3]) + 1)]
    label = page_label(part)
    if label is None:
        raise ValueError(f"{part!r} is no page or range of pages")
    return [str(n) for n in page_numbers(label)] or [label]


def pages_counted(labels: Iterable[str]) -> int:
    """How many pages these labels stand for; a spread stands for two."""
    return sum(max(1, len(page_numbers(label))) for label in labels)


def pages_text(labels: Iterable[str]) -> str:
    """Labels as ranges: {"1", "2", "3", "30"} gives "1-3,30"; spreads count as their halves."""
    numbers = sorted({n for label in labels for n in page_numbers(label)})
    others = sorted((label for label in labels if not page_numbers(label)), key=label_order)
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][1] == number - 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ",".join([*others, *(str(a) if a == b else f"{a}-{b}" for a, b in runs)])
