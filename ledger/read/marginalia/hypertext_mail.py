"""The words of a mail written as HTML: blocks become lines, quotes get their `>`, nothing is run or fetched."""

from __future__ import annotations

from html.parser import HTMLParser

_BLOCKS = frozenset(
    ("p", "div", "br", "li", "tr", "ul", "ol", "table", "blockquote", "h1", "h2", "h3", "h4", "h5", "h6", "pre", "hr")
)
_APART = frozenset(("p", "ul", "ol", "table", "blockquote", "h1", "h2", "h3", "h4", "h5", "h6"))
_SILENT = frozenset(("script", "style", "head", "title", "template"))


def hypertext_rows(html: str) -> list[str]:
    """The rows of such a mail. Never raises."""
    reading = _Reading()
    reading.feed(html)
    reading.close()
    reading.end_row()
    return reading.rows


class _Reading(HTMLParser):
    """Collects rows; `quotes` counts open quotes, `silent` elements whose words are not shown."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.rows: list[str] = []
        self.row: list[str] = []
        self.quotes = self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _SILENT:
            self.silent += 1
        if tag in _BLOCKS:
            self.end_row(apart=tag in _APART)
        if tag == "blockquote":
            self.quotes += 1
        if tag == "li":
            self.row.append("- ")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _BLOCKS:
            self.end_row()

    def handle_endtag(self, tag: str) -> None:
        if tag in _SILENT:
            self.silent = max(0, self.silent - 1)
        if tag in _BLOCKS and tag != "br":
            self.end_row(apart=tag in _APART)
        if tag == "blockquote":
            self.quotes = max(0, self.quotes - 1)

    def handle_data(self, data: str) -> None:
        if not self.silent:
            self.row.append(data)

    def end_row(self, *, apart: bool = False) -> None:
        """Ends the row that is open; with `apart` an empty one follows where none does."""
        words = " ".join("".join(self.row).split())
        before = "> " if self.quotes else ""
        if words:
            self.rows.append(before + words)
        elif not self.row and not apart and self.rows and self.rows[-1].strip("> "):
            return
        if apart and self.rows and self.rows[-1].strip("> "):
            self.rows.append(before.strip())
        self.row = []
