"""Where the book stands, as a terminal shows it."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.finding import Finding
from ledger.model.standing import Away, NextStep, PageCount, PassStanding, SignedOff, Standing
from ledger.render.plain import columns
from ledger.render.status_text import STEPS, status_text


def row(standing: PassStanding) -> str:
    """The row of one pass, blanks folded."""
    return " ".join(status_text(Standing("The Salt Lantern", (standing,))).split("\n")[3].split())


@pytest.mark.parametrize(
    ("standing", "told"),
    [
        (PassStanding("outline", "text"), "outline none - - -"),
        (PassStanding("script", "text", 4, words=4210), "script 4 4,210 words - as entered"),
        (PassStanding("script", "text", None, changed=1, words=1), "script none 1 word - 1 file not entered"),
        (PassStanding("inks", "art", 2, PageCount(160, 24)), "inks 2 24 of 160 pages - as entered"),
        (PassStanding("inks", "art", None, PageCount(1, 0)), "inks none 0 of 1 page - -"),
        (PassStanding("inks", "art", 2, PageCount(9, 3), changed=2), "inks 2 3 of 9 pages - 2 files changed"),
        (PassStanding("inks", "art", 2, PageCount(9, 3, ("1", "2", "7"))), "inks 2 3 of 9 pages - stale: p1-2,7"),
        (PassStanding("inks", "art", 2, PageCount(9, 3, ("f1",)), changed=1),
         "inks 2 3 of 9 pages - stale: f1; 1 file changed"),
    ],
)  # fmt: skip
def test_a_row_for_each_pass(standing: PassStanding, told: str) -> None:
    assert row(standing) == told


@pytest.mark.parametrize(
    ("locks", "told"),
    [
        ([(None, ("structure",))], "all: structure"),
        ([("1-24", ("structure", "drawing"))], "p1-24: structure, drawing"),
        ([("1-2", ("wording",)), ("5", ("wording",))], "p1-2,5: wording"),
        ([("1-2", ("wording",)), (None, ("wording",))], "all: wording"),
        ([("1", ("wording",)), ("1", ("drawing",))], "p1: wording; p1: drawing"),
        ([("f1", ("drawing",))], "f1: drawing"),
    ],
)
def test_what_is_signed_off(locks: list[tuple[str | None, tuple[str, ...]]], told: str) -> None:
    signed = tuple(SignedOff(f"lock-inks-{n}", pages, scopes) for n, (pages, scopes) in enumerate(locks, 1))
    text = status_text(Standing("x", (PassStanding("inks", "art", 1, PageCount(9, 9), signed),)))
    rows = text.split("\n\n")[1].split("\n")
    start = rows[0].index("signed off")
    cells = [each[start : rows[0].index("now")].strip() for each in rows[1:]]
    assert " ".join(cell for cell in cells if cell) == told


def test_notes_in_the_order_of_their_states() -> None:
    told = status_text(Standing("x", notes={"carried": 1, "open": 3, "query": 2, "stet": 0}))
    assert "\nNotes: 3 open, 2 asked back, 1 carried.\n" in told
    assert "\nNotes: none.\n" in status_text(Standing("x", notes={"open": 0}))


def test_who_has_what_since_when() -> None:
    away = (
        Away("handoff-1", "inks", "1-12", "Ines", date(2026, 3, 2)),
        Away("handoff-2", "flats", None, "Bo", date(2026, 4, 1)),
    )
    told = status_text(Standing("x", away=away))
    assert "With Ines since 2 March 2026: pages 1-12 of inks (handoff-1).\n" in told
    assert "With Bo since 1 April 2026: all pages of flats (handoff-2).\n" in told


def test_steps_with_their_commands() -> None:
    steps = tuple(NextStep(f"Step {n}", "because", f"inkledger enter inks -m {n}") for n in range(1, STEPS + 3))
    told = status_text(Standing("x", next=steps))
    assert "To do next\n  Step 1: because.\n    inkledger enter inks -m 1\n" in told
    assert f"Step {STEPS}" in told and f"Step {STEPS + 1}" not in told
    assert told.endswith("  and 2 more (status --json names all)")
    assert "more (status" not in status_text(Standing("x", next=steps[:STEPS]))
    assert status_text(Standing("x")).endswith("Nothing is waiting.")


def test_findings_stand_last() -> None:
    told = status_text(
        Standing("x", findings=(Finding("note-unread", "query", "this can't be read", "notes/a.md", 3),))
    )
    assert told.endswith("look: note-unread notes/a.md:3\n  this can't be read\n1 to look at.")


def test_a_command_is_never_broken() -> None:
    command = f'inkledger enter inks --pages {",".join(str(n) for n in range(1, 80, 2))} -m "still good"'
    assert f"\n    {command}" in status_text(Standing("x", next=(NextStep("Look", "why", command),)))


WORDS = st.text(st.characters(codec="utf-8"), min_size=1, max_size=50)


@given(WORDS, WORDS, st.sets(st.integers(1, 200).map(str), max_size=60), st.integers(0, 10**7))
def test_every_row_fits_and_nothing_steers_the_terminal(title: str, name: str, stale: set[str], changed: int) -> None:
    locks = tuple(SignedOff("l", page, ("structure", "wording", "drawing")) for page in sorted(stale)[:9])
    passes = (PassStanding(name, "art", 1, PageCount(200, 100, tuple(stale)), locks, changed),)
    told = status_text(Standing(title, passes, away=(Away("handoff-1", "inks", None, name, date(2026, 3, 2)),)))
    assert all(columns(line) <= 80 for line in told.split("\n"))
    assert all(sign == "\n" or sign.isprintable() or ord(sign) > 0x9F for sign in told)
