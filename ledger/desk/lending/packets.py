"""`packet`: a round of a pass, made ready for a reader who has nothing but a browser."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from itertools import chain
from pathlib import Path
from typing import NamedTuple

from ledger.desk.notes.gathered import BookShelf
from ledger.desk.numbers import newest_round, the_pass
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.wishes import pages_of
from ledger.judge.notes.history import Moment
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.finding import Finding
from ledger.model.packet import Heading, Leaf, Packet, Panel
from ledger.model.pages import PageSet, label_order, pages_words
from ledger.model.script import Draft, Line, Page
from ledger.model.script import Panel as Mark
from ledger.plan.block import block_of
from ledger.plan.facing import facing_pages
from ledger.read.patterns import label_of


@dataclass(frozen=True)
class PacketWish:
    """What `packet` was asked: the pass, the pages as typed, the words of the title page, and whom it is for."""

    pass_name: str
    pages: str | None = None
    words: str = ""
    reader: str = ""


@dataclass(frozen=True)
class PacketMade:
    """A packet, the round it shows, the files of that round in it, and what of it could not be shown."""

    packet: Packet
    entry: Round
    given: Mapping[str, str]
    findings: tuple[Finding, ...] = ()


def packet(here: Path, wish: PacketWish) -> PacketMade:
    """The packet of a pass's newest round. Raises Refusal where nothing is entered or the script has no pages."""
    book = open_book(here)
    state = book.working
    pass_ = the_pass(state.book, wish.pass_name)
    pages = pages_of(wish.pages)
    entry = newest_round(state.entries, pass_.name)
    if entry is None:
        raise Refusal(f"nothing of {pass_.name!r} is entered yet, so there is no round to read",
                      remedy=f"enter it first: inkledger enter {pass_.name}")  # fmt: skip
    drawn = pass_.kind == "art"
    shelf = BookShelf(book, state)
    draft = _draft(book, shelf, pass_, entry)
    leaves = _drawn_leaves(shelf, entry, pages) if drawn else script_leaves(draft, entry.name, pages)
    if not leaves:
        raise Refusal(f"{pages_words(pages.text())}: {entry.name} has nothing there",
                      remedy="name pages it has, or leave --pages out")  # fmt: skip
    rtl = state.book.reading == "rtl"
    lying = facing_pages(leaves, block_of(draft, state.book), rtl=rtl)
    openings = tuple(tuple(leaves[each.label]._replace(side=each.side) for each in opening) for opening in lying)
    before = () if drawn or not pages.everything else _before(draft)
    name = _name(entry, state.book.title, wish, leaves)
    made = Packet(name, state.book.title, entry.name, pass_.name, entry.number, entry.date, rtl, drawn, openings,
                  wish.reader.strip(), wish.words.strip(), before)  # fmt: skip
    given = {path: oid for path, oid in entry.files.items() if oid and (not drawn or label_of(path, pass_) in leaves)}
    return PacketMade(made, entry, given, tuple(_unseen(openings, pass_, entry)))


def _draft(book: OpenBook, shelf: BookShelf, pass_: Pass, entry: Round) -> Draft:
    """The script of the round; for a drawn pass the book's script now, which tells how its pages lie."""
    if pass_.kind == "art":
        return book.working.script_draft()
    draft = shelf.draft(Moment(pass_.name, entry.number))
    if draft is None:
        raise Refusal(f"the content of {entry.name} is not here", remedy="fetch it: git fetch, or git lfs pull")
    return draft


def _name(entry: Round, title: str, wish: PacketWish, leaves: Mapping[str, Leaf]) -> str:
    """A name of this packet alone: made again of the same round for the same reader it is the same."""
    said = [title, entry.name, str(entry.date), wish.reader.strip(), *leaves, *sorted(entry.files.values())]
    return f"packet-{entry.name}-{sha256(chr(0).join(said).encode('utf-8', 'surrogatepass')).hexdigest()[:8]}"


# -- a script


def script_leaves(draft: Draft, entry: str, pages: PageSet) -> dict[str, Leaf]:
    """The pages of a draft with their panels, by label. Raises Refusal where it has no page marks."""
    if not draft.pages:
        raise Refusal(f"{entry} has no page marks, so there are no pages to turn and to note on",
                      remedy="mark its pages, [page 1], and enter it again; or send the draft itself")  # fmt: skip
    typed = _Typed(draft)
    return {page.label: _script_leaf(page, typed) for page in draft.pages if page.label in pages}


#: Where something was typed: which file in reading order, and its line.
_At = tuple[int, int]


class _Headed(NamedTuple):
    """A line with the headings that begin with it, and where these were typed."""

    heads: tuple[Heading, ...]
    typed: _At
    line: Line


