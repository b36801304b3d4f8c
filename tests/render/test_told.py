"""Told sentences: words of the book set apart, in one sentence for every setting."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from ledger.render.told import Piece, new_wording, old_wording, pieces, plain, quoted, sentence, slanted, strong, words


def test_a_sentence_comes_apart_at_its_marks() -> None:
    told = f"{strong(words('Ada') + ':')} {slanted(words('She waits.'))}"
    assert list(pieces(told)) == [
        Piece("strong"), Piece("words", "Ada"), Piece("plain", ":"), Piece("/strong"), Piece("plain", " "),
        Piece("slanted"), Piece("words", "She waits."), Piece("/slanted"),
    ]  # fmt: skip
    assert plain(told) == "Ada: She waits."


def test_each_wording_knows_the_other() -> None:
    assert list(pieces(old_wording("The map.", "The chart."))) == [
        Piece("plain", "“"), Piece("old", "The map.", "The chart."), Piece("plain", "”"),
    ]  # fmt: skip
    assert plain(new_wording("The map.", "The chart.")) == "“The chart.”"


def test_a_sentence_ends_as_the_words_it_quotes() -> None:
    assert plain(sentence(f"the sound {quoted('KRRRK')}")) == "The sound “KRRRK”."
    assert plain(sentence(old_wording("Where?", "There."))) == "“Where?”"
    assert plain(sentence(words("the lamp is lit"))) == "The lamp is lit."
    assert plain(sentence(new_wording("a", "b…"))) == "“b…”"


def test_no_words_are_no_words() -> None:
    assert words("") == ""


@given(st.text(), st.text())
def test_no_words_of_a_book_can_pass_for_a_mark(one: str, other: str) -> None:
    """Law: however the words read, they come back as one piece, and nothing else does."""
    kinds = [piece.kind for piece in pieces(f"{quoted(one)} {old_wording(one, other)} {new_wording(one, other)}")]
    assert kinds == [*(["plain", "words"] if one else []), "plain", "old", "plain", "new", "plain"]
