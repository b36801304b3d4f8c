"""What of a mail is surely no note: greetings, thanks, sign-offs; and what only begins like one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.read.marginalia.courtesies import is_courtesy
from ledger.read.marginalia.letters import read_letter

AUTHOR = "Erin Marsh"


@pytest.mark.parametrize("words", [
    "Hi W., thanks, best, E.", "Hi W.,", "Dear all,", "Hi", "Thanks!", "Erin", "- Erin", "Best|Erin Marsh",
    "Hello Odile,||Here are my notes.||Best,|Erin", "Dear Odile, here they are.|Yours, E.",
    "Hi Odile and Bo!|Thanks for sending the pages.|Cheers, Rin", "Hi there - notes below.|All the best,|E. Marsh",
    "Best,|Erin|Sent from my iPhone", "Thank you so much for sharing this. :)",
    "Hi Odile, hope you're well! Best wishes, Erin", "Liebe Odile,|vielen Dank!|Viele Grüße|Ida",
    "Bonjour Odile,|merci beaucoup,|Cordialement,|Ida",
])  # fmt: skip
def test_courtesies_are_no_notes(words: str) -> None:
    assert is_courtesy(words.split("|"), AUTHOR)


@pytest.mark.parametrize("words", [
    "Hi Odile, the door is wrong.", "Hi is too stiff for a boy.", "Hi-hat noises all over the first chapter.",
    "Dear God, cut the prologue.", "Hello? Is anybody home in that scene", "Hey, Maro never says hey", "Hi Odile?",
    "Hi Odile, more red.", "Hi Odile, page 3", "Hi Odile, thanks. Lose the dog. Best, Erin",
    "Hi Odile,|I loved it.|Best, Erin", "Hi Odile, Lusk, best", "Hi,|Too Long,|Best",
    "Thanks. Beautiful.", "Thanks! Beautiful work.", "Thank you for the quiet pages", "Great!", "Love it",
    "Best scene so far", "Best, but cut the end.", "Best.|Cut Lusk", "Best,|Cut Lusk", "Love the ending",
    "Cheers to the colourist", "Bye bye, lamp", "Good night, moon", "Marsh scene is slow", "", "...", ":)",
    " ".join(["Thanks!"] * 50), f"Thanks{'!' * 400}",
])  # fmt: skip
def test_what_only_begins_like_one_is_a_note(words: str) -> None:
    """Praise, questions, numbers, and names that are no sign-off: all of it stays."""
    assert not is_courtesy(words.split("|"), AUTHOR)


def test_a_name_that_is_not_the_authors_ends_a_mail_only_behind_a_sign_off() -> None:
    assert not is_courtesy(["Lusk"], AUTHOR) and not is_courtesy(["Lusk"], "")
    assert is_courtesy(["Best,", "Erin Marsh"], "") and not is_courtesy(["Best,", "Lusk Again"], AUTHOR)
    assert not is_courtesy(["Best,", "Erin", "Lusk"], AUTHOR)


MAIL = "From: Erin Marsh <em@example.org>\nDate: Tue, 3 Mar 2026 10:12:00 +0100\n\n"


def test_it_is_told_word_for_word_where_it_stands_alone_beside_notes_and_left_out_when_asked() -> None:
    def told(words: str, *, greetings: bool = False) -> tuple[list[str], list[str]]:
        found = read_letter("mail.eml", (MAIL + words).encode(), lambda _: False, greetings=greetings)
        return [note.text for note in found.notes], [left.name for left in found.left]

    words = "Hi Odile,\n\np1 too dark\n\nThanks,\nErin\n"
    assert told(words) == (["too dark"], ["Hi Odile, Thanks, Erin"])
    assert told(words, greetings=True) == (["too dark", "Hi Odile,\n\nThanks,\nErin"], ["Hi Odile, Thanks, Erin"])
    more = words.replace("Thanks,", "I loved the storm.\nThanks,")
    assert told(more) == (["too dark", "Hi Odile,\n\nI loved the storm.\nThanks,\nErin"], [])
    assert told("Hi Odile,\nThanks,\nErin\n") == (["Hi Odile,\nThanks,\nErin"], []), "a mail without a note is one"


PARTS = ["Hi Odile", "best", "Thanks", "Erin", "the lamp", "p1 x", "E.", "-", "", ",", "!", "3"]


@given(st.lists(st.sampled_from(PARTS), max_size=8), st.sampled_from([" ", ", ", "\n", ". "]))
def test_no_word_is_lost(parts: list[str], between: str) -> None:
    """Whatever stands in a mail is in a note or told as left out."""
    words = between.join(parts)
    if not words.strip():
        return
    found = read_letter("mail.eml", (MAIL + words).encode(), lambda _: False, greetings=False)
    there = " ".join([*(f"{note.place} {note.text}" for note in found.notes), *(left.name for left in found.left)])
    assert all(each in there for each in words.replace(",", " ").replace(".", " ").split() if each.isalpha())