class _Typed:
    """A draft by what was typed where: `lines` of each page, and in `silent` what stands above the mark of a page or
    panel: the headings of scenes in which nothing is said or done.

    A chapter's heading is taken for typed where that of its first scene is.
    """

    def __init__(self, draft: Draft) -> None:
        self.order = {path: at for at, path in enumerate(draft.paths)}
        self.lines: dict[str | None, list[_Headed]] = {}
        self.silent: dict[_At, tuple[Heading, ...]] = {}
        marks = sorted(chain.from_iterable([self.at(page), *map(self.at, page.panels)] for page in draft.pages))
        begins = [(self.order.get(scene.path, 0), scene.line if scene.headed else 0) for scene in draft.scenes]
        chapter = 0
        for scene, begun, ends in zip(draft.scenes, begins, [*begins[1:], (len(self.order), 0)], strict=True):
            after = bisect_right(marks, begun)
            mark = marks[after] if not scene.lines and after < len(marks) and marks[after] < ends else None
            if not scene.lines and mark is None:
                continue
            heads = [Heading("chapter", scene.chapter)] * (scene.number_of_chapter != chapter)
            heads += [Heading("scene", scene.title)] * scene.headed
            chapter = scene.number_of_chapter
            shown = tuple(each for each in heads if each.text)
            if mark is not None:
                self.silent[mark] = (*self.silent.get(mark, ()), *shown)
            for line in scene.lines:
                self.lines.setdefault(line.page, []).append(_Headed(shown, begun, line))
                shown = ()

    def at(self, mark: Page | Mark) -> _At:
        """Where the mark of a page or panel was typed."""
        return self.order.get(mark.path, 0), mark.line


def _before(draft: Draft) -> tuple[tuple[tuple[Heading, ...], Line], ...]:
    """Lines before the first page mark."""
    return tuple((heads, line) for heads, _, line in _Typed(draft).lines.get(None, ()))


def _script_leaf(page: Page, typed: _Typed) -> Leaf:
    """A page with its panels in order, marked or not. Headings stand where they were typed: above the page, above a
    panel, or inside it."""
    missing = "This page is left out." if page.omitted else "" if page.holds else "An empty page."
    lines = typed.lines.get(page.label, [])
    above = typed.silent.get(typed.at(page), ())
    if lines and lines[0].typed < typed.at(page):
        above, lines = (*above, *lines[0].heads), [lines[0]._replace(heads=()), *lines[1:]]
    marks = {panel.number: typed.at(panel) for panel in page.panels}
    found: dict[int | None, list[_Headed]] = {number: [] for number in marks}
    for each in lines:
        found.setdefault(each.line.panel, []).append(each)
    panels = []
    for number in sorted(found, key=lambda each: each or 0):
        inside = found[number]
        heads = typed.silent.get(marks[number], ()) if number in marks else ()
        if inside and number in marks and inside[0].typed < marks[number]:
            heads, inside = (*heads, *inside[0].heads), [inside[0]._replace(heads=()), *inside[1:]]
        panels.append(Panel(number, tuple((each.heads, each.line) for each in inside), heads))
    return Leaf(page.label, "", tuple(panels), missing=missing, heads=above)


# -- pictures


def _drawn_leaves(shelf: BookShelf, entry: Round, pages: PageSet) -> dict[str, Leaf]:
    """The pages of the round, each picture with its share of what all may take."""
    from ledger.pictures.leaves import MOST_BYTES

    pictures = shelf.pictures(Moment(entry.pass_name, entry.number))
    labels = sorted((label for label in pictures.files if label in pages), key=label_order) if pictures else []
    left, step, found = MOST_BYTES, 0, {}
    for at, label in enumerate(labels):
        assert pictures is not None
        share = left // (len(labels) - at)
        leaf, step = _drawn_leaf(label, partial(pictures.read, pictures.files[label]), share, step)
        left -= len(leaf.picture.data) if leaf.picture else 0
        found[label] = leaf
    return found


def _drawn_leaf(label: str, read: Callable[[], bytes], share: int, step: int) -> tuple[Leaf, int]:
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import leaf

    try:
        shown, step = leaf(read(), share, step)
    except (ContentMissing, OSError):
        return Leaf(label, "", missing="Its picture is not on the machine where this was made."), step
    except Unreadable:
        return Leaf(label, "", missing="Its picture can't be read."), step
    return Leaf(label, "", picture=shown), step


def _unseen(openings: Iterable[Iterable[Leaf]], pass_: Pass, entry: Round) -> Iterator[Finding]:
    """One finding for every picture that is not in the packet."""
    paths = {label_of(path, pass_): path for path in entry.files}
    for opening in openings:
        for leaf in opening:
            if pass_.kind == "art" and leaf.picture is None:
                yield Finding("export-unreadable", "query", f"{entry.name} has it, but the packet can't show it",
                              paths.get(leaf.label), page=leaf.label,
                              remedy="fetch it: git lfs pull, or export the page again")  # fmt: skip
