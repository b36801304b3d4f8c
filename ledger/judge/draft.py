"""What there is to look at in a draft: numbers out of step, limits of taste, sides of spreads and reveals."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from ledger.model.book import Book
from ledger.model.finding import Finding
from ledger.model.pages import page_numbers
from ledger.model.script import Draft, Line, Page
from ledger.model.words import count_words
from ledger.read.cast_names import cast_findings
from ledger.read.patterns import matches
from ledger.read.state import OUTLINE


@dataclass(frozen=True)
class Judged:
    """A draft with the book it belongs to."""

    draft: Draft
    book: Book

    @cached_property
    def by_page(self) -> dict[str, list[Line]]:
        """Page label -> its lettered lines."""
        found: dict[str, list[Line]] = {}
        for line in self.draft.lines:
            if line.page is not None and line.lettered:
                found.setdefault(line.page, []).append(line)
        return found

    def of_pass(self, name: str) -> bool:
        """Whether the draft was read from the files of this pass."""
        pass_ = self.book.pass_named(name)
        return pass_ is not None and any(matches(path, pass_) for path in self.draft.paths)

    @property
    def is_the_script(self) -> bool:
        """Whether this is the book's own script, not an outline or an earlier text; so where no pass is declared."""
        script = self.book.main_script()
        return script is None or self.of_pass(script.name)

    def book_page(self, page: Page) -> int:
        """The book page of a page's first half, by which sides are judged (convention §2)."""
        return page_numbers(page.label)[0] + self.book.front_matter


def judge_draft(draft: Draft, book: Book) -> tuple[Finding, ...]:
    """Every query about a draft, the reader's own first; `[rules]` is not yet applied."""
    judged = Judged(draft, book)
    return (*draft.findings, *(finding for rule in DRAFT_RULES for finding in rule(judged)))


def page_numbers_typed(judged: Judged) -> Iterator[Finding]:
    """A typed page number that is not the count; what follows from it is not told again."""
    if judged.of_pass(OUTLINE):
        return  # beats name the pages they are meant for, in no order
    out_by, seen = 0, set[str]()
    for place, page in enumerate(judged.draft.pages):
        if page.typed is None:
            continue
        typed, counted = page_numbers(page.typed)[0], page_numbers(page.label)[0]
        again = page.typed in seen
        if place == 0 and typed > 1:
            said = f"the first page mark says {_named(page.typed)}; no page comes before it"
            yield _at_page("page-number", page, said, "begin with [page 1], or leave the numbers out")
        elif again or typed not in (counted, counted - out_by):
            said = f"this mark says {_named(page.typed)}{' a second time' if again else ''}"
            said += f"; by count it is {_named(page.label)}"
            yield _at_page("page-number", page, said, "number the pages again from here on, or leave the numbers out")
        out_by = counted - typed
        seen.add(page.typed)


def extent(judged: Judged) -> Iterator[Finding]:
    """`pages` in `book.toml` against the script's own pages."""
    if judged.draft.pages and judged.is_the_script:
        last = page_numbers(judged.draft.pages[-1].label)[-1]
        if last != judged.book.pages:
            yield Finding(
                "page-number", "query", f"book.toml says {judged.book.pages} pages, the script has {last}", "book.toml",
                remedy=f"set pages = {last} in [book] once the script is whole",
            )  # fmt: skip


def cast_names(judged: Judged) -> Iterator[Finding]:
    """Keys and names of two people, told once, with the script."""
    if judged.is_the_script:
        yield from cast_findings(judged.book)


def panel_counts(judged: Judged) -> Iterator[Finding]:
    """A declared panel count that differs from the panels written."""
    for page in judged.draft.pages:
        if page.declared is not None and not page.omitted and page.declared != page.panel_count:
            written = f"{page.panel_count or 'none'} {'is' if page.panel_count == 1 else 'are'} written"
            said = f"{_named(page.label)} should have {_panels(page.declared)}, {written}"
            yield _at_page("panel-count", page, said, "mend the count in the heading, or the panel marks below it")


def panel_numbers(judged: Judged) -> Iterator[Finding]:
    """Typed panel numbers that are not the count; panels start again on every page."""
    before = 0
    for page in judged.draft.pages:
        out_by = 0
        for panel in page.panels:
            if panel.typed is None:
                continue
            if panel.typed not in (panel.number, panel.number + out_by):
                through = panel.number == 1 and panel.typed == before + 1
                said = "panels are numbered straight through" if through else f"this mark says panel {panel.typed}"
                yield Finding(
                    "panel-count", "query", f"{said}; by count this is panel {panel.number} of {_named(page.label)}",
                    panel.path, panel.line, page.label, panel.number,
                    remedy="number the panels of every page from 1, or leave the numbers out",
                )  # fmt: skip
            out_by = panel.typed - panel.number
            before = panel.typed


