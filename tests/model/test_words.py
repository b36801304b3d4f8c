"""Words as the letterer counts them, and wordings that differ in nothing that is lettered."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.words import count_in_all, count_words, normalise, word_runs


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("", 0),
        ("   ", 0),
        ("...", 0),
        ("-- ?!", 0),
        ("No.", 1),
        ("No -- not yet ...", 3),
        ("It's ten-thirty", 2),
        ("'TWAS", 1),
        ("3 a.m.", 2),
        ("¿Qué?", 1),
        ("潮が来る", 1),
        ("one\u00a0two\u2003three", 3),
        ("\N{BLACK HEART SUIT}", 0),
    ],
)
def test_a_word_holds_a_letter_or_digit(text: str, count: int) -> None:
    assert count_words(text) == count
    assert len(word_runs(text)) == count


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Is that YOU?", "is that you?"), ("wait--what", "wait\u2014what"), ("wait \u2013 what", "wait -- what"),
        ("Well...", "Well\u2026"), ("Well.....", "Well..."), ("\u201cNo,\u201d he said", '"No," he said'),
        ("it\u2019s", "it's"), ("10\u00a0pm", "10 pm"), ("a  b\tc", "a b c"), ("cafe\u0301", "caf\u00e9"),
        ("Stra\u00dfe", "STRASSE"), ("---", "--"),
    ],
)  # fmt: skip
def test_the_typists_signs_make_no_difference(one: str, other: str) -> None:
    assert normalise(one) == normalise(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Well.", "Well..."),
        ("No!", "No?"),
        ("ten-thirty", "ten thirty"),
        ("resume", "résumé"),
        ("its", "it's"),
        ("a..b", "a.b"),
    ],
)
def test_what_is_lettered_otherwise_is_another_wording(one: str, other: str) -> None:
    assert normalise(one) != normalise(other)


@given(st.text(max_size=30))
def test_a_change_of_case_alone_is_no_rewrite(text: str) -> None:
    assert normalise(text.casefold()) == normalise(text)


@pytest.mark.parametrize("text", ["\u0390\u03bd\u03b1", "\u01f0", "na\u00efve", "\ufb01n", "\u0149"])
def test_a_line_set_in_capitals_is_the_same_line(text: str) -> None:
    assert normalise(text.upper()) == normalise(text)


@given(st.text(max_size=30))
def test_normalised_once_is_normalised(text: str) -> None:
    assert normalise(normalise(text)) == normalise(text)


@given(st.text(st.characters(codec="utf-8"), max_size=30))
def test_accents_as_one_sign_or_two_are_the_same(text: str) -> None:
    assert normalise(unicodedata.normalize("NFD", text)) == normalise(unicodedata.normalize("NFC", text))


@given(st.text(max_size=40))
def test_the_count_is_that_of_the_runs(text: str) -> None:
    assert count_words(text) == len(word_runs(text))
    assert all(any(sign.isalnum() for sign in run) and not any(map(str.isspace, run)) for run in word_runs(text))


@given(st.lists(st.text(st.sampled_from("aZ7_-.'\u2014\u00e9 "), max_size=12).map(lambda text: " ".join(text.split()))))
def test_counted_all_at_once_they_are_as_many(texts: list[str]) -> None:
    assert count_in_all(texts) == sum(map(count_words, texts))
