"""The ledger read out: what every kind of entry says, in a sentence."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.entry import Alteration, Delivery, Entry, Handoff, Lock, Reopen, Round
from ledger.render.plain import columns
from ledger.render.rounds_text import day_of, entry_sentence, listed, rounds_document, rounds_text

WHEN = datetime.fromisoformat("2026-03-02T17:20:00+01:00")


def common(stem: str, number: int) -> dict[str, Any]:
    return {"path": f"ledger/{stem}-{number}.toml", "number": number, "date": WHEN, "by": "Ines <ines@example.org>"}


def a_round(**more: Any) -> Round:
    return Round(**{**common("inks", 3), "pass_name": "inks", **more})


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        (a_round(), "inks-3 was entered by Ines."),
        (a_round(message="chapter one"), "inks-3 was entered by Ines: chapter one."),
        (a_round(pages="1-2,5"), "inks-3, pages 1-2, 5, was entered by Ines."),
        (a_round(by="<ines@example.org>"), "inks-3 was entered by <ines@example.org>."),
        (a_round(by="Ines"), "inks-3 was entered by Ines."),
        (a_round(basis={"script": "script-4", "pencils": "pencils-2"}),
         "inks-3 was entered by Ines. Made from script-4 and pencils-2."),
        (a_round(stands="still good"), "inks-3 was entered by Ines. Looked at and found good as it stood."),
        (a_round(dated="stated"),
         "inks-3 was entered by Ines. An older draft, brought in later; its date is as stated."),
        (Lock(**common("lock-inks", 1), pass_name="inks", scopes=("structure", "drawing")),
         "lock-inks-1 signed inks off, by Ines: structure and drawing of all pages closed."),
        (Lock(**common("lock-inks", 1), pass_name="inks", scopes=("drawing",), pages="1-24", message="locked",
              approved_by="E. Marsh", how="by mail"),
         "lock-inks-1 signed inks off, by Ines: drawing of pages 1-24 closed: locked. Approved by E. Marsh (by mail)."),
        (Alteration(**common("alteration", 2), reason="the lamp must be lit", alteration_class="EA", pages="3",
                    asked_by="E. Marsh", scopes=("drawing",)),
         "alteration-2 admitted a late change on page 3, drawing, EA (editor's): the lamp must be lit."
         " Asked for by E. Marsh."),
        (Alteration(**common("alteration", 2), reason="x", alteration_class="ZZ"),
         "alteration-2 admitted a late change on all pages, ZZ (no known class): x."),
        (Reopen(**common("reopen", 1), reason="redrawn", pages="60-84", passes=("inks", "letters", "flats")),
         "reopen-1 opened pages 60-84 of inks, letters and flats again, AA (author's): redrawn."),
        (Handoff(**common("handoff", 1), pass_name="inks", to="Bo", pages="1-12", message="flats please"),
         "handoff-1: pages 1-12 of inks went to Bo: flats please."),
        (Handoff(**common("handoff", 2), pass_name="inks", to="Bo", returns=1, pages="cover"),
         "handoff-2: the cover of inks came back from Bo (handoff-1)."),
        (Handoff(**common("handoff", 3), pass_name="script", to="Marsh", packet=True),
         "handoff-3: a packet of script went to Marsh."),
        (Delivery(**common("delivery", 1), passes=("letters",), pages="1-160"),
         "delivery-1 delivered letters, pages 1-160, by Ines."),
    ],
)  # fmt: skip
def test_what_an_entry_says(entry: Entry, said: str) -> None:
    assert entry_sentence(entry) == said


@pytest.mark.parametrize("words", ["The lamp is lit.", "Why not?", "Cut!", "and then …", "She said: “No.”"])
def test_words_that_end_a_sentence_get_no_second_stop(words: str) -> None:
    assert entry_sentence(a_round(message=words)).endswith(f"by Ines: {words}")
    assert entry_sentence(Alteration(**common("alteration", 1), reason=words)).endswith(f": {words}")
    handed = Handoff(**common("handoff", 1), pass_name="inks", to="Bo", message=words)
    assert entry_sentence(handed).endswith(f"went to Bo: {words}")


def test_words_on_several_lines_are_one_sentence() -> None:
    told = entry_sentence(a_round(message="one\ntwo\x1b[31m"))
    assert told == "inks-3 was entered by Ines: one two\\x1b[31m."


def test_days_in_the_margin() -> None:
    told = rounds_text("The Salt Lantern", [a_round(message="word " * 30), a_round(date=date(2026, 12, 24))])
    rows = told.split("\n")
    assert rows[:2] == ["The Salt Lantern", ""]
    assert rows[2].startswith(" 2 Mar 2026  inks-3 was entered")
    assert rows[3].startswith(" " * 13 + "word") and rows[-1].startswith("24 Dec 2026  inks-3")


@pytest.mark.parametrize(
    ("of", "said"), [("", "Nothing has been entered yet."), ("page 3", "Nothing has been entered for this yet.")]
)
def test_nothing_entered(of: str, said: str) -> None:
    head = "The Salt Lantern" + (f": {of}" if of else "")
    assert rounds_text("The Salt Lantern", iter(()), of) == f"{head}\n\n{said}"


@pytest.mark.parametrize(
    ("names", "told"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_names_in_a_sentence(names: list[str], told: str) -> None:
    assert listed(names) == told


@given(st.dates())
def test_a_day_is_as_long_as_any_other(when: date) -> None:
    told = day_of(a_round(date=when))
    assert told.split() == [str(when.day), told.split()[1], str(when.year)] and 8 <= len(told) <= 11


def test_the_document_names_every_entry() -> None:
    (told,) = rounds_document([a_round(pages="1")])["entries"]
    assert told == {
        "name": "inks-3",
        "date": "2026-03-02T17:20:00+01:00",
        "by": "Ines <ines@example.org>",
        "pages": "1",
        "text": "inks-3, page 1, was entered by Ines.",
    }


@given(st.text(max_size=60), st.text(max_size=60))
def test_every_row_fits(title: str, message: str) -> None:
    for row in rounds_text(title, [a_round(message=message)], "inks").split("\n"):
        assert columns(row) <= 80
