"""How a change is judged: what its bases had, whose locks count, what a reopening lets go, what the ledger holds."""

from __future__ import annotations

import pytest

from ledger.judge.agreed.doors import all_standing, charged, standing
from ledger.model.book import Person
from tests.judge.shelf import BOOK, Shelf, lock, reopening, told

SIGNED = """
[page 1]
[panel 1]
W: You said the map was here.
T: It was.

[page 2]
M: Look again.
"""
CUT = SIGNED.replace("T: It was.\n", "")
LATER = SIGNED.replace("M: Look", "W: Look")


def script(text: str) -> dict[str, str | bytes]:
    return {"script/01.md": text}


@pytest.fixture
def shelf() -> Shelf:
    return Shelf()


def test_an_innocent_commit_after_a_late_one_passes_and_an_undo_is_free(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    late = shelf.state(script(CUT), [closed])
    moved_down = shelf.state(script("<!-- one -->\n\n" + CUT), [closed])
    assert charged([late], moved_down, shelf) == ()
    assert charged([late], shelf.state(script(SIGNED), [closed]), shelf) == ()
    more = shelf.state(script(CUT.replace("M: Look", "W: Look")), [closed])
    assert told(charged([late], more, shelf)) == ["block speaker-changed p2"]
    assert told(all_standing([late], more, shelf)) == ["block line-cut p1.1", "block speaker-changed p2"]


def test_the_same_late_edit_twice_is_two(shelf: Shelf) -> None:
    twice = "[page 1]\n[panel 1]\nW: No.\nT: No.\nW: No.\nT: No.\nM: Yes.\n"
    closed = lock(shelf, "pencils", ["structure"], script(twice))
    once_cut = twice.replace("W: No.\n", "", 1)
    base = shelf.state(script(once_cut), [closed])
    found = charged([base], shelf.state(script(once_cut.replace("W: No.\n", "")), [closed]), shelf)
    assert [f.rule for f in found if f.blocks] == ["line-cut"]


def test_equal_changes_on_one_page_are_told_each(shelf: Shelf) -> None:
    same = "[page 1]\n[panel 1]\nT: It was.\n[panel 2]\nT: It was.\n[panel 3]\nW: Hush.\n"
    signed = {**script(same), "art/inks/p001.png": "one"}
    both = [lock(shelf, "pencils", ["structure"], script(same)), lock(shelf, "inks", ["structure", "drawing"], signed)]
    base = shelf.state(signed, both)
    given = shelf.state({**signed, **script(same.replace("T: It", "M: It"))}, both)
    assert told(charged([base], given, shelf)) == ["block speaker-changed p1.1", "block speaker-changed p1.2"]
    cut = shelf.state({**signed, **script(same.replace("T: It was.\n", "Nobody speaks.\n"))}, both)
    assert told(charged([base], cut, shelf)) == [
        "block line-cut p1.1", "block line-cut p1.2", "look action-changed p1.1", "look action-changed p1.2",
    ]  # fmt: skip


def test_a_lock_taken_out_in_the_same_commit_still_counts(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state(script(SIGNED), [closed])
    found = charged([base], shelf.state(script(CUT), []), shelf)
    assert told(found) == ["block entry-removed", "block line-cut p1.1"]


def test_a_lock_must_hold_its_baseline_in_its_own_commit(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state(script(CUT), [])
    assert told(charged([base], shelf.state(script(CUT), [closed]), shelf)) == ["block line-cut p1.1"]
    assert charged([base], shelf.state(script(SIGNED), [closed]), shelf) == ()


def test_a_new_lock_that_names_what_nobody_has_is_refused(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(CUT))
    base = shelf.state(script(SIGNED), [])
    shelf.missing.update(closed.files.values())
    found = charged([base], shelf.state(script(SIGNED), [closed]), shelf)
    assert told(found) == ["block export-unreadable"]


def test_a_root_commit_is_judged_against_nothing(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    assert charged([], shelf.state(script(SIGNED), [closed]), shelf) == ()
    assert told(charged([], shelf.state(script(CUT), [closed]), shelf)) == ["block line-cut p1.1"]


def test_a_merge_is_charged_with_what_no_parent_had(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    ours = shelf.state(script(SIGNED), [closed])
    theirs = shelf.state(script(CUT), [])
    assert told(charged([ours, theirs], shelf.state(script(CUT), [closed]), shelf)) == ["block line-cut p1.1"]
    late = shelf.state(script(CUT), [closed])
    assert charged([ours, late], shelf.state(script(CUT), [closed]), shelf) == ()


def test_a_reopening_makes_changes_queries_that_name_it(shelf: Shelf) -> None:
    closed, opened = lock(shelf, "pencils", ["structure"], script(SIGNED)), reopening("pencils", "2")
    base = shelf.state(script(SIGNED), [closed, opened])
    found = charged([base], shelf.state(script(LATER), [closed, opened]), shelf)
    assert told(found) == ["look speaker-changed p2"]
    assert "reopen-1" in found[0].message
    assert told(charged([base], shelf.state(script(CUT), [closed, opened]), shelf)) == ["block line-cut p1.1"]


def test_a_reopening_counts_from_the_commit_after_it(shelf: Shelf) -> None:
    closed, opened = lock(shelf, "pencils", ["structure"], script(SIGNED)), reopening("pencils", "2")
    base = shelf.state(script(SIGNED), [closed])
    found = charged([base], shelf.state(script(LATER), [closed, opened]), shelf)
    assert told(found) == ["block speaker-changed p2"]


def test_the_next_sign_off_ends_a_reopening(shelf: Shelf) -> None:
    entries = [
        lock(shelf, "pencils", ["structure"], script(SIGNED)),
        reopening("pencils", "2", minutes=10),
        lock(shelf, "pencils", ["structure"], script(LATER), number=2, minutes=20),
    ]
    base = shelf.state(script(LATER), entries)
    assert standing(base, content=shelf) == ()
    assert told(charged([base], shelf.state(script(SIGNED), entries), shelf)) == ["block speaker-changed p2"]


def test_within_one_second_numbers_tell_the_order(shelf: Shelf) -> None:
    first, opened = lock(shelf, "pencils", ["structure"], script(SIGNED)), reopening("pencils", "2", minutes=0)
    second = lock(shelf, "pencils", ["structure"], script(LATER), number=2)
    assert told(standing(shelf.state(script(LATER), [first, opened]), content=shelf)) == ["look speaker-changed p2"]
    after = shelf.state(script(SIGNED), [first, opened, second])
    assert told(standing(after, content=shelf)) == ["block speaker-changed p2"]


def test_a_later_sign_off_takes_over_only_what_it_covers(shelf: Shelf) -> None:
    whole = lock(shelf, "pencils", ["structure"], script(SIGNED))
    second = lock(shelf, "pencils", ["structure"], script(LATER), number=2, pages="2", minutes=20)
    now = shelf.state(script(LATER), [whole, second])
    assert standing(now, content=shelf) == ()
    assert told(charged([now], shelf.state(script(LATER.replace("T: It was.\n", "")), [whole, second]), shelf)) == [
        "block line-cut p1.1"
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('locks = ["structure"]', "locks = []"),
        ('name = "pencils"', 'name = "graphite"'),
        ('files = "script/*.md"', 'files = "pages/*.md"'),
        ('from = ["script"]', 'from = ["outline"]'),
    ],
)
def test_nothing_said_in_book_toml_opens_what_was_signed_off(shelf: Shelf, old: str, new: str) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    book = BOOK.replace(old, new).replace('from = ["pencils", "script"]', 'from = ["script"]')
    base = shelf.state(script(SIGNED), [closed])
    found = charged([base], shelf.state(script(CUT), [closed], book=book), shelf)
    assert "line-cut" in {f.rule for f in found if f.blocks}
    untouched = charged([base], shelf.state(script(SIGNED), [closed], book=book), shelf)
    assert not any(f.blocks for f in untouched)


def test_a_book_without_any_text_pass_opens_nothing(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state(script(SIGNED), [closed])
    book = BOOK.replace('kind = "text"\nfiles = "outline/*.md"', 'kind = "art"\nfiles = "outline/p{page}.png"').replace(
        'kind = "text"\nfiles = "script/*.md"', 'kind = "art"\nfiles = "script/p{page}.png"'
    )
    assert "text" not in book
    found = charged([base], shelf.state(script(CUT), [closed], book=book), shelf)
    assert "block line-cut p1.1" in told(found)


def test_a_decoy_does_not_stand_for_the_signed_files(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    book = BOOK.replace('files = "script/*.md"', 'files = "pages/*.md"')
    base = shelf.state(script(SIGNED), [closed])
    change = shelf.state({"script/01.md": CUT, "pages/01.md": SIGNED}, [closed], book=book)
    assert "line-cut" in {f.rule for f in charged([base], change, shelf) if f.blocks}


def test_a_moved_script_folder_is_free(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    book = BOOK.replace('files = "script/*.md"', 'files = "pages/*.md"')
    base = shelf.state(script(SIGNED), [closed])
    found = charged([base], shelf.state({"pages/01.md": SIGNED}, [closed], book=book), shelf)
    assert told(found) == ["look lock-loosened"]


def test_chapters_joined_and_files_renamed_are_free(shelf: Shelf) -> None:
    one, two = SIGNED.split("[page 2]")
    signed: dict[str, str | bytes] = {"script/01.md": one, "script/02.md": "[page 2]" + two}
    closed = lock(shelf, "pencils", ["structure", "wording"], signed)
    base = shelf.state(signed, [closed])
    assert charged([base], shelf.state({"script/all.md": SIGNED}, [closed]), shelf) == ()
    renamed: dict[str, str | bytes] = {"script/a.md": one, "script/b.md": "[page 2]" + two}
    assert charged([base], shelf.state(renamed, [closed]), shelf) == ()
    swapped: dict[str, str | bytes] = {"script/b.md": one, "script/a.md": "[page 2]" + two}
    assert any(f.blocks for f in charged([base], shelf.state(swapped, [closed]), shelf))


def test_another_key_or_alias_of_the_same_person_is_free(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure", "wording"], script(SIGNED))
    base = shelf.state(script(SIGNED), [closed])
    book = BOOK.replace('W = "Wren"', 'WR = "Wren"\nN = "Nessa"')
    text = SIGNED.replace("W: You", "WR: You").replace("T: It", "TOMAS: It")
    assert charged([base], shelf.state(script(text), [closed], book=book), shelf) == ()


def test_a_key_given_to_somebody_else_changes_speakers(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state(script(SIGNED), [closed])
    change = shelf.state(script(SIGNED), [closed], book=BOOK.replace('W = "Wren"', 'W = "Nessa"'))
    found = charged([base], change, shelf)
    assert told(found) == ["block speaker-changed p1.1"]
    then = (Person("W", "Wren"), Person("T", "Tomas Arde", ("Tom", "TOMAS")), Person("M", "Mara"))
    assert charged([change], base, shelf, cast_then=lambda entry: then) == ()
    assert told(standing(change, content=shelf, cast_then=lambda entry: then)) == ["block speaker-changed p1.1"]


def test_rules_and_limits_weakened_and_used_in_one_commit_are_caught(shelf: Shelf) -> None:
    strict = BOOK + '\n[rules]\nballoon-tight = "block"\n'
    signed, grown = "[page 1]\nW: Short line.\n", "[page 1]\nW: Not so short a line.\n"
    closed = lock(shelf, "pencils", ["structure"], script(signed))
    base = shelf.state(script(signed), [closed], book=strict)
    found = charged([base], shelf.state(script(grown), [closed], book=BOOK), shelf)
    assert told(found) == ["block balloon-tight p1", "look rules-loosened"]
    loose = BOOK + "\n[limits]\nballoon_growth = 5.0\n"
    base = shelf.state(script(signed), [closed])
    found = charged([base], shelf.state(script(grown), [closed], book=loose), shelf)
    assert told(found) == ["look balloon-tight p1", "look rules-loosened"]


def test_rules_never_lower_what_a_lock_closes(shelf: Shelf) -> None:
    lax = BOOK + '\n[rules]\nline-cut = "off"\nentry-removed = "off"\n'
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state(script(SIGNED), [closed], book=lax)
    found = charged([base], shelf.state(script(CUT), [], book=lax), shelf)
    assert told(found) == ["block entry-removed", "block line-cut p1.1"]


def test_one_difference_under_two_sign_offs_is_told_once(shelf: Shelf) -> None:
    both = [
        lock(shelf, "pencils", ["structure"], script(SIGNED)),
        lock(shelf, "inks", ["structure", "drawing"], {**script(SIGNED), "art/inks/p001.png": b"one"}),
    ]
    files: dict[str, str | bytes] = {"art/inks/p001.png": b"one"}
    base = shelf.state({**script(SIGNED), **files}, both)
    found = charged([base], shelf.state({**script(CUT), **files}, both), shelf)
    assert told(found) == ["block line-cut p1.1"]
    assert "lock-inks-1 and lock-pencils-1" in found[0].message


def test_the_outline_stays_free(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state({**script(SIGNED), "outline/01.md": "# One\n\n- Wren looks for the map\n"}, [closed])
    change = shelf.state({**script(SIGNED), "outline/01.md": "# One\n\n- Nobody looks\n- The sea\n"}, [closed])
    assert charged([base], change, shelf) == ()


def test_signed_content_that_is_not_here_is_a_query(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base, change = shelf.state(script(SIGNED), [closed]), shelf.state(script(CUT), [closed])
    shelf.missing.update(closed.files.values())
    found = charged([base], change, shelf)
    assert told(found) == ["look export-unreadable"]
    assert "not fetched" in found[0].message
