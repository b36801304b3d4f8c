"""Who is who when the cast was rewritten."""

from __future__ import annotations

import pytest

from ledger.judge.pairing.people import name_in
from ledger.model.book import Person

NOW = (Person("W", "Wren Hollis", ("Wren", "the keeper")), Person("T", "Tomas Arde"))


@pytest.mark.parametrize(
    ("then", "now"),
    [
        ("Wren", "Wren Hollis"),
        ("WREN", "Wren Hollis"),
        ("Tomas Arde", "Tomas Arde"),
        ("Wren & Tomas Arde", "Wren Hollis & Tomas Arde"),
        ("Mara", "Mara"),
        ("ALL", "ALL"),
        ("", ""),
    ],
)
def test_a_person_is_known_by_every_name_the_cast_has(then: str, now: str) -> None:
    assert name_in(NOW)(then) == now