def balloons(judged: Judged) -> Iterator[Finding]:
    """Balloons, captions and sounds of more words than the book's limit."""
    most = judged.book.limits.words_per_balloon
    for scene in judged.draft.scenes:
        for line in scene.lines:
            words = count_words(line.text) if line.lettered else 0
            if words > most:
                what = {"caption": "caption", "sfx": "sound"}.get(line.role, "balloon")
                yield Finding(
                    "over-limit", "query", f"this {what} has {words} words; the limit is {most}", line.path, line.line,
                    line.page, line.panel, scene.title or None, remedy="split it, cut it, or let it stand",
                )  # fmt: skip


def panel_words(judged: Judged) -> Iterator[Finding]:
    """Panels of more words than the flat limit, or than their share of the page's."""
    flat = judged.book.limits.words_per_panel
    for page in judged.draft.pages:
        most = flat if flat is not None else _span(page) * judged.book.limits.words_per_page // max(page.panel_count, 1)
        if flat is None and page.panel_count <= 1:
            continue  # the page's own limit says it
        for number, words in _words_by_panel(judged, page).items():
            if words > most:
                path, line = _place(page, number)
                said = f"panel {number} of {_named(page.label)} has {words} words; the limit is {most}"
                yield Finding("over-limit", "query", said, path, line, page.label, number if page.panels else None,
                              remedy="cut words, or give them another panel")  # fmt: skip


def page_words(judged: Judged) -> Iterator[Finding]:
    """Pages of more words than the limit; a spread is two pages."""
    for page in judged.draft.pages:
        most = judged.book.limits.words_per_page * _span(page)
        words = sum(count_words(line.text) for line in judged.by_page.get(page.label, ()))
        if words > most:
            yield _at_page("over-limit", page, f"{_having(page.label)} {words} words; the limit is {most}",
                           "cut words, or carry some to another page")  # fmt: skip


def page_panels(judged: Judged) -> Iterator[Finding]:
    """Pages of more panels than the limit."""
    for page in judged.draft.pages:
        most = judged.book.limits.panels_per_page * _span(page)
        if page.panel_count > most:
            said = f"{_having(page.label)} {_panels(page.panel_count)}; the limit is {most}"
            yield _at_page("over-limit", page, said, "join panels, or carry some to another page")


def spread_sides(judged: Judged) -> Iterator[Finding]:
    """A spread that does not lie on one opening: an even book page and the odd one after it (trade facts T-003)."""
    for page in judged.draft.pages:
        if _span(page) > 1 and not page.omitted and judged.book_page(page) % 2:
            first, last = page_numbers(page.label)[0], page_numbers(page.label)[-1]
            said = f"pages {page.label} are no opening: {first} is a recto{_folio(judged, page)}, {last} comes overleaf"
            yield _at_page("spread-side", page, said, "add or cut a page before it, or move the spread by one page")


def reveal_sides(judged: Judged) -> Iterator[Finding]:
    """A reveal that is not the first panel after a page turn (trade facts T-004)."""
    for page in judged.draft.pages:
        for number, path, line in _reveals(page):
            recto = judged.book_page(page) % 2
            if not recto and number == 1:
                continue
            why = (
                f"page {page.label} is a recto{_folio(judged, page)}"
                if recto
                else f"it is panel {number}, not the first"
            )
            said = f"this reveal is seen before the page is turned: {why}"
            yield Finding(
                "reveal-side", "query", said, path, line, page.label, number if page.panels else None,
                remedy="carry it to the first panel of a verso (an even book page)",
            )  # fmt: skip


def _reveals(page: Page) -> Iterator[tuple[int, str, int]]:
    if page.omitted:
        return
    if page.reveal:
        yield 1, page.path, page.line
    for panel in page.panels:
        if panel.reveal:
            yield panel.number, panel.path, panel.line


def _words_by_panel(judged: Judged, page: Page) -> dict[int, int]:
    """Panel -> lettered words; a page without panel marks is panel 1."""
    found: dict[int, int] = {}
    for line in judged.by_page.get(page.label, ()):
        number = line.panel or (None if page.panels else 1)
        if number is not None:
            found[number] = found.get(number, 0) + count_words(line.text)
    return found


def _place(page: Page, number: int) -> tuple[str, int]:
    return next(((panel.path, panel.line) for panel in page.panels if panel.number == number), (page.path, page.line))


def _span(page: Page) -> int:
    return len(page_numbers(page.label))


def _folio(judged: Judged, page: Page) -> str:
    """The book page in words, where front matter makes it another number."""
    return f" (book page {judged.book_page(page)})" if judged.book.front_matter else ""


def _named(label: str) -> str:
    return f"pages {label}" if "-" in label else f"page {label}"


def _having(label: str) -> str:
    return f"{_named(label)} {'have' if '-' in label else 'has'}"


def _panels(count: int) -> str:
    return "1 panel" if count == 1 else f"{count} panels"


def _at_page(rule: str, page: Page, message: str, remedy: str) -> Finding:
    return Finding(rule, "query", message, page.path, page.line, page.label, remedy=remedy)


#: One rule a function, each given the draft and its book.
DRAFT_RULES: tuple[Callable[[Judged], Iterator[Finding]], ...] = (
    page_numbers_typed, extent, cast_names, panel_counts, panel_numbers, balloons, panel_words, page_words, page_panels,
    spread_sides, reveal_sides,
)  # fmt: skip
