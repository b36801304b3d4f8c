"""Two rounds of a pass: the pages are named as a cartoonist would, the pictures drawn in code."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

import ledger.pictures.rounds.compare as compare_module
from ledger.model.change import PictureChange
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt
from ledger.pictures.rounds.compare import compare_pictures
from tests.pictures.drawn import coloured, inked, moved_by, saved, shaded

A, B, C, D = (saved(inked(seed)) for seed in (1, 2, 3, 4))
#: The same drawings in other files.
A_AGAIN, B_AGAIN = saved(inked(1), "TIFF", compression="group4"), saved(inked(2).convert("L"))


def round_of(pages: Mapping[str, bytes], known: bool = True) -> tuple[dict[str, FileAt], Callable[[FileAt], bytes]]:
    """The files of a round and how they are read; `known` is whether git has seen them."""
    held = {f"art/inks/p{label}.png": data for label, data in pages.items()}
    files = {
        label: FileAt(f"art/inks/p{label}.png", hashlib.sha1(data).hexdigest() if known else None)
        for label, data in pages.items()
    }
    return files, lambda file: held[file.path]


def told(old: Mapping[str, bytes], new: Mapping[str, bytes], known: bool = True) -> dict[str, str]:
    """Page -> what became of it, with no finding."""
    changes, findings = compared(old, new, known)
    assert findings == []
    return {change.page: change.kind for change in changes}


def compared(
    old: Mapping[str, bytes], new: Mapping[str, bytes], known: bool = True
) -> tuple[list[PictureChange], list[Finding]]:
    before, read_old = round_of(old, known)
    after, read_new = round_of(new, known)
    return compare_pictures(before, after, read_old, read_new, "inks")


CASES = {
    "nothing changed": ({"1": A, "2": B}, {"1": A, "2": B}, {}),
    "saved again": ({"1": A, "2": B}, {"1": A_AGAIN, "2": B_AGAIN}, {}),
    "one page drawn anew": ({"1": A, "2": B}, {"1": A, "2": C}, {"2": "redrawn"}),
    "a page added": ({"1": A}, {"1": A, "2": B}, {"2": "added"}),
    "a page gone": ({"1": A, "2": B}, {"1": A}, {"2": "missing"}),
    "two pages exchanged": ({"1": A, "2": B}, {"1": B, "2": A}, {"1": "swapped", "2": "swapped"}),
    "exchanged and saved again": ({"1": A, "2": B}, {"1": B_AGAIN, "2": A_AGAIN}, {"1": "swapped", "2": "swapped"}),
    "a page put in, later ones shifted": (
        {"1": A, "2": B, "3": C}, {"1": A, "2": D, "3": B, "4": C}, {"2": "redrawn", "3": "swapped", "4": "added"},
    ),
    "a page taken out, later ones shifted": (
        {"1": A, "2": B, "3": C}, {"1": B, "2": C}, {"1": "swapped", "2": "swapped", "3": "missing"},
    ),
    "one page copied over another": ({"1": A, "2": B}, {"1": A, "2": A}, {"2": "swapped"}),
    "copied over another and saved again": ({"1": A, "2": B}, {"1": A, "2": A_AGAIN}, {"2": "swapped"}),
    "cover and spread": ({"cover": A, "24-25": B}, {"cover": C, "24-25": B}, {"cover": "redrawn"}),
    "from an empty folder": ({}, {"1": A}, {"1": "added"}),
}  # fmt: skip


@pytest.mark.parametrize("known", [True, False], ids=["in git", "in plain folders"])
@pytest.mark.parametrize("case", CASES)
def test_what_became_of_each_page(case: str, known: bool) -> None:
    old, new, expected = CASES[case]
    assert told(old, new, known) == expected


def test_a_page_made_empty_is_not_another_empty_page() -> None:
    empty = saved(Image.new("1", inked().size, 1))
    assert told({"1": A, "2": empty}, {"1": empty, "2": empty}) == {"1": "redrawn"}


def test_pages_pair_by_number_whatever_the_suffix() -> None:
    old = {"1": FileAt("old/p01.png", None)}
    new = {"1": FileAt("new/p001.tif", None)}
    assert compare_pictures(old, new, lambda _: A, lambda _: A_AGAIN, "inks") == ([], [])


def test_the_same_object_is_never_read() -> None:
    def refuse(file: FileAt) -> bytes:
        raise AssertionError(f"{file.path} was read")

    files, _ = round_of({"1": A, "2": B})
    assert compare_pictures(files, files, refuse, refuse, "inks") == ([], [])


def test_every_panel_of_a_changed_page_stands_with_its_share_of_ink() -> None:
    touched = inked()
    touched.paste(0, (30, 40, 60, 70))
    (small,), _ = compared({"1": A}, {"1": saved(touched)})
    (large,), _ = compared({"1": A}, {"1": D})
    assert (small.kind, large.kind) == ("touch-up", "redrawn")
    assert [panel.index for panel in small.panels] == [1, 2]
    assert 0 < small.panels[0].changed < 1 / 3 < large.panels[0].changed <= 1
    assert small.panels[1].changed == 0


def test_one_pixel_by_one_tone_is_what_saving_does() -> None:
    large = shaded(size=(1700, 2500))
    touched = large.copy()
    touched.putpixel((850, 1250), (large.getpixel((850, 1250)) + 1) % 256)
    assert told({"1": saved(large)}, {"1": saved(touched)}) == {}


def test_the_share_of_ink_counts_colour_and_another_size() -> None:
    (other,), _ = compared({"1": saved(coloured())}, {"1": saved(coloured(size=(120, 180)))})
    assert other.kind == "redrawn"
    assert 0 < other.panels[0].changed < 0.6


def test_a_picture_that_cant_be_read_is_named_and_the_others_compared() -> None:
    changes, (finding,) = compared({"1": A, "2": B, "3": C}, {"1": A[: len(A) // 2], "2": B, "3": D})
    assert [(change.page, change.kind) for change in changes] == [("3", "redrawn")]
    assert (finding.rule, finding.level, finding.page, finding.path) == (
        "export-unreadable", "query", "1", "art/inks/p1.png",
    )  # fmt: skip
    assert finding.message == "the new art/inks/p1.png can't be read as a picture: it is cut short"


def test_unreadable_on_the_old_side_and_in_an_added_page() -> None:
    changes, findings = compared({"1": b"", "2": B}, {"1": A, "2": C, "3": b"words"})
    assert [(change.page, change.kind) for change in changes] == [("2", "redrawn"), ("3", "added")]
    assert {(finding.page, finding.message.split()[1]) for finding in findings} == {("1", "old"), ("3", "new")}


def test_content_that_is_not_here_is_named() -> None:
    files, read = round_of({"1": A})
    changed = {"1": FileAt("art/inks/p1.png", "0" * 40)}

    def absent(file: FileAt) -> bytes:
        raise ContentMissing(file.path, "not fetched")

    changes, (finding,) = compare_pictures(files, changed, read, absent, "inks")
    assert changes == []
    assert "not fetched" in finding.message


def test_a_link_is_no_picture() -> None:
    files, read = round_of({"1": A})
    linked = {"1": FileAt("art/inks/p1.png", "1" * 40, "120000")}
    _, (finding,) = compare_pictures(files, linked, read, read, "inks")
    assert "link" in finding.message


def test_two_passes_are_not_told_apart_line_by_line() -> None:
    before, read_old = round_of({"1": A, "2": B, "3": C})
    after, read_new = round_of({"1": B, "2": b"", "4": D})
    changes, (finding,) = compare_pictures(before, after, read_old, read_new, "inks", across=True)
    assert changes == []
    assert (finding.rule, finding.page) == ("export-unreadable", "2")


def test_one_page_there_twice_compares_the_first_and_says_so() -> None:
    twice = {"1": (FileAt("p001.png", None), FileAt("p1.png", None))}
    once = {"1": FileAt("p001.png", None)}
    changes, (finding,) = compare_pictures(once, twice, lambda _: A, lambda f: A if f.path == "p001.png" else B, "inks")
    assert changes == []
    assert (finding.rule, finding.page) == ("page-number", "1")


def test_beyond_the_limit_a_copy_saved_again_is_called_redrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compare_module, "LOOKED_THROUGH", 10)
    assert told({"1": A, "2": B}, {"1": A, "2": A_AGAIN}) == {"2": "redrawn"}
    assert told({"1": A, "2": B}, {"1": B_AGAIN, "2": A_AGAIN}) == {"1": "swapped", "2": "swapped"}


PAGES = dict(zip("ABCD", (A, B, C, D), strict=True))
ROUNDS = st.dictionaries(st.sampled_from(["1", "2", "3", "4-5"]), st.sampled_from("ABCD"), max_size=4)


@given(ROUNDS, ROUNDS)
@settings(max_examples=40, deadline=None)
def test_one_way_and_back(old: dict[str, str], new: dict[str, str]) -> None:
    before, after = ({page: PAGES[each] for page, each in pages.items()} for pages in (old, new))
    forth, back = told(before, after), told(after, before)
    assert {p for p, k in forth.items() if k == "added"} == {p for p, k in back.items() if k == "missing"}
    assert set(forth) == set(back) == {p for p in {*old, *new} if old.get(p) != new.get(p)}
    assert told(before, before) == {}


@pytest.mark.filterwarnings("error")
def test_a_small_page_seen_in_a_mirror_is_compared_without_a_word_of_warning() -> None:
    small = Image.new("L", (50, 75), 255)
    small.paste(0, (5, 20, 20, 60))
    assert told({"1": saved(small)}, {"1": saved(small.transpose(Image.Transpose.FLIP_LEFT_RIGHT))})


def test_a_night_shifted_along_its_long_borders_is_the_same() -> None:
    night = Image.new("L", (1050, 1590), 255)
    pen = ImageDraw.Draw(night)
    pen.rectangle((55, 55, 990, 1530), fill=0)
    pen.ellipse((610, 450, 840, 680), fill=255)
    for far in range(0, 200, 24):
        pen.line((725, 560, 620 + far, 460), fill=0, width=2)
    pen.ellipse((780, 600, 790, 610), fill=0)
    assert told({"1": saved(night)}, {"1": saved(moved_by(night, 0, 2))}) == {}
