"""`book.toml`, bytes to a book (convention §2)."""

from __future__ import annotations

from typing import Any

from ledger.model.book import Book, Calendar, Limits, PageSize, Person
from ledger.model.finding import LEVELS, RULE_NAMES
from ledger.read import config_keys
from ledger.read.cast_names import cast_findings
from ledger.read.config_days import read_calendar
from ledger.read.config_keys import names
from ledger.read.config_passes import read_passes, stays_inside
from ledger.read.config_table import Table, is_number
from ledger.read.default_book import default_book_toml
from ledger.read.toml_text import load_toml

__all__ = ["MOST_PAGES", "SIGNATURES", "cast_findings", "default_book", "default_book_toml", "read_book"]

#: Pages to a folded sheet (convention §2; trade facts T-038, O-9).
SIGNATURES = (4, 8, 12, 16, 24, 32)
#: No book has more pages than this: a slip of the keyboard.
MOST_PAGES = 10_000
_MM_PER_INCH = 25.4
_SECTIONS = ("book", "page", "cover", "limits", "rules", "calendar", "cast", "pass")


def read_book(data: bytes, path: str = "book.toml") -> Book:
    """Reads `book.toml`. Raises Refusal with file, line and remedy for anything it does not know."""
    values, text = load_toml(data, path)
    top = Table(values, (), text, path, _SECTIONS)
    said = top.table("book", names(config_keys.BOOK))
    title, pages = said.needed("title"), said.count("pages", least=1, most=MOST_PAGES)
    if pages is None:
        said.wrong("'pages' in [book] is missing", remedy="add the number of story pages: pages = 160")
    signature = said.count("signature", 16, least=1)
    if signature not in SIGNATURES:
        sizes = ", ".join(map(str, SIGNATURES))
        said.wrong(f"'signature' in [book] is {signature}; a folded sheet has {sizes} pages", "signature")
    return Book(
        title=title, pages=pages, reading=said.word("reading", "ltr", ("ltr", "rtl")) or "ltr",
        front_matter=said.count("front_matter", 0, most=MOST_PAGES) or 0,
        back_matter=said.count("back_matter", 0, most=MOST_PAGES) or 0,
        signature=signature, due=said.day("due"), page=_page(top), cover_mm=_cover(top), limits=_limits(top),
        rules=_rules(top), calendar=_calendar(top), cast=_cast(top), passes=read_passes(top),
    )  # fmt: skip


def default_book(title: str) -> Book:
    """The book that `init` lays out unasked."""
    return read_book(default_book_toml(title).encode())


def _page(top: Table) -> PageSize | None:
    if "page" not in top.values:
        return None
    page = top.table("page", names(config_keys.PAGE))
    trim = _size(page)
    if trim is None:
        page.wrong("'trim_mm' in [page] is missing", remedy="add the trimmed page: trim_mm = [168.3, 258.8]")
    return PageSize(trim, _bleed(page), page.number("ppi", 300.0, above_zero=True) or 300.0,
                    page.number("ink_limit", above_zero=True))  # fmt: skip


def _cover(top: Table) -> tuple[float, float] | None:
    return _size(top.table("cover", names(config_keys.COVER)))


def _size(table: Table) -> tuple[float, float] | None:
    """A trimmed size in mm, given as `trim_mm` or `trim_in`."""
    if "trim_in" in table.values and "trim_mm" in table.values:
        table.wrong(f"{table.called('trim_mm')} and 'trim_in' both say the size", "trim_in", remedy="keep one of them")
    key = "trim_in" if "trim_in" in table.values else "trim_mm"
    value = table.values.get(key)
    if value is None:
        return None
    if not (isinstance(value, list) and len(value) == 2 and all(is_number(v) and v > 0 for v in value)):
        table.wrong(f"{table.called(key)} must be width and height, two numbers above 0", key,
                    remedy="such as trim_mm = [168.3, 258.8]")  # fmt: skip
    unit = _MM_PER_INCH if key == "trim_in" else 1.0
    return round(value[0] * unit, 6), round(value[1] * unit, 6)


def _bleed(page: Table) -> float:
    if "bleed_mm" in page.values and "bleed_in" in page.values:
        page.wrong("'bleed_mm' in [page] and 'bleed_in' both say the bleed", "bleed_in", remedy="keep one of them")
    inches = page.number("bleed_in")
    return round(inches * _MM_PER_INCH, 6) if inches is not None else page.number("bleed_mm", 0.0) or 0.0


def _limits(top: Table) -> Limits:
    limits, usual = top.table("limits", names(config_keys.LIMITS)), Limits()
    per_panel: int | None = None
    if limits.values.get("words_per_panel") != "scaled":
        if isinstance(limits.values.get("words_per_panel"), str):
            limits.wrong("'words_per_panel' in [limits] must be a whole number or \"scaled\"", "words_per_panel")
        per_panel = limits.count("words_per_panel", usual.words_per_panel, least=1)
    growth = limits.number("balloon_growth", usual.balloon_growth)
    return Limits(
        words_per_balloon=limits.count("words_per_balloon", usual.words_per_balloon, least=1) or 1,
        words_per_panel=per_panel,
        words_per_page=limits.count("words_per_page", usual.words_per_page, least=1) or 1,
        panels_per_page=limits.count("panels_per_page", usual.panels_per_page, least=1) or 1,
        balloon_growth=usual.balloon_growth if growth is None else growth,
    )


def _rules(top: Table) -> dict[str, str]:
    rules = top.table("rules", sorted(RULE_NAMES))
    levels = tuple(reversed(LEVELS))
    return {name: rules.word(name, allowed=levels) or "query" for name in rules.values}


def _calendar(top: Table) -> Calendar:
    return read_calendar(top.table("calendar", names(config_keys.CALENDAR)))


def _cast(top: Table) -> tuple[Person, ...]:
    """The cast in the order in which it is written."""
    values = top.values.get("cast", {})
    cast = top.table("cast", values if isinstance(values, dict) else ())
    return tuple(_person(cast, key, said) for key, said in cast.values.items())


def _person(cast: Table, key: str, said: Any) -> Person:
    if not key.strip():
        cast.wrong("a key in [cast] is empty", key, remedy='give it the letters typed before a line: W = "Wren"')
    if isinstance(said, str):
        return Person(key, " ".join((cast.word(key) or "").split()))
    if not isinstance(said, dict):
        cast.wrong(f"{cast.called(key)} must be a name in quotes or a table", key, remedy=f'{key} = "..."')
    person = cast.table(key, names(config_keys.PERSON))
    sheet = person.word("sheet")
    if sheet is not None:
        sheet = stays_inside(person, "sheet", sheet)
    also = tuple(" ".join(name.split()) for name in person.words("also"))
    return Person(key, " ".join(person.needed("name").split()), also, sheet)
