"""Names that every system can hold, and the plain names of pages."""

from __future__ import annotations

import pytest

from ledger.model.safe_names import fits_everywhere, plain_name


@pytest.mark.parametrize("name", ["", ".", "..", ".git", "a.", "a ", "a/b", "a\\b", "a:b", "CON", "con.png", "Lpt1.tif",
                                  "aux.tar.gz", "a\n", "ä.png", "x" * 101])  # fmt: skip
def test_names_that_some_system_can_not_hold(name: str) -> None:
    assert not fits_everywhere(name)


@pytest.mark.parametrize("name", ["p001.png", "p024-025.TIF", "conte.png", "com.png", "x" * 100])
def test_names_that_all_can(name: str) -> None:
    assert fits_everywhere(name)


@pytest.mark.parametrize(
    ("label", "wide", "name"),
    [("7", 3, "p007"), ("24-25", 3, "p024-025"), ("f1", 3, "f001"), ("b12", 4, "b0012"), ("cover", 3, "cover"),
     ("1001", 3, "p1001")],
)  # fmt: skip
def test_the_plain_name_of_a_page(label: str, wide: int, name: str) -> None:
    assert plain_name(label, wide) == name
    assert fits_everywhere(name)
