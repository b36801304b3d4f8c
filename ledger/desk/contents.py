"""What a reference stands for: the drafts and exports of some passes, at one moment."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from ledger.model.book import Book, Pass
from ledger.model.pages import ALL_PAGES, PageSet
from ledger.model.script import Draft

if TYPE_CHECKING:
    from datetime import date, datetime

    from ledger.model.snapshot import FileAt
    from ledger.read.state import BookState

Sources = list[tuple[str, bytes]]


class Exports(NamedTuple):
    """One art pass: page label -> export, and how to read one."""

    files: Mapping[str, FileAt]
    read: Callable[[FileAt], bytes]


class Contents(NamedTuple):
    """`name` is the reference as typed; drafts and exports are read when first asked for.

    `named` is the pass that was asked for by name, if one was. `loose` contents are files or a folder
    without a book: their text goes by the name "", their pictures by the folder's name. `sources` gives
    the files of a text pass as they are, paths and bytes; `state` is the book they were read from, if there was one;
    `pages` are those that its pictures cover (a sign-off of some pages, a slip).
    """

    name: str
    book: Book
    texts: Mapping[str, Callable[[], Draft]] = MappingProxyType({})
    art: Mapping[str, Callable[[], Exports]] = MappingProxyType({})
    named: str | None = None
    when: date | datetime | None = None
    loose: bool = False
    sources: Mapping[str, Callable[[], Sources]] = MappingProxyType({})
    state: BookState | None = None
    pages: PageSet = ALL_PAGES


def of_state(state: BookState, name: str, passes: Iterable[str] | None = None) -> Contents:
    """A state of the book as contents: these passes, or every one."""
    wanted = None if passes is None else set(passes)
    chosen = [p for p in state.book.passes if wanted is None or p.name in wanted]
    return Contents(
        name,
        state.book,
        {p.name: partial(state.draft, p.name) for p in chosen if p.kind == "text"},
        {p.name: partial(exports_of, state, p) for p in chosen if p.kind == "art"},
        sources={p.name: partial(_sources, state, p) for p in chosen if p.kind == "text"},
        state=state,
    )


def _sources(state: BookState, pass_: Pass) -> Sources:
    return [(path, state.snapshot.read(path)) for path in state.paths(pass_)]


def exports_of(state: BookState, pass_: Pass) -> Exports:
    """The exports of an art pass; of several files for one page the first in byte order counts."""
    return Exports(
        {label: files[0] for label, files in state.exports(pass_).items()},
        state.snapshot.store.read,
    )


def together(name: str, state: BookState, parts: Iterable[Contents]) -> Contents:
    """Several contents as one, such as the newest round of every pass of a book."""
    kept = list(parts)
    return Contents(
        name,
        state.book,
        {pass_name: draft for part in kept for pass_name, draft in part.texts.items()},
        {pass_name: exports for part in kept for pass_name, exports in part.art.items()},
        sources={pass_name: files for part in kept for pass_name, files in part.sources.items()},
        state=state,
    )


def within(get: Callable[[], Exports], pages: PageSet) -> Callable[[], Exports]:
    """The same exports, those of these pages alone."""
    return get if pages.everything else partial(_within, get, pages)


def _within(get: Callable[[], Exports], pages: PageSet) -> Exports:
    whole = get()
    return whole._replace(files={label: file for label, file in whole.files.items() if label in pages})
