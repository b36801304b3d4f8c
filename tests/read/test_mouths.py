"""Who a key stands for, read by itself: with a cast nobody is made up, without one capitals will do."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.book import Person
from ledger.read.mouths import Mouth, Mouths

CAST = (Person("W", "Wren"), Person("T", "Tomas Arde", ("Tom",)), Person("CAP", "Captain Orr"))


def split(text: str, cast: tuple[Person, ...] = CAST) -> tuple[str, str, str] | None:
    """(speaker, cue, words), or None where the line is no speech."""
    found = Mouths(cast).split(text)
    return None if found is None else (found[0].speaker, found[0].cue, found[1])


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("W: Up.", ("Wren", "", "Up.")),
        ("W:Up.", ("Wren", "", "Up.")),
        ("W : Up.", ("Wren", "", "Up.")),
        ("W\tUp.", ("Wren", "", "Up.")),
        ("W：Up.", ("Wren", "", "Up.")),
        ("**W:** Up.", ("Wren", "", "Up.")),
        ("**W**: Up.", ("Wren", "", "Up.")),
        ("12. W: Up.", ("Wren", "", "Up.")),
        ("w: Up.", ("Wren", "", "Up.")),
        ("W (off): Up.", ("Wren", "off", "Up.")),
        ("W (CONT'D): Up.", ("Wren", "", "Up.")),
        ("W & Tom: Up.", ("Wren & Tomas Arde", "", "Up.")),
        ("W & Wren: Up.", ("Wren", "", "Up.")),
        ("ALL: Up.", ("ALL", "", "Up.")),
        ("CAP: Night.", ("", "CAP", "Night.")),
        ("CAP (Wren): Night.", ("Wren", "CAP", "Night.")),
        ("W: 12:30.", ("Wren", "", "12:30.")),
        ("W:", ("Wren", "", "")),
        ("W: a: b", ("Wren", "", "a: b")),
        ("12:30 at the quay", None),
        ("HTTP://quay.example", None),
        ("nobody: Up.", None),
        ("W & nobody: Up.", None),
        (": Up.", None),
        ("(W): Up.", None),
        ("PANEL: Up.", None),
        ("**W: Up.", None),
        ("W [x]: Up.", None),
        ("a" * 61 + ": Up.", None),
    ],
)
def test_a_line_and_its_mouth(text: str, found: tuple[str, str, str] | None) -> None:
    assert split(text) == found


def test_somebody_unknown_in_capitals_is_named_as_unknown() -> None:
    assert Mouths(CAST).mouth("ADA") == Mouth("dialogue", "ADA", "ADA", known=False, loose=True)
    assert Mouths(()).mouth("ADA") == Mouth("dialogue", "ADA", "ADA", known=True, loose=True)
    assert Mouths(()).mouth("Ada") is None


def test_a_name_alone_on_its_line() -> None:
    found = [Mouths(CAST).alone(text) for text in ("WREN", "**Wren**", "1. W", "Wren runs.", "W" * 61)]
    assert [mouth.speaker if mouth else None for mouth in found] == ["Wren", "Wren", "Wren", None, None]


@given(st.text(max_size=80), st.booleans())
def test_no_word_of_any_line_is_lost(text: str, cast: bool) -> None:
    mouths = Mouths(CAST if cast else ())
    found = mouths.split(text)
    if found is not None:
        mouth, words = found
        assert text.rstrip().endswith(words) or words in text
        assert mouth.key and mouth.role in ("dialogue", "caption", "sfx")
    assert mouths.split(text) == found, "asked again it says the same"
