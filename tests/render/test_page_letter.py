"""The life of a page as a letter: which parts it has, and that the page says what the terminal says."""

from __future__ import annotations

from datetime import date

from ledger.model.change import PictureBox, PictureChange
from ledger.model.entry import Lock, Reopen, Round
from ledger.model.life import LifePicture, PageEvent, PageLife, PageTurn, State
from ledger.model.plate import Shown
from ledger.model.stale import StalePage
from ledger.read.script import read_script
from ledger.render.letter import Gallery, Letter
from ledger.render.lives.page_letter import page_letter
from ledger.render.lives.page_text import page_text, standing_locks
from ledger.render.told import plain

BY, DAY = "Ida Kestrel <ida@example.org>", date(2026, 3, 2)
SHOWN = Shown(b"webp", 600, 900)
DRAFT = read_script([("script/01.md", b"[page 1]\n[panel 1]\nRain.\n\nWREN: Gone.\n")], ())
STATE = State(".", None, DRAFT)
CAME = PageTurn(0, "added", None, "1")


def entered(number: int) -> Round:
    return Round(path=f"ledger/inks-{number}.toml", number=number, date=DAY, by=BY, pass_name="inks", message="inked")


def locked(name: str, number: int = 1) -> Lock:
    return Lock(path=f"ledger/lock-{name}-{number}.toml", number=number, date=DAY, by=BY, pass_name=name,
                scopes=("structure", "drawing"))  # fmt: skip


def reopened(name: str) -> Reopen:
    return Reopen(path="ledger/reopen-1.toml", number=1, date=DAY, by=BY, reason="the lamp", passes=(name,))


def a_life(**more: object) -> PageLife:
    values: dict[str, object] = {"labels": ("1",), "turns": (CAME,), **more}
    return PageLife("The Salt Lantern", "1", (STATE,), **values)  # type: ignore[arg-type]


def parts(letter: Letter) -> list[str]:
    return [section.title for section in letter.sections]


def short(letter: Letter) -> list[str]:
    return [plain(told) for told in letter.short]


def test_parts_with_nothing_to_tell_are_left_out() -> None:
    assert parts(page_letter(a_life())) == ["In the script", "The script now"]
    assert parts(page_letter(a_life(labels=(None,), turns=()))) == []


def test_where_it_stands_in_short() -> None:
    life = a_life(
        events=(PageEvent(entered(1), "1", "first"), PageEvent(locked("inks"), "1")), undrawn=("letters",),
        stale=(StalePage("inks", "1", "script-1, now script-2: panel 1 is new"),),
    )  # fmt: skip
    assert short(page_letter(life)) == [
        "In the script: 1 panel, 1 lettered line.", "Entered in inks.", "Nothing entered of it yet in letters.",
        "Signed off: inks for structure and drawing (lock-inks-1).", "Stale in inks.",
    ]  # fmt: skip


def test_a_page_that_is_not_in_the_script_is_said() -> None:
    assert short(page_letter(a_life(labels=(None,), turns=())))[0] == "The script has no page of this name."
    gone = PageLife("x", "1", (STATE, STATE), ("1", None), (CAME, PageTurn(1, "cut", "1", None)))
    letter = page_letter(gone)
    assert short(letter)[0] == "It is no longer in the script."
    assert "The script when it was last there" in parts(letter)


def test_what_was_opened_again_is_no_longer_closed() -> None:
    events = [PageEvent(locked("pencils"), "1"), PageEvent(locked("inks"), "1"), PageEvent(reopened("pencils"), "1")]
    assert standing_locks(a_life(events=tuple(events))) == ["inks for structure and drawing (lock-inks-1)"]
    events.append(PageEvent(locked("pencils", 2), "1"))
    assert len(standing_locks(a_life(events=tuple(events)))) == 2


def test_pictures_in_their_order_each_with_what_became_of_it() -> None:
    halves = (PictureBox(1, (0, 0, 1, 0.5), 0.0), PictureBox(2, (0, 0.5, 1, 0.5), 0.8))
    pictures = (
        LifePicture(entered(1), PictureChange("inks", "1", "added"), SHOWN),
        LifePicture(entered(2), PictureChange("inks", "1", "redrawn", halves), SHOWN),
        LifePicture(entered(3), PictureChange("inks", "1", "same"), SHOWN),
        LifePicture(None, PictureChange("inks", "1", "added"), None),
    )
    (section,) = [each for each in page_letter(a_life(pictures=pictures)).sections if each.title == "Pictures"]
    (gallery,) = section.blocks
    assert isinstance(gallery, Gallery)
    assert [plain(plate.told) for plate in gallery.plates] == [
        "inks-1 (2 March 2026): the first picture.", "inks-2 (2 March 2026): panel 2 was redrawn.",
        "inks-3 (2 March 2026): the same drawing, saved anew.", "inks (your files now): a picture in no round yet.",
    ]  # fmt: skip
    assert gallery.plates[1].sheets[0].shows.endswith("panel 2 framed")
    assert gallery.plates[3].sheets[0].told == "It can't be shown."


def test_the_terminal_says_what_closes_it_and_what_it_rests_on() -> None:
    life = a_life(
        events=(PageEvent(locked("inks"), "1"),),
        stale=(StalePage("inks", "1", "script-1, now script-2: panel 1 is new"),),
    )
    text = page_text(life)
    assert "\n\nSigned off: inks for structure and drawing (lock-inks-1).\nStale: inks rests on script-1, now " in text
