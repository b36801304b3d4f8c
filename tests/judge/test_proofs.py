"""The order of a proof's sheets against what was delivered."""

from __future__ import annotations

import random

from ledger.judge.proofs import Astray, astray

PAGES = [str(n) for n in range(1, 13)]


def test_a_proof_in_order_has_nothing_to_say() -> None:
    assert astray(PAGES, PAGES) == []
    assert astray([], []) == []


def test_a_missing_page_is_named_and_the_others_keep_their_order() -> None:
    assert astray(PAGES, PAGES[:4] + PAGES[5:]) == [Astray("missing", "5")]


def test_of_a_doubled_page_the_sheet_out_of_order_is_the_one_too_many() -> None:
    assert astray(PAGES, [*PAGES[:3], "9", *PAGES[3:]]) == [Astray("doubled", "9", 4)]
    found = astray(PAGES, [*PAGES[:6], "6", *PAGES[6:]])
    assert [(each.kind, each.page) for each in found] == [("doubled", "6")]


def test_two_pages_in_each_others_place_are_one_thing() -> None:
    seen = list(PAGES)
    seen[3], seen[7] = seen[7], seen[3]
    assert astray(PAGES, seen) == [Astray("swapped", "4", 8, "8")]
    seen = ["2", "1", *PAGES[2:]]
    assert astray(PAGES, seen) == [Astray("swapped", "1", 2, "2")]


def test_a_page_put_elsewhere_is_one_thing() -> None:
    seen = [*PAGES[:2], *PAGES[3:9], "3", *PAGES[9:]]
    assert astray(PAGES, seen) == [Astray("out-of-order", "3", 9)]


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
