"""The ledger's own rules: entries are written once, a number is used once, what was agreed is not loosened."""

from __future__ import annotations

import pytest

from ledger.judge.agreed.doors import charged
from ledger.judge.agreed.ledger_rules import Kept, entry_files
from ledger.read.entries import write_entry
from tests.judge.shelf import BOOK, Shelf, lock, slip, told

SIGNED: dict[str, str | bytes] = {"script/01.md": "[page 1]\nW: You said the map was here.\n"}


@pytest.fixture
def shelf() -> Shelf:
    return Shelf()


@pytest.mark.parametrize(
    ("old", "new"),
    [(b"\n", b"\r\n"), (b"structure", b"wording"), (b"by      =", b"by =")],
    ids=["line ends", "scopes", "a byte"],
)
def test_an_entry_is_never_edited(shelf: Shelf, old: bytes, new: bytes) -> None:
    closed = lock(shelf, "pencils", ["structure"], SIGNED)
    base = shelf.state(SIGNED, [closed])
    edited = write_entry(closed).replace(old, new)
    assert told(charged([base], shelf.state({**SIGNED, closed.path: edited}), shelf)) == ["block entry-changed"]


def test_an_entry_is_never_taken_out_or_replaced(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], SIGNED)
    base = shelf.state(SIGNED, [closed])
    assert told(charged([base], shelf.state(SIGNED), shelf)) == ["block entry-removed"]
    linked = shelf.state(SIGNED, links={closed.path: "elsewhere"})
    assert told(charged([base], linked, shelf)) == ["block entry-changed"]
    broken = shelf.state({**SIGNED, closed.path: "entry = "})
    assert told(charged([base], broken, shelf)) == ["block entry-changed"]


def test_a_broken_new_entry_is_refused_and_an_old_one_not_told_again(shelf: Shelf) -> None:
    base = shelf.state(SIGNED)
    broken = shelf.state({**SIGNED, "ledger/lock-inks-1.toml": "entry = "})
    assert told(charged([base], broken, shelf)) == ["block entry-changed"]
    assert charged([broken], broken, shelf) == ()


def test_other_files_in_the_ledger_are_free(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], SIGNED)
    base = shelf.state({**SIGNED, "ledger/README.md": "one"}, [closed])
    assert charged([base], shelf.state({**SIGNED, "ledger/README.md": "two"}, [closed]), shelf) == ()
    assert charged([base], shelf.state(SIGNED, [closed]), shelf) == ()


def test_an_entry_put_back_as_it_was_is_free(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], SIGNED)
    first = shelf.state(SIGNED, [closed])
    kept: dict[str, Kept] = {closed.path: entry_files(first)[closed.path]}
    removed = shelf.state(SIGNED)
    assert charged([removed], first, shelf, kept=kept) == ()
    edited = shelf.state({**SIGNED, closed.path: write_entry(closed).replace(b"structure", b"wording")})
    assert charged([edited], first, shelf, kept=kept) == ()
    assert told(charged([first], edited, shelf)) == ["block entry-changed"]


def test_a_removed_lock_still_closes_what_it_closed(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], SIGNED)
    kept = {closed.path: entry_files(shelf.state(SIGNED, [closed]))[closed.path]}
    late: dict[str, str | bytes] = {"script/01.md": "[page 1]\nM: You said the map was here.\n"}
    found = charged([shelf.state(SIGNED)], shelf.state(late), shelf, kept=kept)
    assert told(found) == ["block speaker-changed p1"]


def test_a_number_taken_on_both_sides_of_a_merge(shelf: Shelf) -> None:
    ours, theirs = slip(shelf, SIGNED, pages="1"), slip(shelf, SIGNED, pages="1", minutes=20)
    moved = theirs._replace(number=2, path="ledger/alteration-2.toml")
    bases = [shelf.state(SIGNED, [ours]), shelf.state(SIGNED, [theirs])]
    assert charged(bases, shelf.state(SIGNED, [ours, moved]), shelf) == ()
    assert told(charged(bases, shelf.state(SIGNED, [ours]), shelf)) == ["block number-taken"]
    other = moved._replace(reason="another reason")
    assert told(charged(bases, shelf.state(SIGNED, [ours, other]), shelf)) == ["block number-taken"]


def test_renaming_an_entry_outside_a_merge_is_no_renumbering(shelf: Shelf) -> None:
    one = slip(shelf, SIGNED, pages="1")
    moved = one._replace(number=2, path="ledger/alteration-2.toml")
    found = charged([shelf.state(SIGNED, [one])], shelf.state(SIGNED, [moved]), shelf)
    assert told(found) == ["block entry-removed"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('locks = ["structure"]', "locks = []", "no longer locks structure"),
        ('name = "pencils"', 'name = "graphite"', "no longer in book.toml"),
        ('files = "art/pencils/p{page}.png"', 'files = "pencils/p{page}.png"', "other ones in book.toml"),
    ],
)
def test_a_loosened_lock_is_told(shelf: Shelf, old: str, new: str, said: str) -> None:
    closed = lock(shelf, "pencils", ["structure"], SIGNED)
    book = BOOK.replace(old, new).replace('from = ["pencils", "script"]', 'from = ["script"]')
    found = charged([shelf.state(SIGNED, [closed])], shelf.state(SIGNED, [closed], book=book), shelf)
    assert told(found) == ["look lock-loosened"]
    assert said in found[0].message


def test_nothing_is_loosened_where_nothing_is_signed_off(shelf: Shelf) -> None:
    book = BOOK.replace('locks = ["structure"]', "locks = []") + "\n[limits]\nwords_per_page = 300\n"
    assert charged([shelf.state(SIGNED)], shelf.state(SIGNED, book=book), shelf) == ()


def test_rules_raise_a_loosened_lock(shelf: Shelf) -> None:
    closed = lock(shelf, "pencils", ["structure"], SIGNED)
    strict = BOOK + '\n[rules]\nlock-loosened = "block"\n'
    base = shelf.state(SIGNED, [closed], book=strict)
    change = shelf.state(SIGNED, [closed], book=BOOK.replace('locks = ["structure"]', "locks = []"))
    assert told(charged([base], change, shelf)) == ["block lock-loosened", "look rules-loosened"]


@pytest.mark.parametrize(
    ("before", "after", "told_of"),
    [
        ('over-limit = "block"', "", True),
        ('over-limit = "block"', 'over-limit = "query"', True),
        ("", 'over-limit = "off"', True),
        ('over-limit = "query"', "", False),
        ('over-limit = "off"', "", False),
        ("", 'over-limit = "block"', False),
    ],
)
def test_only_a_lowered_rule_is_loosened(shelf: Shelf, before: str, after: str, told_of: bool) -> None:
    base = shelf.state(SIGNED, book=f"{BOOK}\n[rules]\n{before}\n")
    change = shelf.state(SIGNED, book=f"{BOOK}\n[rules]\n{after}\n")
    assert told(charged([base], change, shelf)) == (["look rules-loosened"] if told_of else [])
