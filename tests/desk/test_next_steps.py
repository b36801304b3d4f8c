"""What to do next: the steps, their order and the commands that do them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pytest

from ledger.desk.next_steps import next_steps
from ledger.model.book import Book, Pass
from ledger.model.entry import Entry, Round
from ledger.model.snapshot import FileAt, Snapshot
from ledger.model.stale import Stale, StalePage
from ledger.model.standing import PageCount, PassStanding, SignedOff
from ledger.read.state import BookState

PASSES = (
    Pass("outline", "text", ("outline/*.md",)),
    Pass("script", "text", ("script/*.md",), comes_from=("outline",)),
    Pass("pencils", "art", ("art/pencils/p{page}.png",), comes_from=("script",), locks=("structure",)),
    Pass("inks", "art", ("art/inks/p{page}.png",), comes_from=("pencils", "script"), locks=("drawing",)),
    Pass("flats", "art", ("art/flats/p{page}.png",), comes_from=("inks",)),
)


@dataclass(frozen=True)
class NoStore:
    """A book whose files nobody reads."""

    def read(self, file: FileAt) -> bytes:
        raise AssertionError(file.path)

    def blob(self, oid: str) -> bytes:
        raise AssertionError(oid)

    def warm(self, files: list[FileAt]) -> None:
        raise AssertionError(files)


def a_round(name: str, number: int, **basis: str) -> Round:
    return Round(
        path=f"ledger/{name}-{number}.toml", number=number, date=date(2026, 3, 2), by="Ada", pass_name=name, basis=basis
    )


def steps(
    *passes: PassStanding, notes: dict[str, int] | None = None, entries: tuple[Entry, ...] = ()
) -> list[tuple[str, str]]:
    """(what, command) of every step."""
    state = BookState(Snapshot(".", {}, NoStore()), Book("The Salt Lantern", 4, passes=PASSES), entries)
    return [(step.what, step.command) for step in next_steps(passes, notes or {}, state)]


def text(name: str, number: int | None = None, changed: int = 0) -> PassStanding:
    return PassStanding(name, "text", number, changed=changed)


def art(
    name: str,
    number: int | None = None,
    entered: int = 0,
    changed: int = 0,
    stale: tuple[str, ...] = (),
    locks: tuple[str | None, ...] = (),
) -> PassStanding:
    signed = tuple(SignedOff(f"lock-{name}-{n}", pages, ("structure",)) for n, pages in enumerate(locks, 1))
    return PassStanding(name, "art", number, PageCount(4, entered, stale), signed, changed)


def test_an_empty_book_begins_with_its_texts() -> None:
    assert steps(text("outline"), text("script"), art("pencils")) == [
        ("Write the outline", 'inkledger enter outline -m "first round"'),
        ("Write the script", 'inkledger enter script -m "first round"'),
    ]


def test_what_lies_there_is_entered_first() -> None:
    assert steps(text("outline"), text("script", changed=2), art("pencils")) == [
        ("Enter the first round of script", 'inkledger enter script -m "first round"')
    ]


def test_what_changed_is_looked_at_before_it_is_entered() -> None:
    assert steps(text("script", 4, changed=1)) == [
        ("See what changed in script", "inkledger compare script"),
        ("Enter it as script-5", 'inkledger enter script -m "what changed"'),
    ]


@pytest.mark.parametrize(
    ("stale", "page", "pages"),
    [(("3",), "page 3", "3"), (("1", "2", "4"), "pages 1-2,4", "1-2,4"), (("2-3",), "pages 2-3", "2-3")],
)
def test_stale_pages_are_looked_at_against_what_they_were_made_from(
    stale: tuple[str, ...], page: str, pages: str
) -> None:
    entries = (a_round("script", 1), a_round("script", 4), a_round("pencils", 2, script="script-1"))
    assert steps(art("pencils", 2, 4, stale=stale, locks=(None,)), entries=entries) == [
        (f"Look at pencils {page}", "inkledger compare script-1 script-4"),
        (f"Enter pencils {page} again", f'inkledger enter pencils --pages {pages} --stands -m "still good"'),
    ]


@pytest.mark.parametrize(
    ("reasons", "why"),
    [
        (["script-1, now script-2: panel 2 is new"] * 2, "it rests on script-1, now script-2: panel 2 is new"),
        (["script-1, now script-2: panel 2 is new", "pencils-1, now pencils-2: the page was redrawn"],
         "what it was made from has changed since"),
    ],
)  # fmt: skip
def test_why_stale_pages_are_looked_at(reasons: list[str], why: str) -> None:
    stale = Stale(tuple(StalePage("inks", str(page), because) for page, because in enumerate(reasons, 1)))
    state = BookState(Snapshot(".", {}, NoStore()), Book("The Salt Lantern", 4, passes=PASSES), ())
    first, *_ = next_steps([art("inks", 1, 4, stale=("1", "2"))], {}, state, stale)
    assert first.why == why


def test_stale_by_what_is_in_no_round_yet() -> None:
    entries = (a_round("script", 1), a_round("pencils", 1, script="script-1"))
    assert steps(art("pencils", 1, 4, stale=("1",), locks=(None,)), entries=entries)[0][1] == "inkledger compare"


def test_of_several_upstream_passes_the_one_that_moved_on_is_shown() -> None:
    entries = (
        a_round("script", 3),
        a_round("pencils", 1),
        a_round("pencils", 2),
        a_round("inks", 1, script="script-3", pencils="pencils-1"),
    )
    assert steps(art("inks", 1, 4, stale=("1",)), entries=entries)[0][1] == "inkledger compare pencils-1 pencils-2"


@pytest.mark.parametrize("notes", [{"open": 2}, {"query": 1}, {"open": 2, "query": 1, "done": 9}])
def test_notes_that_wait(notes: dict[str, int]) -> None:
    assert ("Go through the notes", "inkledger notes list") in steps(text("script", 1), notes=notes)


def test_settled_notes_ask_for_nothing() -> None:
    assert steps(text("script", 1), notes={"done": 3, "stet": 1, "open": 0}) == []


def test_a_whole_pass_that_closes_something_is_signed_off() -> None:
    assert steps(text("script", 1), art("pencils", 1, 4)) == [("Sign pencils off", "inkledger lock pencils")]
    assert steps(text("script", 1), art("flats", 1, 4)) == []


@pytest.mark.parametrize(
    "standing", [art("pencils", 1, 3), art("pencils", 1, 4, changed=1), art("pencils", 1, 4, stale=("1",))]
)
def test_what_is_not_whole_is_not_signed_off(standing: PassStanding) -> None:
    assert not [what for what, _ in steps(text("script", 1), standing) if what.startswith("Sign")]


@pytest.mark.parametrize(
    ("locks", "signed"),
    [
        ((None,), True),
        (("1-4",), True),
        (("1-2", "3-4"), True),
        (("1-2", "2-3"), False),
        (("f1-f2,1-2",), False),
        (("cover,1-3",), False),
        (("1-2",), False),
    ],
)
def test_signed_off_is_when_every_story_page_is(locks: tuple[str | None, ...], signed: bool) -> None:
    found = steps(text("script", 1), art("pencils", 1, 4, locks=locks))
    assert (("Sign pencils off", "inkledger lock pencils") not in found) is signed


def test_the_first_drawn_pass_whose_turn_it_is() -> None:
    script = text("script", 1)
    assert steps(script, art("pencils"), art("inks")) == [("Begin the pencils", "inkledger enter pencils")]
    assert steps(script, art("pencils", 1, 2), art("inks")) == [("Go on with the pencils", "inkledger enter pencils")]
    done = art("pencils", 1, 4, locks=(None,))
    assert steps(script, done, art("inks"), art("flats")) == [("Begin the inks", "inkledger enter inks")]
    assert steps(script, done, art("inks", 1, 4, locks=(None,)), art("flats", 1, 4)) == []


def test_a_drawn_pass_waits_for_the_one_it_is_made_from() -> None:
    assert steps(text("script", 1), art("pencils", None, changed=1), art("inks")) == [
        ("Enter the first round of pencils", 'inkledger enter pencils -m "first round"')
    ]


def test_everything_at_once_in_the_order_in_which_it_is_wanted() -> None:
    entries = (a_round("script", 1), a_round("script", 2), a_round("pencils", 1, script="script-1"))
    found = steps(
        text("script", 2, 1),
        art("pencils", 1, 4, stale=("2",)),
        art("inks", 1, 4),
        art("flats"),
        notes={"open": 1},
        entries=entries,
    )
    assert [what.split()[0] for what, _ in found] == ["See", "Enter", "Look", "Enter", "Go", "Sign", "Begin"]
