"""What a slip has to name: every page and scope of the late change, the sign-offs and pictures it is about."""

from __future__ import annotations

from ledger.judge.agreed.doors import charged, judge
from ledger.judge.agreed.late import late_change
from ledger.model.pages import ALL_PAGES, parse_pages
from tests.judge.shelf import BOOK, Shelf, lock, slip

SIGNED = "[page 1]\nW: You said the map was here.\n\n[page 2]\nW: Look again.\n\n[page 3]\nT: The tide took it.\n"


def script(text: str) -> dict[str, str | bytes]:
    return {"script/01.md": text}


def test_a_key_given_away_lies_on_every_page_where_it_speaks() -> None:
    shelf = Shelf()
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state(script(SIGNED), [closed])
    book = BOOK.replace('W = "Wren"', 'W = "Nessa"')
    change = shelf.state(script(SIGNED), [closed], book=book)
    late = late_change(judge([base], change, shelf).charged, ALL_PAGES)
    assert late is not None
    assert (late.pages.text(), late.scopes, [entry.name for entry in late.locks]) == (
        "1-2", ("structure",), ["lock-pencils-1"],
    )  # fmt: skip
    agreed = slip(shelf, script(SIGNED), pages=late.pages.text(), scopes=late.scopes)
    assert charged([base], shelf.state(script(SIGNED), [closed, agreed], book=book), shelf) == ()


def test_pages_that_only_got_another_number_need_not_be_named() -> None:
    shelf = Shelf()
    closed = lock(shelf, "pencils", ["structure"], script(SIGNED))
    base = shelf.state(script(SIGNED), [closed])
    longer = script(
        "[page 1]\nM: Hush.\n\n[page 2]\nW: You said the map was here.\n\n[page 3]\nW: Look again.\n\n"
        "[page 4]\nT: The tide took it.\n"
    )
    late = late_change(judge([base], shelf.state(longer, [closed]), shelf).charged, ALL_PAGES)
    assert late is not None and late.pages.text() == "1"
    agreed = slip(shelf, longer, pages="1")
    assert charged([base], shelf.state(longer, [closed, agreed]), shelf) == ()


def test_text_before_the_first_page_needs_all_pages() -> None:
    shelf = Shelf()
    text = "## Harbour\n\nW: You said the map was here.\nT: It was.\n"
    closed = lock(shelf, "pencils", ["structure"], script(text))
    base = shelf.state(script(text), [closed])
    change = shelf.state(script(text.replace("T: It was.\n", "")), [closed])
    late = late_change(judge([base], change, shelf).charged, ALL_PAGES)
    assert late is not None and late.pages.text() is None


def test_only_what_lies_on_the_chosen_pages() -> None:
    shelf = Shelf()
    closed = lock(shelf, "inks", ["structure", "drawing"], {**script(SIGNED), "art/inks/p002.png": b"two"})
    base = shelf.state({**script(SIGNED), "art/inks/p002.png": b"two"}, [closed])
    change = shelf.state({**script(SIGNED.replace("T: The", "M: The")), "art/inks/p002.png": b""}, [closed])
    charges = judge([base], change, shelf).charged
    second, third = late_change(charges, parse_pages("2")), late_change(charges, parse_pages("3"))
    assert second is not None and (second.scopes, second.pictures) == (("drawing",), ("art/inks/p002.png",))
    assert third is not None and (third.scopes, third.pictures) == (("structure",), ())
    assert late_change(charges, parse_pages("1")) is None
