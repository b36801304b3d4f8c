"""What a hand-off is made of: the pages asked for, as the newest recorded rounds upstream hold them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

from ledger.desk.arriving.bringing_pages import place_of
from ledger.desk.numbers import newest_round, the_pass
from ledger.desk.opening import OpenBook
from ledger.desk.stale_pages import stale_now
from ledger.judge.exports.size import wanted_size
from ledger.judge.resting.made_from import Sources
from ledger.model.book import Book, Pass
from ledger.model.entry import Round
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.lending import Known
from ledger.model.pages import PageSet, label_order, page_numbers, pages_text, pages_words
from ledger.model.safe_names import fits_everywhere, plain_name
from ledger.model.snapshot import FileAt, Snapshot
from ledger.model.stale import Stale
from ledger.read.patterns import label_of
from ledger.read.state import BookState


@dataclass(frozen=True)
class Upstream:
    """The passes that a pass is made from, each with its newest recorded round; `state` holds those rounds' files."""

    pass_: Pass
    state: BookState
    rounds: Mapping[str, Round]
    sources: Sources

    @property
    def drawn(self) -> list[Pass]:
        """The drawn ones of which something is entered, the line art first."""
        found = [p for p in self._passes() if p.kind == "art"]
        return sorted(found, key=lambda each: "drawing" not in each.locks)

    @property
    def texts(self) -> list[Pass]:
        """The text passes of which something is entered."""
        return [p for p in self._passes() if p.kind == "text"]

    def _passes(self) -> list[Pass]:
        return [each for name in self.rounds if (each := self.state.book.pass_named(name))]

    @property
    def lines(self) -> str:
        """The pass whose pictures are the line art; "" for a pass that is not laid under or over any."""
        return self.drawn[0].name if self.drawn and self.pass_.returns != "page" else ""


def upstream_of(book: OpenBook, name: str) -> Upstream:
    """What a pass is made from. Raises Refusal for a pass that can't be handed out, or of which nothing is entered."""
    pass_ = the_pass(book.working.book, name)
    if pass_.kind != "art":
        raise Refusal(f"{name!r} is a text pass, it has no pages to be drawn",
                      remedy=f"send it to be read: inkledger packet {name}")  # fmt: skip
    if not pass_.comes_from:
        raise Refusal(f"{name!r} is made from no other pass, so there is nothing to hand out",
                      remedy='name what it is made from in book.toml: from = ["inks"]')  # fmt: skip
    entries = book.head.entries if book.head else ()
    rounds = {each: found for each in pass_.comes_from if (found := newest_round(entries, each))}
    if not rounds:
        raise Refusal(f"nothing that {name!r} is made from is entered yet ({', '.join(pass_.comes_from)})",
                      remedy=f"enter it first: inkledger enter {pass_.comes_from[0]}")  # fmt: skip
    files = {path: FileAt(path, oid) for entry in rounds.values() for path, oid in entry.files.items() if oid}
    snapshot = Snapshot("entered", files, book.head_snapshot.store)
    state = BookState(snapshot, _read_by(book.working.book, rounds), entries)
    return Upstream(pass_, state, rounds, Sources(state))


def _read_by(book: Book, rounds: Mapping[str, Round]) -> Book:
    """The book as it is now; a text round is read from its own files, whatever the patterns say since."""
    passes = [
        each._replace(files=tuple(path for path, oid in rounds[each.name].files.items() if oid))
        if each.kind == "text" and each.name in rounds
        else each
        for each in book.passes
    ]
    return book._replace(passes=tuple(passes))


# -- pages


def pages_asked(upstream: Upstream, pages: PageSet) -> list[str]:
    """The labels of the pages that go out, in page order. Raises Refusal, naming them, for pages not entered there."""
    labels = _drawn_labels(upstream, pages) if upstream.drawn else _script_labels(upstream, pages)
    covered = {half for label in labels for half in [label, *map(str, page_numbers(label))]}
    lacking = [label for label in pages.labels if label not in covered]
    whose = " or ".join(each.name for each in upstream.drawn[: 1 if upstream.lines else None] or upstream.texts)
    if lacking:
        there = pages_text(labels)
        raise Refusal(
            f"{pages_words(pages_text(lacking))} {'is' if len(lacking) == 1 else 'are'} not entered in {whose}",
            remedy=f"hand out those that are: --pages {there}"
            if there
            else f"enter them first: inkledger enter {whose}",
        )
    if not labels:
        raise Refusal(f"there is no page in {whose or 'any drawn pass'} to hand out",
                      remedy=f"enter it first: inkledger enter {upstream.pass_.comes_from[0]}")  # fmt: skip
    return sorted(labels, key=label_order)


def _drawn_labels(upstream: Upstream, pages: PageSet) -> list[str]:
    """Labels of the line art; where none is needed, of any drawn pass."""
    needed = upstream.drawn[:1] if upstream.lines else upstream.drawn
    found: dict[str, None] = {}
    taken: set[int] = set()
    for each in needed:
        for label in upstream.state.exports(each):
            halves = page_numbers(label)
            if label in pages and label not in found and not taken.intersection(halves):
                found[label] = None
                taken.update(halves)
    return list(found)


