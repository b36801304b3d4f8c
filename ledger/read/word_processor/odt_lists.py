"""Words that an `.odt` sets before the items of its lists, such as `Panel 3` (OpenDocument 1.2 part 1, §5.3)."""

from __future__ import annotations

from typing import NamedTuple

from ledger.read.word_processor.xml_parts import Element, name_of, value


class _Level(NamedTuple):
    before: str
    after: str
    start: int


class Lists:
    """Counts the items of the lists that are open."""

    def __init__(self) -> None:
        self.styles: dict[str, dict[int, _Level]] = {}
        self.open: list[str] = []
        self.counts: dict[tuple[str, int], int] = {}
        self.fresh = False

    def declare(self, element: Element) -> None:
        """A `text:list-style`."""
        levels = {}
        for each in element:
            depth = value(each, "level")
            if name_of(each) == "list-level-style-number" and depth and depth.isdecimal():
                before, after = value(each, "num-prefix") or "", value(each, "num-suffix") or ""
                levels[int(depth[:2])] = _Level(before, after, _number(value(each, "start-value")) or 1)
        self.styles[value(element, "name") or ""] = levels

    def list_starts(self, element: Element) -> None:
        """A list; one inside another has the style of that unless it names its own."""
        style = value(element, "style-name") or (self.open[-1] if self.open else "")
        self.open.append(style)
        goes_on = value(element, "continue-numbering") == "true" or value(element, "continue-list") is not None
        if not goes_on:
            self.counts.pop((style, len(self.open)), None)

    def list_ends(self) -> None:
        """The innermost list is over."""
        if self.open:
            self.open.pop()
        self.fresh = False

    def item_starts(self, element: Element) -> None:
        """An item of the innermost list, whose first paragraph is yet to come."""
        if not self.open:
            return
        at = (self.open[-1], len(self.open))
        level = self.styles.get(at[0], {}).get(at[1])
        counted = self.counts.get(at, (level.start if level else 1) - 1) + 1
        self.counts[at] = _number(value(element, "start-value")) or counted
        self.fresh = True

    def label(self) -> str:
        """The words set before the paragraph that comes now; "" for a number or bullet alone. Numbers are in digits."""
        if not self.fresh or not self.open:
            return ""
        self.fresh = False
        at = (self.open[-1], len(self.open))
        level = self.styles.get(at[0], {}).get(at[1])
        if level is None or sum(sign.isalpha() for sign in level.before + level.after) < 2:
            return ""
        return f"{level.before}{self.counts.get(at, 1)}{level.after}".strip()


def _number(typed: str | None) -> int | None:
    return int(typed[:6]) if typed and typed.isdecimal() else None
