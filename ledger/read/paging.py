"""Pages and panels counted while a draft is read: milestones, not containers."""

from __future__ import annotations

from ledger.model.script import Page, Panel
from ledger.read.marks import Mark


class _OpenPage:
    __slots__ = ("declared", "holds", "label", "line", "omitted", "panels", "path", "reveal", "typed")

    def __init__(self, label: str, path: str, line: int, typed: str | None, declared: int | None) -> None:
        self.label, self.path, self.line, self.typed, self.declared = label, path, line, typed, declared
        self.panels: list[Panel] = []
        self.reveal = self.omitted = self.holds = False

    def closed(self) -> Page:
        return Page(self.label, self.path, self.line, self.typed, tuple(self.panels), self.declared,
                    self.reveal, self.omitted, self.holds or bool(self.panels))  # fmt: skip


class Paging:
    """Where the reading stands: `label` and `panel` are those of the next line, None before any mark.

    Pages are counted, whatever their marks say; the first number typed is where the count begins.
    """

    def __init__(self) -> None:
        self.pages: list[_OpenPage] = []
        self.label: str | None = None
        self.panel: int | None = None
        self.last = 0
        self.fresh = False
        self.left_out: list[tuple[str, int]] = []

    def met(self, mark: Mark, path: str, line: int) -> bool:
        """Takes a mark in; False for one that has nothing to stand on here, such as a reveal before any page."""
        if mark.kind == "page":
            self._page(mark, path, line)
        elif mark.kind == "panel":
            self._panel(mark, path, line)
        elif mark.kind == "reveal":
            return self._reveal()
        else:
            self._omitted(path, line)
        return True

    def goes_on(self, mark: Mark, following: Mark) -> bool:
        """Whether a page mark only repeats the open page beside its next panel: `[page 12, panel 2]`."""
        if mark.kind != "page" or mark.first is None or not self.pages:
            return False
        page = self.pages[-1]
        same = page.typed == _typed(mark) and following.kind == "panel"
        return same and following.first == len(page.panels) + 1 > 1

    def line(self) -> None:
        """A line stands on the page."""
        self.fresh = False
        if self.pages:
            self.pages[-1].holds = True

    def closed(self) -> tuple[Page, ...]:
        """All pages in order."""
        return tuple(page.closed() for page in self.pages)

    def _page(self, mark: Mark, path: str, line: int) -> None:
        if not self.pages and mark.first:
            self.last = mark.first - 1
        if self.left_out:
            self._omitted_before(mark)
        self._add(path, line, mark.pages, _typed(mark), mark.declared)
        self.fresh = True

    def _add(self, path: str, line: int, pages: int, typed: str | None = None, declared: int | None = None) -> None:
        first, self.last = self.last + 1, self.last + pages
        self.label = str(first) if pages == 1 else f"{first}-{self.last}"
        self.pages.append(_OpenPage(self.label, path, line, typed, declared))
        self.panel = None

    def _panel(self, mark: Mark, path: str, line: int) -> None:
        self.fresh = False
        if self.pages:
            self.panel = len(self.pages[-1].panels) + 1
            self.pages[-1].panels.append(Panel(self.panel, path, line, mark.first))
        else:
            self.panel = mark.first or (self.panel or 0) + 1

    def _reveal(self) -> bool:
        if not self.pages:
            return False
        page = self.pages[-1]
        if page.panels:
            panel = page.panels[-1]
            page.panels[-1] = Panel(panel.number, panel.path, panel.line, panel.typed, True)
        else:
            page.reveal = True
        return True

    def _omitted(self, path: str, line: int) -> None:
        """Right after a page mark that page was taken out; else a page that has no mark any more, or a scene."""
        if self.fresh:
            self.pages[-1].omitted = True
        elif self.pages:
            self.left_out.append((path, line))

    def _omitted_before(self, mark: Mark) -> None:
        """Pages taken out without their marks: their numbers are not used again, as the next number tells."""
        wanted = len(self.left_out) if mark.first is None else mark.first - self.last - 1
        for path, line in self.left_out[: max(wanted, 0)]:
            self._add(path, line, 1)
            self.pages[-1].omitted = True
        self.left_out.clear()


def _typed(mark: Mark) -> str | None:
    """The number of a page mark as a label, None where none was typed."""
    if mark.first is None:
        return None
    return str(mark.first) if mark.last == mark.first else f"{mark.first}-{mark.last}"
