"""`weigh`: a "what if" says the same as the edit itself, work to do page by page, sign-offs in the way."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as some

from ledger.desk.arithmetic.weighing import Asked, weigh
from ledger.model.errors import Refusal
from ledger.plan.weight import Weight
from ledger.render.arithmetic.weigh_document import weigh_document
from tests.plan.typed import page_text
from tests.typed_book import TypedBook

TODAY = date(2026, 3, 27)
PAGES, SPREADS, REVEALS = 14, (4, 10), (2, 8, 12)
TOML = """\
[book]
title = "The Weir"
pages = 14
front_matter = 2
signature = 8

[[pass]]
name = "script"
kind = "text"
files = "script/*.md"

[[pass]]
name = "pencils"
kind = "art"
files = "art/pencils/p{page}.png"
from = ["script"]
locks = ["structure"]
per_day = 1

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
from = ["pencils", "script"]
locks = ["structure", "drawing"]
per_day = 2

[[pass]]
name = "letters"
kind = "art"
files = "art/letters/p{page}.png"
from = ["inks"]
locks = ["wording"]
"""


def labels() -> Iterator[tuple[int, ...]]:
    number = 1
    while number <= PAGES:
        yield (number, number + 1) if number in SPREADS else (number,)
        number += 2 if number in SPREADS else 1


def script(order: list[tuple[str, tuple[int, ...]]]) -> str:
    """The script of pages in this order: what stands on each, and the old numbers it had (or a new page's two)."""
    parts, at = ["# Chapter 1: The weir"], 1
    for told, old in order:
        parts.append(page_text(at, wide=len(old) > 1, reveal=old[0] in REVEALS, words=told))
        at += len(old)
    return "\n\n".join(parts) + "\n"


BEGINS = ("bar", "cor", "dun", "fal", "gul", "hes", "kin", "lom", "mar", "nel", "pol", "quay", "rud", "sel", "tarn")
ENDS = ("ford", "ing", "ock", "ley", "mere")


def words(tag: int) -> str:
    """What stands on a page: two lines of its own, of names that hardly any other page has."""
    dice = Random(tag)
    told = [dice.choice(BEGINS) + dice.choice(ENDS) + dice.choice(ENDS) for _ in range(16)]
    return f"{' '.join(told[:8]).capitalize()}.\n\nGATE: {' '.join(told[8:]).capitalize()}."


def old_order() -> list[tuple[str, tuple[int, ...]]]:
    return [(words(old[0]), old) for old in labels()]


@pytest.fixture(scope="module")
def weir(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Script and pencils whole, inks to page 6, pages 1-3 of the pencils signed off."""
    book = TypedBook(tmp_path_factory.mktemp("weighed") / "weir")
    book.write("book.toml", TOML)
    book.ledger("init", "--yes")
    book.write("script/01.md", script(old_order()))
    book.ledger("enter", "script", "-m", "first draft")
    for old in labels():
        book.draw("pencils", "-".join(f"{n:03}" for n in old), old[0])
    book.ledger("enter", "pencils", "-m", "whole")
    for old in labels():
        if old[0] <= 6:
            book.draw("inks", "-".join(f"{n:03}" for n in old), old[0] + 30)
    book.ledger("enter", "inks", "-m", "to page 6")
    book.ledger("lock", "pencils", "--pages", "1-3", "-m", "the opening stands")
    return book


def document(weight: Weight) -> dict[str, Any]:
    return weigh_document(weight)


#: (pages added, behind which page that ends a page of the script), pages of the script that are cut.
CHANGES = some.tuples(
    some.dictionaries(some.sampled_from([0, *(old[-1] for old in labels())]), some.integers(1, 3), max_size=2),
    some.sets(some.sampled_from(list(labels())), max_size=4),
)


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(CHANGES)
def test_what_if_is_what_the_edit_itself_costs(
    weir: TypedBook, change: tuple[dict[int, int], set[tuple[int, ...]]]
) -> None:
    """A page put in the place of one that is cut is left out: a script can't tell that from a page written anew."""
    adds, cuts = change
    gone = {page for old in cuts for page in old}
    adds = {after: count for after, count in adds.items() if not {after, after + 1} & gone}
    assume((adds or cuts) and len(cuts) < len(list(labels())))
    asked = Asked(
        tuple(f"{count}@{after}" for after, count in adds.items()),
        tuple(f"{old[0]}-{old[-1]}" for old in sorted(cuts)),
    )
    weir.write("script/01.md", script(old_order()))
    supposed = document(weigh(weir.top, (), asked, TODAY))
    order: list[tuple[str, tuple[int, ...]]] = []
    for told, old in [("", (0,)), *old_order()]:
        order += [] if old in cuts or old == (0,) else [(told, old)]
        order += [(words(1000 + 10 * old[-1] + count), (900 + count,)) for count in range(adds.get(old[-1], 0))]
    weir.write("script/01.md", script(order))
    assert document(weigh(weir.top, ("script-1",), Asked(), TODAY)) == supposed


def _what_if(weir: TypedBook, *, add: str = "", cut: str = "", move: str = "") -> Weight:
    weir.write("script/01.md", script(old_order()))
    typed = [(each,) if each else () for each in (add, cut, move)]
    return weigh(weir.top, (), Asked(*typed), TODAY)


def test_a_new_page_is_made_in_every_pass_that_has_a_round(weir: TypedBook) -> None:
    told = document(_what_if(weir, add="1@14"))["redo"]
    assert [(each["pass"], each["pages"], each["rate"]) for each in told] == [
        ("pencils", ["15"], "stated"), ("inks", ["15"], "stated"),
    ]  # fmt: skip
    assert [each["days"]["likely"] for each in told] == [1, 0.5]


def test_without_a_pace_the_days_are_there_and_empty(weir: TypedBook) -> None:
    toml = (weir.top / "book.toml").read_text()
    weir.write("book.toml", "\n".join(line for line in toml.splitlines() if not line.startswith("per_day")))
    told = document(_what_if(weir, add="1@14"))["redo"]
    assert [(each["rate"], each["days"]) for each in told] == [
        ("none", {"early": None, "likely": None, "late": None}),
    ] * 2


def test_pages_carried_elsewhere(weir: TypedBook) -> None:
    told = document(_what_if(weir, move="4-5@9"))
    assert told["spreads"] == [
        {"old": "4-5", "new": "8-9", "broken": False}, {"old": "10-11", "new": "10-11", "broken": False},
    ]  # fmt: skip
    assert [each["new"] for each in told["reveals"]] == ["2", "6", "12"]
    assert told["pages"] == {"added": [], "cut": [], "flipped": []}


def test_a_sign_off_is_in_the_way_of_what_it_closes(weir: TypedBook) -> None:
    assert document(_what_if(weir, add="1@2"))["locks"] == ["lock-pencils-1"]
    assert document(_what_if(weir, cut="3"))["locks"] == ["lock-pencils-1"]
    assert document(_what_if(weir, add="1@6"))["locks"] == []
    (lock,) = _what_if(weir, cut="3").locks
    assert (lock.scopes, lock.pages) == (("structure",), "3")


FIRST_OF_SIX = words(6).partition("\n")[0]


def test_redrawn_action_reaches_as_far_as_the_passes_go(weir: TypedBook) -> None:
    weir.write("script/01.md", script(old_order()).replace(FIRST_OF_SIX, f"{FIRST_OF_SIX} It rains."))
    told = {each.pass_name: each for each in weigh(weir.top, ("script-1",), Asked(), TODAY).redo}
    assert {name: each.pages for name, each in told.items()} == {"pencils": (6,), "inks": (6,)}
    assert told["inks"].why == {6: "its pencils are to be made again"}


def test_what_was_only_renumbered_is_not_made_again(weir: TypedBook) -> None:
    weir.write("script/01.md", script(old_order()[1:]))
    assert weigh(weir.top, ("script-1",), Asked(), TODAY).redo == ()


def test_two_drafts_without_a_book(tmp_path: Path) -> None:
    (tmp_path / "old.md").write_text(script(old_order()), "utf-8")
    (tmp_path / "new.md").write_text(script(old_order()[:-1]), "utf-8")
    told = document(weigh(tmp_path, ("old.md", "new.md"), Asked(), TODAY))
    assert told["pages"]["cut"] == ["14"]
    assert (told["redo"], told["locks"]) == ([], [])


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Asked(("1@15",)), "there is no page 15: the story has pages 1 to 14"),
        (Asked(("x@2",)), "--add 'x@2' can't be read"),
        (Asked(("0@2",)), "--add '0@2' can't be read"),
        (Asked((), ("7-5",)), "--cut '7-5' can't be read"),
        (Asked((), ("",)), "--cut '' can't be read"),
        (Asked((), (), ("3-5",)), "--move '3-5' can't be read"),
        (Asked((), (), ("3-5@4",)), "pages 3-5 can't be moved behind one of themselves"),
        (Asked((), ("3",), ("3-5@9",)), "pages 3-5 can't be moved twice, or moved and cut"),
        (Asked((), (), ("3-5@9", "9@4")), "these runs of pages would each stand behind the other"),
    ],
)
def test_a_what_if_that_can_not_be(weir: TypedBook, asked: Asked, said: str) -> None:
    weir.write("script/01.md", script(old_order()))
    with pytest.raises(Refusal) as refused:
        weigh(weir.top, (), asked, TODAY)
    assert refused.value.message == said
