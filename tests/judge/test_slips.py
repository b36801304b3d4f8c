"""Alteration slips: what they admit, when they are valid, what the baseline is after them."""

from __future__ import annotations

from ledger.judge.agreed.doors import charged, standing
from tests.judge.shelf import Shelf, lock, slip, told

SIGNED = """
[page 1]
[panel 1]
W: You said the map was here.
T: It was.

[page 2]
M: Look again.

[page 3]
W: The tide took it.
"""
CUT = SIGNED.replace("T: It was.\n", "")
BOTH = CUT.replace("M: Look again.", "W: Look again.")
ON_TWO = SIGNED.replace("M: Look again.", "W: Look again.")


def script(text: str) -> dict[str, str | bytes]:
    return {"script/01.md": text}


def test_a_slip_admits_its_content_in_the_same_commit() -> None:
    shelf = Shelf()
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state(script(SIGNED), [closed])
    admitting = slip(shelf, script(CUT), pages="1")
    assert told(charged([base], shelf.state(script(CUT), [closed]), shelf)) == ["block line-cut p1.1"]
    assert charged([base], shelf.state(script(CUT), [closed, admitting]), shelf) == ()


def test_going_back_needs_a_slip_too() -> None:
    shelf = Shelf()
    closed, admitting = lock(shelf, "pencils", ["structure"], script(SIGNED)), slip(shelf, script(CUT), pages="1")
    base = shelf.state(script(CUT), [closed, admitting])
    back = shelf.state(script(SIGNED), [closed, admitting])
    assert told(charged([base], back, shelf)) == ["block line-added p1.1"]
    agreed = [closed, admitting, slip(shelf, script(SIGNED), pages="1", number=2)]
    assert charged([base], shelf.state(script(SIGNED), agreed), shelf) == ()


def test_content_without_a_difference_from_the_slips_is_admitted_whatever_its_bytes() -> None:
    shelf = Shelf()
    closed, admitting = lock(shelf, "pencils", ["structure"], script(SIGNED)), slip(shelf, script(CUT), pages="1")
    base = shelf.state(script(SIGNED), [closed])
    other_bytes = "<!-- lamp -->\n" + CUT.replace("\n", "\r\n")
    assert charged([base], shelf.state(script(other_bytes), [closed, admitting]), shelf) == ()


def test_a_slip_that_changes_more_than_its_pages_admits_nothing() -> None:
    shelf = Shelf()
    closed, too_much = lock(shelf, "pencils", ["structure"], script(SIGNED)), slip(shelf, script(BOTH), pages="1")
    base = shelf.state(script(SIGNED), [closed])
    found = charged([base], shelf.state(script(BOTH), [closed, too_much]), shelf)
    assert told(found) == ["block line-cut p1.1", "block speaker-changed p2"]


def test_a_slip_for_other_scopes_admits_nothing() -> None:
    shelf = Shelf()
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    words_only = slip(shelf, script(CUT), pages="1", scopes=["wording"])
    base = shelf.state(script(SIGNED), [closed])
    assert told(charged([base], shelf.state(script(CUT), [closed, words_only]), shelf)) == ["block line-cut p1.1"]


def test_words_that_were_free_are_no_difference_of_the_slip() -> None:
    shelf = Shelf()
    reworded = CUT.replace("The tide took it.", "The sea took it.")
    closed, admitting = lock(shelf, "pencils", ["structure"], script(SIGNED)), slip(shelf, script(reworded), pages="1")
    base = shelf.state(script(SIGNED), [closed])
    assert charged([base], shelf.state(script(reworded), [closed, admitting]), shelf) == ()


def test_a_page_put_in_with_a_slip_renumbers_what_follows() -> None:
    shelf = Shelf()
    longer = SIGNED.replace("[page 2]", "[page 2]\nT: Hush.\n\n[page 3]").replace(
        "[page 3]\nW: The tide", "[page 4]\nW: The tide"
    )
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED), pages="1-3")
    admitting = slip(shelf, script(longer), pages="2")
    base = shelf.state(script(SIGNED), [closed])
    assert charged([base], shelf.state(script(longer), [closed, admitting]), shelf) == ()
    after = shelf.state(script(longer), [closed, admitting])
    last = shelf.state(script(longer.replace("W: The tide", "M: The tide")), [closed, admitting])
    assert told(charged([after], last, shelf)) == ["block speaker-changed p4"]


def test_small_changes_add_up_against_the_baseline() -> None:
    shelf = Shelf()
    closed = lock(shelf, "letters", ["structure"], script("[page 1]\nW: Forty characters are what stands in here\n"))
    now = closed.files and shelf.state(script("[page 1]\nW: Forty characters are what stands in here\n"), [closed])
    grown = shelf.state(script("[page 1]\nW: Forty-six characters are what stands in here!!\n"), [closed])
    more = shelf.state(script("[page 1]\nW: Forty-eight characters are what stands in here!!\n"), [closed])
    assert charged([now], grown, shelf) == ()
    assert told(charged([grown], more, shelf)) == ["look balloon-tight p1"]


def test_slips_of_two_branches_both_hold_in_their_merge() -> None:
    shelf = Shelf()
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    one = slip(shelf, script(CUT), pages="1", number=1)
    two = slip(shelf, script(ON_TWO), pages="2", number=2, minutes=11)
    ours, theirs = shelf.state(script(CUT), [closed, one]), shelf.state(script(ON_TWO), [closed, two])
    assert charged([ours, theirs], shelf.state(script(BOTH), [closed, one, two]), shelf) == ()
    dropped = charged([ours, theirs], shelf.state(script(ON_TWO), [closed, one, two]), shelf)
    assert told(dropped) == ["block line-added p1.1"]


def test_an_older_slip_says_nothing_after_a_new_sign_off() -> None:
    shelf = Shelf()
    first, admitted = lock(shelf, "pencils", ["structure"], script(SIGNED)), slip(shelf, script(CUT), pages="1")
    second = lock(shelf, "pencils", ["structure"], script(SIGNED), number=2, minutes=30)
    entries = [first, admitted, second]
    assert standing(shelf.state(script(SIGNED), entries), content=shelf) == ()
    assert told(standing(shelf.state(script(CUT), entries), content=shelf)) == ["block line-cut p1.1"]


def test_a_late_slip_admits_what_is_recorded_already() -> None:
    shelf = Shelf()
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    late = shelf.state(script(CUT), [closed])
    assert told(standing(late, content=shelf)) == ["block line-cut p1.1"]
    assert charged([late], shelf.state(script(CUT), [closed, slip(shelf, script(CUT), pages="1")]), shelf) == ()
    assert standing(shelf.state(script(CUT), [closed, slip(shelf, script(CUT), pages="1")]), content=shelf) == ()
