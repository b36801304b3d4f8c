"""Who speaks in a draft and is not in the cast, and how they would be written into it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.desk.arriving.speakers import as_people, unknown_speakers
from ledger.model.book import Person
from ledger.read.script import read_script

CAST = (Person("W", "Wren"), Person("T", "Tomas Arde", ("Tom",)))


def unknown(script: str, cast: tuple[Person, ...] = CAST) -> dict[str, int]:
    lines = read_script([("script/01.md", f"# One\n\n{script}\n".encode())], cast).lines
    return dict(unknown_speakers(lines, cast))


@pytest.mark.parametrize(
    ("script", "found"),
    [
        ("W: Yes.\n\nTom: No.\n\nWREN: Yes.", {}),
        ("ADA: Who?\n\nADA: Me.\n\nW: You.", {"ADA": 2}),
        ("CAP: Night.\n\nSFX: KRRK\n\nALL: Run!\n\nRADIO: Static.", {}),
        ("Ada: Who?\n\nAda: Me.", {"Ada": 2}),
        ("Ada: Who?", {}),
        ("Old Man (off): Who?\n\nOld Man: Me.", {"Old Man": 2}),
        ("later that night: rain.\n\nlater that night: more rain.", {}),
        ("Note: the lamp.\n\nNight falls. Wren: a shout.", {}),
        ("", {}),
    ],
)
def test_who_is_unknown(script: str, found: dict[str, int]) -> None:
    assert unknown(script) == found


def test_without_a_cast_everybody_is() -> None:
    assert unknown("WREN: Yes.\n\nADA: No.\n\nWREN: Go.", ()) == {"WREN": 2, "ADA": 1}


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("WREN", "Wren"),
        ("OLD MAN", "Old Man"),
        ("O'BRIEN", "O'Brien"),
        ("MARY-ANN", "Mary-Ann"),
        ("Ada", "Ada"),
        ("A", "A"),
        ("DR. MARSH", "Dr. Marsh"),
        ("ÉMILE", "Émile"),
        ("NELL 2", "Nell 2"),
        ("de Witt", "de Witt"),
    ],
)
def test_a_shouted_name_in_small_letters(typed: str, name: str) -> None:
    assert as_people({typed: 3}, ()) == (Person(typed, name),)


def test_those_who_speak_most_come_first() -> None:
    assert [person.key for person in as_people({"ADA": 1, "MARSH": 9, "BO": 4}, CAST)] == ["MARSH", "BO", "ADA"]


def test_a_slip_of_a_known_name_is_no_new_person() -> None:
    assert as_people({"WRENN": 1}, CAST) == ()
    assert as_people({"WRENN": 2}, CAST) == (Person("WRENN", "Wrenn"),)
    assert [person.key for person in as_people({"MARSH": 5, "MARHS": 1, "TOMS": 1}, CAST)] == ["MARSH"]


def test_one_person_in_two_cases_is_one() -> None:
    assert as_people({"Ada": 2, "ADA": 5}, ()) == (Person("ADA", "Ada"),)


@given(st.dictionaries(st.text(min_size=1, max_size=9), st.integers(1, 9), max_size=6))
def test_nobody_is_written_twice_and_nobody_is_made_up(speakers: dict[str, int]) -> None:
    people = as_people(speakers, ())
    assert {person.key for person in people} <= set(speakers)
    folded = [person.key.casefold() for person in people]
    assert len(set(folded)) == len(folded)
    assert all(person.name for person in people)
    assert {key.casefold() for key, lines in speakers.items() if lines > 1} <= set(folded)
