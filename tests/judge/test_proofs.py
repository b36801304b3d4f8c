"""The order of a proof's sheets against what was delivered."""

from __future__ import annotations

import random

from ledger.judge.lending.proofs import astray, blanks_between, by_place, not_there, runs, settled
from ledger.model.proof import Astray

PAGES = [str(n) for n in range(1, 13)]


def test_a_proof_in_order_has_nothing_to_say() -> None:
    assert astray(PAGES, PAGES) == []
    assert astray([], []) == []


def test_a_missing_page_is_named_and_the_others_keep_their_order() -> None:
    assert astray(PAGES, PAGES[:4] + PAGES[5:]) == [Astray("missing", "5")]


def test_of_a_doubled_page_the_sheet_out_of_order_is_the_one_too_many() -> None:
    assert astray(PAGES, [*PAGES[:3], "9", *PAGES[3:]]) == [Astray("doubled", "9", 4, also=10)]
    assert astray(PAGES, [*PAGES[:6], "6", *PAGES[6:]]) == [Astray("doubled", "6", 7, also=6)]
    found = astray(PAGES, [*PAGES[:6], "6", *PAGES[6:]])
    assert [(each.kind, each.page) for each in found] == [("doubled", "6")]


def test_two_pages_in_each_others_place_are_one_thing() -> None:
    seen = list(PAGES)
    seen[3], seen[7] = seen[7], seen[3]
    assert astray(PAGES, seen) == [Astray("swapped", "4", 8, "8", also=4)]
    seen = ["2", "1", *PAGES[2:]]
    assert astray(PAGES, seen) == [Astray("swapped", "1", 2, "2", also=1)]


def test_a_page_put_elsewhere_is_one_thing() -> None:
    seen = [*PAGES[:2], *PAGES[3:9], "3", *PAGES[9:]]
    assert astray(PAGES, seen) == [Astray("out-of-order", "3", 9, after="9", due="2")]
    seen = ["7", *PAGES[:6], *PAGES[7:]]
    assert astray(PAGES, seen) == [Astray("out-of-order", "7", 1, due="6")]


def test_a_page_is_not_surely_missing_while_a_sheet_is_not_known() -> None:
    seen = [*PAGES[:4], None, *PAGES[5:]]
    assert astray(PAGES, seen) == [Astray("unknown", "", 5), Astray("missing", "5", unsure=True)]
    assert astray(PAGES, [*PAGES, "77"]) == [Astray("unknown", "", 13)]


def test_every_page_is_accounted_for_whatever_comes() -> None:
    chance = random.Random(7)
    for _ in range(300):
        seen = [chance.choice([*PAGES, None]) for _ in range(chance.randrange(20))]
        found = astray(PAGES, seen)
        missing = {each.page for each in found if each.kind == "missing"}
        assert missing == set(PAGES) - {page for page in seen if page}
        known = [page for page in seen if page]
        assert sum(each.kind == "doubled" for each in found) == len(known) - len(set(known))
        assert sum(each.kind == "unknown" for each in found) == len(seen) - len(known)


def test_of_several_pages_that_a_sheet_may_be_it_is_the_one_whose_turn_it_is() -> None:
    twins = ("2", "5")
    assert settled(PAGES[:6], [("1",), twins, ("3",), ("4",), twins, ("6",)]) == ["1", "2", "3", "4", "5", "6"]
    assert settled(PAGES[:6], [("1",), ("3",), ("4",), twins, ("6",)]) == ["1", "3", "4", "5", "6"]
    assert settled(PAGES[:3], [("1",), twins, twins, ("3",)]) == ["1", "2", "2", "3"], "one too many"
    assert settled(PAGES[:3], [(), ("1",)]) == [None, "1"]


def test_a_bare_sheet_is_a_bare_page_only_in_its_turn() -> None:
    bare = ("2",)
    assert settled(PAGES[:4], [("1",), bare, ("3",), ("4",)], loose=[1]) == ["1", "2", "3", "4"]
    assert settled(PAGES[:4], [("1",), ("3",), ("4",), bare], loose=[3]) == ["1", "3", "4", None]
    assert settled(PAGES[:4], [bare, ("1",), bare, ("3",), bare], loose=[0, 2, 4]) == [None, "1", "2", "3", None]


def test_a_page_is_not_there_where_an_unread_sheet_lies_in_its_place() -> None:
    seen = {1: "1", 3: "3", 4: "5", 6: "8"}
    missing = [Astray("missing", page) for page in ("2", "4", "6", "7")]
    found = not_there(missing, PAGES[:8], seen, [2, 5])
    assert found == [
        Astray("not-read", "2", 2), Astray("missing", "4", unsure=True), Astray("not-read", "6", 5),
        Astray("missing", "7", unsure=True),
    ]  # fmt: skip
    assert not_there(missing[:1], PAGES[:8], seen, []) == missing[:1]
    strange = not_there(missing[:2], PAGES[:8], seen, [], [2])
    assert strange == [Astray("missing", "2", also=2), Astray("missing", "4")]


def test_a_bare_sheet_between_two_pages_is_told_and_none_at_the_ends() -> None:
    seen = {2: "f1", 4: "1", 6: "2", 9: "3"}
    found = blanks_between(seen, [1, 3, 5, 7, 8, 10])
    assert [(each.sheet, each.after, each.due) for each in found] == [(5, "1", "2"), (7, "2", "3"), (8, "2", "3")]


def test_a_whole_folded_sheet_is_one_thing() -> None:
    book = [str(n) for n in range(1, 65)]
    first, second, third = book[:16], book[16:32], book[32:]
    assert _told(book, [*first, *third]) == [("missing", "17", "32")]
    assert _told(book, [*first, *second, *second, *third]) == [("doubled", "17", "32")]
    swapped = [*first, *book[32:48], *second, *book[48:]]
    assert _told(book, swapped) == [("swapped", "17", "32")]
    assert _told(book, [*first, *third, *second]) == [("out-of-order", "17", "32")]
    assert _told(book, [*book[:4], *book[5:9], *book[10:]]) == [("missing", "5", "5"), ("missing", "10", "10")]


def _told(book: list[str], seen: list[str]) -> list[tuple[str, str, str]]:
    found = runs(list(by_place(astray(book, seen))), book)
    return [(run.kind, run.first.page, run.last.page) for run in found]