def _script_labels(upstream: Upstream, pages: PageSet) -> list[str]:
    """Labels of the script's pages, for a pass that is made from a text alone."""
    if upstream.pass_.returns != "page":
        raise Refusal(f"no picture that {upstream.pass_.name!r} is laid on is entered yet",
                      remedy=f"enter it first, one of {', '.join(upstream.pass_.comes_from)}")  # fmt: skip
    drafts = [upstream.state.draft(each.name) for each in upstream.texts]
    return list({p.label: None for draft in drafts for p in draft.pages if p.label in pages and not p.omitted})


def lacking_passes(upstream: Upstream) -> list[Finding]:
    """A query for every pass it is made from of which nothing is entered."""
    return [
        Finding("export-missing", "query", f"nothing of {name} is entered, so nothing of it goes along",
                remedy=f"enter it first if it is needed: inkledger enter {name}")
        for name in upstream.pass_.comes_from if name not in upstream.rounds
    ]  # fmt: skip


def lacking_pictures(upstream: Upstream, labels: Iterable[str]) -> list[Finding]:
    """A query for every page that one of several drawn passes does not have."""
    return [
        Finding("export-missing", "query", f"{upstream.rounds[each.name].name} does not have it: nothing goes along",
                page=label, remedy=f"enter it first if it is needed: inkledger enter {each.name}")
        for label in labels for each in upstream.drawn if not upstream.sources.pictures(each, label)
    ]  # fmt: skip


def stale_pictures(book: OpenBook, pictures: Iterable[Picture]) -> list[Finding]:
    """A query for every picture that goes out and rests on content changed since, as entered: it may be made anew."""
    from ledger.judge.resting.findings import stale_findings

    given = {each.file.path for each in pictures}
    found = stale_now(book, book.head).pages if book.head else ()
    return list(stale_findings(Stale(tuple(each for each in found if each.path in given))))


# -- pictures


@dataclass(frozen=True)
class Picture:
    """A picture that goes out: the file upstream, the page it shows, and where it lies in the folder."""

    pass_name: str
    page: str
    file: FileAt
    path: str


def pictures_given(upstream: Upstream, labels: Sequence[str]) -> list[Picture]:
    """The pictures of these pages, pass by pass, each once: a spread may be made from two."""
    found = []
    for each in upstream.drawn:
        _fit_for_a_folder(each.name)
        files = {file.path: file for label in labels for file in upstream.sources.pictures(each, label)}
        names: set[str] = set()
        for path, file in files.items():
            page = label_of(path, each) or ""
            name = _free_name(PurePosixPath(path).name, page, names)
            found.append(Picture(each.name, page, file, f"{each.name}/{name}"))
    return found


def answers_asked(pass_: Pass, labels: Iterable[str]) -> dict[str, str]:
    """Page -> where its file goes in the folder: named as the pass names its files, where every system can."""
    _fit_for_a_folder(pass_.name)
    suffix = next((s for pattern in pass_.files if (s := PurePosixPath(pattern).suffix) and s != ".*"), ".png")
    names: set[str] = set()
    return {
        label: f"{pass_.name}/{_free_name(PurePosixPath(_place(pass_, label, suffix)).name, label, names)}"
        for label in labels
    }


def _place(pass_: Pass, label: str, suffix: str) -> str:
    try:
        return place_of(pass_, label, f"page{suffix}")
    except Refusal:
        return f"{plain_name(label)}{suffix}"


def _free_name(name: str, label: str, taken: set[str]) -> str:
    """The name, or a plain one where some system could not hold it or has it already."""
    if not fits_everywhere(name) or name.lower() in taken:
        name = f"{plain_name(label)}{PurePosixPath(name).suffix.lower()}"
        name = name if fits_everywhere(name) else f"{plain_name(label)}.png"
    taken.add(name.lower())
    return name


def _fit_for_a_folder(name: str) -> None:
    if not fits_everywhere(name):
        raise Refusal(f"a folder can't be called {name!r} on every system", remedy="give the pass another name")


# -- what is asked


def size_asked(book: Book, pass_: Pass, label: str, given: Known | None) -> tuple[tuple[int, int] | None, int]:
    """Width and height that a page must have, and by how many px it may differ.

    What is laid under or over the line art measures exactly what that measures (trade facts T-176). A page drawn anew
    does too, but where what was given is no export of full size (thumbnails): then it is what the book asks.
    """
    wanted = wanted_size(book, pass_, label)
    if given is not None and (pass_.returns != "page" or wanted is None or wanted.fits(given.px)):
        return given.px, 0
    return (wanted.px, int(wanted.allowed)) if wanted else (None, 0)


def mode_asked(pass_: Pass) -> tuple[str | None, int | None]:
    """Mode and bits a channel; flats and colours are RGB with 8 where the pass says nothing else."""
    coloured = pass_.returns in ("flats", "colour")
    mode = pass_.mode or ("rgb" if coloured else None)
    return mode, 1 if mode == "1" else 8 if coloured else None
