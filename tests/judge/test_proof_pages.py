"""Which pages a proof is of, and what is said of its sheets."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.judge.lending.proof_findings import key_of, proof_findings, run_said
from ledger.judge.lending.proof_pages import Judged, Place, View, judged, likeliest
from ledger.model.proof import Astray, Proof, ProofSheet, Run

BOOK = [("letters", str(number)) for number in range(1, 9)]


def views(*labels: str, pass_name: str = "letters") -> list[View]:
    return [View(at, ((pass_name, label),) if label else ()) for at, label in enumerate(labels, 1)]


def told(places: Sequence[Place], seen: Sequence[View]) -> list[tuple[str, str, int]]:
    return [(each.kind, each.page, each.sheet) for run in judged(places, seen).runs for each in run.every]


def test_the_set_of_pages_with_the_fewest_misses_is_meant() -> None:
    parts = [BOOK[4:], BOOK[:4], BOOK]
    assert likeliest(parts, views("5", "6", "8")) == 0
    assert likeliest(parts, views("1", "2", "3", "4", "")) == 1
    assert likeliest(parts, views("1", "2", "3", "4", "5", "6", "7", "8")) == 2
    assert likeliest([BOOK, BOOK], views("1")) == 0, "of two as good the first"


def test_a_page_of_another_delivery_is_too_many_and_named() -> None:
    seen = [*views("1", "2"), View(3, (("letters", "7"),), entry="delivery-2")]
    (run,) = judged(BOOK[:2], seen).runs
    assert run.first == Astray("unknown", "", 3, "7", entry="delivery-2")


def test_the_cover_may_come_first_or_last_and_nowhere_else() -> None:
    book = [("letters", "cover"), *BOOK[:3]]
    assert told(book, views("cover", "1", "2", "3")) == told(book, views("1", "2", "3", "cover")) == []
    assert told(book, views("1", "cover", "2", "3"))[0][0] in ("swapped", "out-of-order")


def test_a_spread_counts_as_two_pages_where_it_came_on_two_sheets() -> None:
    book = [*BOOK[:1], ("letters", "2-3"), *BOOK[3:4]]
    assert judged(book, views("1", "2-3", "4")).pages == ("1", "2-3", "4")
    assert judged(book, views("1", "2", "3", "4")).pages == ("1", "2", "3", "4")
    assert told(book, views("1", "2", "4")) == [("missing", "3", 0)]


def test_passes_of_the_same_pages() -> None:
    book = sorted([*BOOK[:4], *(("inks", label) for _, label in BOOK[:4])], key=lambda place: place[1])
    inks = views("1", "2", "3", "4", pass_name="inks")
    assert told(book, [*inks[:2], *views("1", "2", "3", "4")[2:]]) == []
    letters = [view._replace(sheet=view.sheet + 4) for view in views("1", "2", "3", "4")]
    found: Judged = judged(book, [*inks, *letters])
    assert found.runs == () and found.pages[:2] == ("1 (inks)", "2 (inks)") and found.pages[4] == "1 (letters)"
    first = [view._replace(sheet=at) for at, view in enumerate([*letters, *inks], 1)]
    assert told(book, first) == []
    assert told(book, [*inks[:3], *letters]) == [("missing", "4 (inks)", 0)]


def test_a_page_that_is_bare_is_found_in_its_turn_and_a_black_sheet_is_not_known() -> None:
    seen = [*views("1"), View(2, (BOOK[1],), flat=252.0), View(3, (BOOK[2],)), View(4, flat=250.0), View(5, flat=3.0)]
    found = judged(BOOK[:3], seen)
    assert found.shown == ("1", "2", "3", "", "") and found.blank == {4}
    assert [(run.kind, run.first.sheet) for run in found.runs] == [("unknown", 5)]


def test_an_unread_sheet_stands_for_the_page_whose_place_it_has() -> None:
    unread = [View(1, unread=True), *(view._replace(sheet=view.sheet + 1) for view in views("1", "2", "4"))]
    assert told(BOOK[:4], unread) == [("unread", "", 1), ("missing", "3", 0)]
    seen = [*views("1", "2"), View(3, unread=True), View(4, (BOOK[3],))]
    assert told(BOOK[:4], seen) == [("not-read", "3", 3)]


def test_a_page_once_too_often_may_stand_where_another_is_missing() -> None:
    (doubled,), (missing,) = (run.every for run in judged(BOOK[:5], views("1", "2", "3", "2", "5")).runs)
    assert (doubled.kind, doubled.sheet, missing.page, missing.also) == ("doubled", 4, "4", 4)


def test_every_kind_has_a_sentence_a_way_out_and_a_rule() -> None:
    sheets = tuple(ProofSheet(number, f"s-{number}.jpg", unread="is damaged", seen=str(number)) for number in range(9))
    kinds = ("missing", "not-read", "doubled", "swapped", "out-of-order", "upside-down", "mirrored", "older", "unknown",
             "blank", "unread")  # fmt: skip
    for kind in kinds:
        page = "" if kind in ("unknown", "blank", "unread") else "3"
        each = Astray(kind, page, 4, "5" if kind in ("swapped", "unknown") else "", also=2, after="3", due="2",
                      entry="delivery-1" if kind == "older" else "")  # fmt: skip
        message, remedy = run_said(Run((each,)), sheets)
        assert "page" in message or "sheet" in message, kind
        assert remedy and not remedy.endswith(".")
        proof = Proof("B", ("delivery-1",), ("letters",), ("3",), sheets, (Run((each,)),))
        (finding,) = proof_findings(proof)
        assert finding.message == message and finding.level == ("query" if "read" in kind else "block")
        assert proof.right == []
    two = run_said(Run((Astray("missing", "3"), Astray("missing", "4"))), sheets)
    strange = Run((Astray("unknown", "", 2), Astray("unknown", "", 3)))
    assert run_said(strange, sheets)[0] == "sheets 2-3 show no page that was delivered"
    assert two == ("pages 3-4 are on none of the sheets", "have them put in")


def test_the_key_of_a_strange_sheet_is_what_it_shows_not_where_it_lies() -> None:
    def key(number: int, seen: str) -> tuple[str, ...]:
        return key_of(Run((Astray("unknown", "", number),)), [ProofSheet(number, "x.jpg", seen=seen)])

    assert key(3, "ab") == key(9, "ab") != key(3, "cd")
