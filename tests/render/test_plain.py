"""Words laid out for a terminal, whatever their length and their signs' width."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from ledger.render.plain import columns, wrapped

WORDS = st.text(st.sampled_from("ab \u0301\u6f2b\u753b-"), max_size=300)


@given(WORDS)
def test_no_row_is_too_wide_and_no_sign_is_lost(text: str) -> None:
    rows = wrapped(text, indent="  ", hang="    ", width=20).split("\n")
    assert all(columns(row) <= 20 for row in rows)
    assert "".join("".join(rows).split()) == "".join(text.split())


def test_a_word_of_a_million_letters_is_cut_into_rows() -> None:
    rows = wrapped("x" * 1_000_000).split("\n")
    assert "".join(row.strip() for row in rows) == "x" * 1_000_000
    assert {columns(row) for row in rows[1:-1]} == {80}
