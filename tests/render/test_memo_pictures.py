"""What is said around the pictures of a memo; how they look is held in a browser."""

from __future__ import annotations

import pytest

from ledger.model.change import Comparison, PictureBox, PictureChange, Side
from ledger.model.memo import MemoFacts
from ledger.model.plate import Plate, Plates, Shown
from ledger.render.letter import Gallery, Paragraph
from ledger.render.memo.change_memo import memo_markdown
from ledger.render.memo.page import memo_html
from ledger.render.memo.pictures import gallery
from ledger.render.picture_words import FRAMES, SIDE_BY_SIDE, differences_text, picture_sentence
from ledger.render.told import plain

PAGE, SPREAD = Shown(b"webp", 600, 900), Shown(b"webp", 900, 600)
HALVES = ((0.0, 0.0, 1.0, 0.5), (0.0, 0.5, 1.0, 0.5))

#: What a picture says where no panels were told apart.
WHOLE = PictureBox(1, (0.0, 0.0, 1.0, 1.0), 0.1)


def change(kind: str, *shares: float, page: str = "3") -> PictureChange:
    boxes = tuple(PictureBox(n, box, share) for n, (box, share) in enumerate(zip(HALVES, shares, strict=False), 1))
    return PictureChange("inks", page, kind, boxes)


def the_gallery(*plates: Plate) -> Gallery:
    found = gallery(Plates(plates), "inks-1", ".")[0]
    assert isinstance(found, Gallery)
    return found


@pytest.mark.parametrize(
    ("picture", "said"),
    [
        (change("redrawn", 0.9, 0.0), "panel 1 was redrawn"),
        (change("redrawn", 0.9, 0.4), "panels 1 and 2 were redrawn"),
        (change("touch-up", 0.0, 0.1), "panel 2 was touched up"),
        (
            PictureChange("inks", "3", "touch-up", (PictureBox(1, (0.0, 0.0, 1.0, 1.0), 0.1),)),
            "the page was touched up",
        ),
        (change("layout", 0.5, 0.5), "the page was laid out anew"),
        (change("swapped"), "the page holds another page's picture"),
        (change("added"), "the page is new"),
        (change("missing"), "the page is no longer there"),
    ],
)
def test_what_became_of_a_page(picture: PictureChange, said: str) -> None:
    assert picture_sentence(picture) == said


def test_each_picture_says_when_it_was_and_what_it_shows() -> None:
    (plate,) = the_gallery(Plate(change("redrawn", 0.9, 0.0), PAGE, PAGE)).plates
    assert plain(plate.told) == "inks p3: panel 1 was redrawn."
    assert [plain(sheet.told) for sheet in plate.sheets] == ["Before: inks-1", "Now: your files now"]
    assert [sheet.shows for sheet in plate.sheets] == [
        "inks p3 in inks-1, panel 1 framed", "inks p3 in your files now, panel 1 framed",
    ]  # fmt: skip


def test_of_another_layout_panels_are_framed_on_the_new_picture_alone() -> None:
    (plate,) = the_gallery(Plate(change("layout", 0.5, 0.5), PAGE, PAGE)).plates
    assert ["framed" in sheet.shows for sheet in plate.sheets] == [False, True]


@pytest.mark.parametrize(
    ("plate", "shape"),
    [
        (Plate(change("redrawn", 0.9), PAGE, PAGE), "pair"),
        (Plate(change("added"), None, PAGE), "single"),
        (Plate(change("missing"), PAGE, None), "single"),
        (Plate(change("added"), None, SPREAD), "spread"),
        (Plate(change("added"), None, None), "single"),
    ],
)
def test_how_much_room_a_page_takes(plate: Plate, shape: str) -> None:
    (told,) = the_gallery(plate).plates
    assert told.shape == shape


def test_a_side_that_cant_be_read_is_said() -> None:
    (plate,) = the_gallery(Plate(change("redrawn", 0.9), PAGE, None)).plates
    assert plain(plate.sheets[1].told) == "Now: your files now (can't be shown)"


def test_the_legend_says_what_is_there_to_be_read() -> None:
    assert the_gallery(Plate(change("added"), None, PAGE)).legend == ""
    assert the_gallery(Plate(change("swapped"), PAGE, PAGE)).legend == SIDE_BY_SIDE
    assert the_gallery(Plate(change("redrawn", 0.9), PAGE, PAGE)).legend == f"{SIDE_BY_SIDE} {FRAMES}"


@pytest.mark.parametrize(
    ("count", "said"),
    [(1, "1 more page changed and is not shown."), (7, "7 more pages changed and are not shown.")],
)
def test_pages_that_are_left_out_are_counted(count: int, said: str) -> None:
    told = gallery(Plates((Plate(change("added"), None, PAGE),), count), "inks-1", "inks-2")
    assert told[1:] == [Paragraph(said)]


def test_nothing_shown_nothing_said() -> None:
    assert gallery(Plates(), "inks-1", "inks-2") == []


def test_pictures_stand_in_the_page_and_not_in_markdown() -> None:
    told = change("redrawn", 0.9, 0.0)
    comparison = Comparison(Side("inks-1"), Side("inks-2"), pictures=(told,))
    facts = MemoFacts("The Salt Lantern", "inks-1", "inks-2", plates=Plates((Plate(told, PAGE, PAGE),)))
    html = memo_html(comparison, facts)
    assert html.count('<img src="data:image/webp;base64,d2VicA==" alt="inks p3 in inks-') == 2
    assert "img-src data:;" in html
    memo = memo_markdown(comparison, facts)
    assert "- **inks:** p3 (panel 1) was redrawn." in memo
    assert "base64" not in memo and "side by side" not in memo


def test_a_hostile_name_stays_words() -> None:
    told = PictureChange("inks", "3", "redrawn")
    facts = MemoFacts("x", '"><script>alert(1)</script>', "inks-2", plates=Plates((Plate(told, PAGE, PAGE),)))
    html = memo_html(Comparison(Side("a"), Side("b"), pictures=(told,)), facts)
    assert "<script>alert" not in html
    assert 'alt="inks p3 in &#34;&gt;&lt;script&gt;' in html


def test_difference_pictures_are_named(tmp_path_factory: pytest.TempPathFactory) -> None:
    to = tmp_path_factory.mktemp("out")
    said = differences_text(to, [to / "inks/p003.png", to / "inks/p004-005.png"])
    assert "inks/p003.png, inks/p004-005.png." in " ".join(said.split())
    assert max(map(len, said.splitlines())) <= 80
    assert differences_text(to, []) == "No difference pictures: no page that both have has changed."
