"""`handoff.toml`, the list that goes along with pages handed out: bytes -> what was given and asked, and back."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any, ClassVar, NoReturn

from ledger.model.book import ASKED_MODES
from ledger.model.errors import Refusal
from ledger.model.lending import LIST, RETURNS, STEP, Asked, Given, Known, Lending
from ledger.model.pages import page_label, parse_pages
from ledger.model.safe_names import fits_everywhere
from ledger.read.config_table import Table
from ledger.read.toml_text import load_toml
from ledger.read.toml_values import toml_value

_HEAD = """\
# What was handed out, and what is asked back. Please leave this file as it is:
# the pages that come back are held against it. What to do is said in sheet.txt.
"""
_TOP = ("handoff", "book", "pass", "returns", "pages", "to", "by", "date", "due", "mode", "depth", "ppi", "lines",
        "entries", "page", "given")  # fmt: skip
_PAGE = ("page", "answer", "px", "within", "made_from")
_GIVEN = ("path", "sha256", "pass", "page", "px", "picture", "rows", "columns")
_AGAIN = "put back the handoff.toml that came with the pages, or ask for it again"
_DIGEST = re.compile(r"[0-9a-f]{64}\Z")
_SUMS = re.compile(r"(?:[0-9a-f]{8}(?: [0-9a-f]{8})*)?\Z")
#: Widest picture a list may name, in px of a side.
_SIDE = 300_000


def safe_path(path: str) -> bool:
    """Whether a path stays in its folder on every system: plain letters, digits, `.`, `_`, `-`, at most one folder."""
    parts = path.split("/")
    return len(parts) <= 2 and all(map(fits_everywhere, parts))


# -- writing


def write_lending(lending: Lending) -> bytes:
    """The bytes of the list: UTF-8, line feeds. Raises Refusal where a name in it is not valid Unicode."""
    top = {
        "handoff": lending.number, "book": lending.book, "pass": lending.pass_name, "returns": lending.returns,
        "pages": lending.pages, "to": lending.to, "by": lending.by, "date": lending.when, "due": lending.due,
        "mode": lending.mode, "depth": lending.depth, "ppi": _plain(lending.ppi), "lines": lending.lines,
        "entries": lending.entries or None,
    }  # fmt: skip
    blocks = [_block("", top), *(_block("[[page]]\n", _asked(each)) for each in lending.asked)]
    blocks += [_block("[[given]]\n", _given(each)) for each in lending.given]
    try:
        return (_HEAD + "\n" + "\n".join(blocks)).encode()
    except UnicodeEncodeError as fault:
        raise Refusal(
            "a name here is not valid UTF-8, so the list can't hold it", remedy="name it otherwise"
        ) from fault


def _block(head: str, values: Mapping[str, Any]) -> str:
    kept = {key: value for key, value in values.items() if value is not None and value != ""}
    width = max(map(len, kept))
    return head + "".join(f"{key:<{width}} = {toml_value(value)}\n" for key, value in kept.items())


def _asked(each: Asked) -> dict[str, Any]:
    return {"page": each.page, "answer": each.answer, "px": each.px, "within": each.within or None,
            "made_from": each.made_from or None}  # fmt: skip


def _given(each: Given) -> dict[str, Any]:
    said = {"path": each.path, "sha256": each.sha256, "pass": each.pass_name, "page": each.page}
    if each.known is None:
        return said
    return {**said, "px": each.known.px, "picture": each.known.sha256, "rows": " ".join(each.known.rows),
            "columns": " ".join(each.known.columns)}  # fmt: skip


def _plain(number: float | None) -> float | None:
    return int(number) if number is not None and number == int(number) else number


# -- reading


class _Table(Table):
    """A table of the list; every complaint ends with the same way out."""

    file = LIST
    elsewhere: ClassVar[Mapping[str, str]] = {}

    def wrong(self, message: str, *keys: str | int, remedy: str | None = None) -> NoReturn:
        super().wrong(message, *keys, remedy=_AGAIN)

    def needed_count(self, key: str, least: int = 0, most: int = 1_000_000_000) -> int:
        found = self.count(key, least=least, most=most)
        if found is None:
            self.wrong(f"{self.called(key)} is missing")
        return found

    def digest(self, key: str) -> str:
        """A SHA-256 in hex."""
        said = self.needed(key)
        if not _DIGEST.match(said):
            self.wrong(f"{self.called(key)} is no SHA-256 in hex", key)
        return said

    def path_in(self, key: str) -> str:
        """A path that stays in the folder."""
        said = self.needed(key)
        if not safe_path(said) or said.lower() == LIST:
            self.wrong(f"{self.called(key)} is {said!r}, which is no name of a file handed out", key)
        return said

    def label(self, key: str) -> str:
        """The label of a page."""
        said = self.needed(key)
        if page_label(said) != said:
            self.wrong(f"{self.called(key)} is {said!r}, which is no page", key)
        return said

    def size(self, key: str) -> tuple[int, int] | None:
        """Width and height in px."""
        said = self.values.get(key)
        if said is None:
            return None
        if not (isinstance(said, list) and len(said) == 2 and all(_whole(each) for each in said)):
            self.wrong(
                f"{self.called(key)} must be width and height in px", key, remedy=f"such as {key} = [2000, 3000]"
            )
        return (said[0], said[1])

    def named(self, key: str) -> dict[str, str]:
        """A table of strings."""
        said = self.values.get(key, {})
        if not isinstance(said, dict) or not all(isinstance(each, str) for each in said.values()):
            self.wrong(f'{self.called(key)} must be names in quotes: {{ inks = "..." }}', key)
        return dict(said)

    def rows_of(self, key: str, known: Sequence[str]) -> Iterator[_Table]:
        """The tables of an array."""
        found = self.values.get(key, [])
        if not isinstance(found, list) or not all(isinstance(each, dict) for each in found):
            self.wrong(f"{self.called(key)} must be tables", key)
        for at, each in enumerate(found):
            yield _Table(each, (key, at), self.text, self.path, known)


def _whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value <= _SIDE


def read_lending(data: bytes, path: str = LIST) -> Lending:
    """Reads the list. Raises Refusal with file and line for anything that is not whole and in itself consistent."""
    values, text = load_toml(data, path)
    table = _Table(values, (), text, path, _TOP)
    asked = tuple(_read_asked(each) for each in table.rows_of("page", _PAGE))
    given = tuple(_read_given(each) for each in table.rows_of("given", _GIVEN))
    lending = Lending(
        table.needed_count("handoff", 1), table.needed("book"), _pass_name(table), _returns(table),
        _pages(table, asked), table.word("to") or "", table.needed("by"), _date(table, "date"),
        table.day("due"), table.word("mode", allowed=ASKED_MODES), table.count("depth", least=1, most=32),
        table.number("ppi", above_zero=True), table.word("lines") or "", table.named("entries"), asked, given,
    )  # fmt: skip
    _refuse_doubles(table, lending)
    if lending.lines and lending.lines not in {each.pass_name for each in given}:
        table.wrong(f"'lines' is {lending.lines!r}, of which no picture was given", "lines")
    return lending


def _pass_name(table: _Table) -> str:
    name = table.needed("pass")
    if not fits_everywhere(name):
        table.wrong(f"'pass' is {name!r}, which is no pass", "pass")
    return name


def _returns(table: _Table) -> str:
    return table.word("returns", "page", RETURNS) or "page"


def _pages(table: _Table, asked: Sequence[Asked]) -> str:
    """The pages as text; they are those asked for, neither more nor less."""
    said = table.needed("pages")
    try:
        pages = parse_pages(said)
    except ValueError as fault:
        table.wrong(f"'pages': {fault}", "pages")
    if not asked:
        table.wrong("no page is asked for: there is no [[page]]")
    odd = next((each.page for each in asked if each.page not in pages), None)
    if odd is not None:
        table.wrong(f"'pages' is {said!r}, but page {odd} is asked for too", "pages")
    if pages != parse_pages(",".join(each.page for each in asked)):
        table.wrong(f"'pages' is {said!r}, but not every one of them has its [[page]]", "pages")
    return pages.text() or said


def _date(table: _Table, key: str) -> date | datetime:
    value = table.values.get(key)
    if not isinstance(value, date) or (isinstance(value, datetime) and value.tzinfo is None):
        table.wrong(f"{table.called(key)} must be a date", key)
    return value


def _read_asked(table: _Table) -> Asked:
    answer = table.path_in("answer")
    if "/" not in answer:
        table.wrong(f"'answer' is {answer!r}, which lies in no folder", "answer")
    return Asked(table.label("page"), answer, table.size("px"), table.count("within", 0) or 0, table.named("made_from"))


def _read_given(table: _Table) -> Given:
    path, digest = table.path_in("path"), table.digest("sha256")
    if "picture" not in table.values:
        return Given(path, digest)
    size = table.size("px")
    if size is None:
        table.wrong("'px' is missing: a picture says its width and height")
    sums = _sums(table, "rows", size[1]), _sums(table, "columns", size[0])
    return Given(path, digest, _pass_name(table), table.label("page"), Known(size, table.digest("picture"), *sums))


def _sums(table: _Table, key: str, length: int) -> tuple[str, ...]:
    said = table.values.get(key, "")
    if not isinstance(said, str) or not _SUMS.match(said):
        table.wrong(f"{table.called(key)} must be sums of eight hex digits", key)
    found = tuple(said.split())
    if found and len(found) != -(-length // STEP):
        table.wrong(f"{table.called(key)} must hold one sum for every {STEP} px", key)
    return found


def _refuse_doubles(table: _Table, lending: Lending) -> None:
    """Raises Refusal where one page is asked twice, or two files would lie in one place on some system."""
    pages: set[str] = set()
    places: set[str] = set()
    for at, each in enumerate(lending.asked):
        if each.page in pages:
            table.wrong(f"page {each.page} is asked for twice", "page", at, "page")
        pages.add(each.page)
    rows = [("page", "answer", [each.answer for each in lending.asked]),
            ("given", "path", [each.path for each in lending.given])]  # fmt: skip
    for name, key, paths in rows:
        for at, path in enumerate(paths):
            if path.lower() in places:
                table.wrong(f"{path!r} stands here twice", name, at, key)
            places.add(path.lower())
