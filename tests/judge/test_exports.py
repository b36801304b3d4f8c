"""What the export rules say; pages of 2 x 3 inches at 100 ppi without bleed unless a test says otherwise."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterable, Iterator

import pytest
from PIL import Image

import ledger.judge.exports.judged as exports_module
import ledger.pictures.examined as examined_module
from ledger.judge.exports.judged import judge_exports
from ledger.judge.exports.large_files import LargeFileRules
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.pictures.examined import Asked, Examined
from tests.judge.rounds import Book
from tests.pictures.drawn import coloured, inked, saved, shaded

TOML = """
[book]
title = "The Ninth Supper"
pages = 8
[page]
trim_mm = [50.8, 76.2]
ppi = 100
[[pass]]
name = "script"
kind = "text"
files = "script/*.md"
[[pass]]
name = "pencils"
kind = "art"
files = "art/pencils/p{page}.*"
[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.*"
from = ["pencils"]
locks = ["drawing"]
ppi = 50
mode = "1"
"""
FULL, SMALL = (200, 300), (100, 150)


def page(seed: int = 1) -> bytes:
    return saved(shaded(seed, FULL))


def line_page(seed: int = 1) -> bytes:
    return saved(inked(seed, SMALL))


def said(book: Book, **how: set[str]) -> list[Finding]:
    state = book.state()
    return list(judge_exports(state, state.snapshot.read, **how))


def rules(book: Book, **how: set[str]) -> list[tuple[str, str | None]]:
    found = said(book, **how)
    assert all(finding.level == "query" for finding in found), "queries while the work is going on"
    return [(finding.rule, finding.page) for finding in found]


def pencils(**pages: bytes) -> Book:
    return Book(TOML).put({f"art/pencils/{name}.png": data for name, data in pages.items()})


def test_right_pages_are_no_finding() -> None:
    book = pencils(p001=page(1), p002=page(2)).put({"art/inks/p001.png": line_page()})
    assert rules(book) == []


def test_a_book_without_exports_needs_no_page_size() -> None:
    assert rules(Book('[book]\ntitle = "The Ninth Supper"\npages = 8\n')) == []


def test_exports_without_a_page_size_are_told_once() -> None:
    book = Book(TOML.replace("[page]", "[cover]").replace("ppi = 100", ""))
    book.put({"art/pencils/p001.png": page(1), "art/pencils/p002.png": page(2)})
    (finding,) = said(book)
    assert (finding.rule, finding.path, finding.page) == ("export-size", "book.toml", None)


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "the file is empty"),
        (page()[: len(page()) // 2], "it is cut short"),
        (b"PAGE ONE", "no PNG, TIFF or JPEG"),
        (b"version https://git-lfs.github.com/spec/v1\n", "large-file pointer"),
    ],
)
def test_what_cant_be_read_is_named_and_the_others_judged(data: bytes, reason: str) -> None:
    found = said(pencils(p001=data, p002=saved(shaded(2, (10, 10)))))
    assert [(f.rule, f.page) for f in found] == [("export-unreadable", "1"), ("export-size", "2")]
    assert reason in found[0].message
    assert found[0].path == "art/pencils/p001.png"


def test_a_page_that_no_round_holds_is_unpacked_whole() -> None:
    broken = saved(shaded(1, FULL), "JPEG")
    broken = broken[: len(broken) // 2]
    assert rules(Book(TOML).put({"art/pencils/p001.jpg": broken})) == [("export-unreadable", "1")]


def test_a_link_is_no_export() -> None:
    book = pencils(p001=page())
    book.modes["art/pencils/p001.png"] = "120000"
    assert rules(book) == [("export-unreadable", "1")]


def test_content_that_is_not_here_is_told_as_such() -> None:
    state = pencils(p001=page()).state()

    def read(path: str) -> bytes:
        raise ContentMissing(path, "not fetched")

    (finding,) = judge_exports(state, read)
    assert (finding.rule, finding.level) == ("export-unreadable", "query")
    assert finding.message.endswith("not fetched")


@pytest.mark.parametrize(
    ("size", "hint"),
    [
        ((150, 225), "export the page again at that size"),
        ((300, 200), "it lies on its side"),
        ((400, 600), "this is the page at 200 ppi: export it at 100 ppi"),
        ((400, 300), "this is a spread: name the file by both its pages"),
    ],
)
def test_a_wrong_size_says_what_it_looks_like(size: tuple[int, int], hint: str) -> None:
    (finding,) = said(pencils(p003=saved(shaded(1, size))))
    assert finding.message == (
        f"page 3 of pencils is {size[0]} x {size[1]} px; it must be 200 x 300 px (50.8 x 76.2 mm at 100 ppi)"
    )
    assert hint in (finding.remedy or "")


def test_a_forgotten_bleed_is_recognised() -> None:
    book = Book(TOML.replace("ppi = 100", "bleed_mm = 6.35\nppi = 100")).put({"art/pencils/p001.png": page()})
    (finding,) = said(book)
    assert "it must be 250 x 350 px (63.5 x 88.9 mm with bleed at 100 ppi)" in finding.message
    assert finding.remedy == "the bleed is missing: export with 6.35 mm more on every side"


def test_a_spread_is_two_pages_wide() -> None:
    assert rules(pencils(**{"p002-003": saved(shaded(1, (400, 300)))})) == []
    (finding,) = said(pencils(**{"p002-003": page()}))
    assert "it must be 400 x 300 px" in finding.message
    assert "this is one page" in (finding.remedy or "")


def test_the_cover_has_its_own_size() -> None:
    assert rules(pencils(cover=saved(shaded(1, (999, 9))))) == []
    book = Book(TOML + "[cover]\ntrim_mm = [127, 76.2]\n").put({"art/pencils/cover.png": saved(shaded(1, (500, 300)))})
    assert rules(book) == []
    assert rules(book.put({"art/pencils/cover.png": page()})) == [("export-size", "cover")]


def test_a_pass_has_its_own_resolution() -> None:
    assert rules(Book(TOML).put({"art/inks/p001.png": saved(inked(1, FULL))})) == [("export-size", "1")]


def test_a_rotated_page_is_judged_as_it_is_seen() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    assert rules(pencils(p001=saved(shaded(1, (300, 200)), exif=exif))) == []


def test_pixels_are_judged_before_the_stated_resolution() -> None:
    (finding,) = said(pencils(p001=saved(shaded(1, FULL), dpi=(72, 72))))
    assert finding.message == "page 1 of pencils states 72 ppi, but its pixels are those of 100 ppi"
    assert finding.remedy == "set the resolution to 100 ppi when exporting; the pixels are right"
    (wrong,) = said(pencils(p001=saved(shaded(1, (50, 75)), dpi=(72, 72))))
    assert "must be 200 x 300 px" in wrong.message


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (saved(shaded(1, SMALL)), "is in grey, the pass asks for black and white (1 bit)"),
        (saved(coloured(1, SMALL)), "is in RGB"),
        (saved(inked(1, SMALL).convert("P")), "is in indexed colours"),
    ],
)
def test_another_mode_than_the_pass_asks_for(make: bytes, words: str) -> None:
    (finding,) = said(Book(TOML).put({"art/inks/p001.png": make}))
    assert finding.rule == "export-mode"
    assert words in finding.message


def test_jpeg_is_for_neither_lines_nor_flats() -> None:
    flats = TOML.replace('name = "pencils"', 'name = "flats"').replace('"pencils"', '"flats"')
    jpeg = saved(shaded(1, FULL), "JPEG")
    assert rules(Book(TOML).put({"art/pencils/p001.jpg": jpeg})) == []
    assert rules(Book(flats).put({"art/pencils/p001.jpg": jpeg})) == [("export-mode", "1")]


def test_of_several_pictures_in_a_file_the_first_is_the_page() -> None:
    pages = {"save_all": True, "append_images": [shaded(2, FULL), shaded(3, FULL)], "dpi": (100, 100)}
    (finding,) = said(pencils(p001=saved(shaded(1, FULL), "TIFF", **pages)))
    assert finding.rule == "export-mode"
    assert finding.message == "page 1 of pencils holds 3 pictures in one file; the first is taken for the page"


LIMITED = TOML.replace("ppi = 100", "ppi = 100\nink_limit = 300")


def printed(spot: tuple[int, int, int, int], share: float = 0.25) -> Image.Image:
    """A page in CMYK with four inks laid on the upper part of it."""
    sheet = Image.new("CMYK", FULL, (0, 0, 0, 60))
    sheet.paste(spot, (0, 0, FULL[0], round(FULL[1] * share)))
    return sheet


@pytest.mark.parametrize("form", ["TIFF", "JPEG"])
def test_more_ink_than_the_paper_takes(form: str) -> None:
    how = {"quality": 100, "subsampling": 0} if form == "JPEG" else {"compression": "tiff_lzw"}
    heavy = saved(printed((255, 255, 204, 153)), form, **how)
    suffix = form[:3].lower()
    (finding,) = said(Book(LIMITED).put({f"art/pencils/p001.{suffix}": heavy}))
    assert (finding.rule, finding.level, finding.page) == ("ink-limit", "query", "1")
    assert finding.message == (
        "page 1 of pencils lays up to 340 % ink on one spot; the book's limit is 300 % (25 % of the page is over it)"
    )
    assert rules(Book(TOML).put({f"art/pencils/p001.{suffix}": heavy})) == [], "no limit, no finding"


@pytest.mark.parametrize(("share", "told"), [(1, "100 %"), (0.25, "25 %"), (0.01, "1 %")])
def test_how_much_of_a_page_is_over_the_limit_is_a_plain_number(share: float, told: str) -> None:
    (finding,) = said(Book(LIMITED).put({"art/pencils/p001.tif": saved(printed((255, 255, 204, 153), share), "TIFF")}))
    assert f"({told} of the page is over it)" in finding.message


def test_ink_at_the_limit_is_free() -> None:
    """T-170: 255, 204, 153 and 102 of 255 make 280 per cent."""
    sheet = saved(printed((255, 204, 153, 102)), "TIFF")
    for limit, found in ((280, []), (279.9, [("ink-limit", "1")])):
        book = Book(LIMITED.replace("ink_limit = 300", f"ink_limit = {limit}"))
        assert rules(book.put({"art/pencils/p001.tif": sheet})) == found


def test_a_page_without_inks_has_no_ink_limit() -> None:
    assert rules(Book(LIMITED).put({"art/pencils/p001.png": saved(coloured(1, FULL))})) == []


def test_ink_that_was_summed_before_is_not_summed_again(monkeypatch: pytest.MonkeyPatch) -> None:
    heavy = saved(printed((255, 255, 255, 255), 0.01), "TIFF")
    state = Book(LIMITED).put({"art/pencils/p001.tif": heavy}).state()
    prints: dict[str, str] = {}
    first = judge_exports(state, state.snapshot.read, prints=prints)
    assert [f.rule for f in first] == ["ink-limit"]
    assert "400 % ink" in first[0].message
    monkeypatch.setattr(examined_module, "heaviest_ink", None)
    assert judge_exports(state, state.snapshot.read, prints=prints) == first


def test_one_page_there_twice() -> None:
    (finding,) = said(pencils(p001=page(1), p1=page(2)))
    assert (finding.rule, finding.page) == ("page-number", "1")
    assert finding.message == "page 1 of pencils is there twice: art/pencils/p001.png and art/pencils/p1.png"


def test_a_page_beside_the_spread_that_holds_it() -> None:
    found = rules(pencils(**{"p012": page(1), "p012-013": saved(shaded(2, (400, 300))), "p013": page(3)}))
    assert found == [("page-number", "12"), ("page-number", "13")]


def test_a_page_there_twice_is_found_among_pages_not_asked_about() -> None:
    book = pencils(p001=page(1), p1=page(2), p002=page(3))
    assert ("page-number", "1") in rules(book, paths={"art/pencils/p002.png"})


def test_holes_in_the_numbers() -> None:
    found = said(pencils(p001=page(1), p004=page(2), p006=page(3)))
    assert [(f.rule, f.page, f.message) for f in found] == [
        ("page-gap", "2", "pencils has no export for pages 2-3, between 1 and 4"),
        ("page-gap", "5", "pencils has no export for page 5, between 4 and 6"),
    ]


def test_a_spread_and_an_omitted_page_are_no_holes() -> None:
    book = pencils(**{"p001": page(1), "p002-003": saved(shaded(2, (400, 300))), "p005": page(3)})
    script = "[page 1]\nRain.\n\n[pages 2-3]\nA flood.\n\n[page 4]\n[omitted]\n\n[page 5]\nSun.\n"
    assert rules(book) == [("page-gap", "4")]
    assert rules(book.put({"script/01.md": script})) == []


def test_holes_in_the_front_matter() -> None:
    (finding,) = said(pencils(f001=page(1), f003=page(2)))
    assert finding.message == "pencils has no export for page f2, between f1 and f3"


def test_the_same_picture_under_two_pages() -> None:
    (finding,) = said(pencils(p001=page(1), p002=page(2), p003=page(1)))
    assert (finding.rule, finding.page) == ("page-duplicate", "3")
    assert finding.message == "pages 1 and 3 of pencils show the same picture"


def test_the_same_picture_saved_again_under_another_page() -> None:
    book = pencils(p001=page(1)).put({"art/pencils/p002.tif": saved(shaded(1, FULL), "TIFF")})
    assert rules(book) == [("page-duplicate", "2")]


def test_the_same_picture_in_two_passes_is_no_double() -> None:
    same = saved(inked(1, FULL))
    book = Book(TOML.replace("ppi = 50", ""))
    assert rules(book.put({"art/pencils/p001.png": same, "art/inks/p001.png": same})) == []


def test_empty_pages_are_nobodys_doubles() -> None:
    empty = saved(Image.new("L", FULL, 255))
    book = pencils(p001=empty, p002=empty)
    assert rules(book) == []
    assert rules(book, paths={"art/pencils/p002.png"}) == []


def test_beyond_the_limit_doubles_are_found_by_their_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exports_module, "DECODED_FOR_DOUBLES", 10)
    book = pencils(p001=page(1), p002=page(1)).put({"art/pencils/p003.tif": saved(shaded(1, FULL), "TIFF")})
    assert rules(book) == [("page-duplicate", "2")]


def test_a_picture_known_by_its_object_id_is_not_decoded_again(monkeypatch: pytest.MonkeyPatch) -> None:
    white = saved(Image.new("L", FULL, 255))
    book = pencils(p001=page(1), p002=page(2), p004=white, p005=white)
    book.put({"art/pencils/p003.tif": saved(shaded(1, FULL), "TIFF")})
    state = book.state()
    prints: dict[str, str] = {}
    first = judge_exports(state, state.snapshot.read, prints=prints)
    assert [(f.rule, f.page) for f in first] == [("page-duplicate", "3")]
    assert len([name for name in prints if ":" not in name]) == len([name for name in prints if ":" in name]) == 4
    monkeypatch.setattr("ledger.pictures.assistants._hired", None)
    assert judge_exports(state, state.snapshot.read, prints=prints) == first


def test_with_paths_only_these_are_opened() -> None:
    book = pencils(p001=page(1), p002=page(1), p003=b"")
    state = book.state()
    opened: list[str] = []

    def read(path: str) -> bytes:
        opened.append(path)
        return state.snapshot.read(path)

    found = judge_exports(state, read, paths={"art/pencils/p002.png"})
    assert [(f.rule, f.page) for f in found] == [("page-duplicate", "2")]
    assert "art/pencils/p003.png" not in opened


def test_an_earlier_export_back() -> None:
    book = pencils(p001=page(1), p002=page(9))
    book.enter("pencils")
    book.put({"art/pencils/p001.png": page(2)}).enter("pencils", "1")
    assert rules(book) == []
    book.put({"art/pencils/p001.png": page(1)})
    (finding,) = said(book)
    assert (finding.rule, finding.page) == ("page-reverted", "1")
    assert finding.message == "page 1 of pencils is again what it was in pencils-1; pencils-2 holds another picture"


def test_an_earlier_export_back_that_git_has_not_seen() -> None:
    book = pencils(p001=page(1))
    book.enter("pencils")
    book.put({"art/pencils/p001.png": page(2)}).enter("pencils", "1")
    state = book.put({"art/pencils/p001.png": page(1)}).state(unseen=True)
    assert [f.rule for f in judge_exports(state, state.snapshot.read)] == ["page-reverted"]


def test_entering_an_earlier_export_says_so_once() -> None:
    book = pencils(p001=page(1))
    book.enter("pencils")
    book.put({"art/pencils/p001.png": page(2)}).enter("pencils", "1")
    book.put({"art/pencils/p001.png": page(1)}).enter("pencils", "1")
    assert rules(book, paths={"art/pencils/p001.png"}) == [("page-reverted", "1")]
    assert rules(book) == []


LARGE = "art/**/*.png filter=lfs diff=lfs merge=lfs -text\n"


def test_a_picture_in_git_itself_where_large_files_are_kept_apart() -> None:
    book = pencils(p001=page(1)).put({".gitattributes": LARGE})
    (finding,) = said(book)
    assert (finding.rule, finding.level, finding.page) == ("lfs-raw", "query", "1")
    assert rules(pencils(p001=page(1)).put({".gitattributes": "*.png -text\n"})) == []


def test_a_picture_behind_its_pointer_is_as_it_should_be() -> None:
    book = pencils(p001=b"version https://git-lfs.github.com/spec/v1\n").put({".gitattributes": LARGE})
    state = book.state()
    followed = {"art/pencils/p001.png": page(1)}
    assert judge_exports(state, followed.__getitem__) == ()


@pytest.mark.parametrize(
    ("line", "path", "large"),
    [
        ("*.png filter=lfs", "art/inks/p001.png", True),
        ("*.png filter=lfs", "art/inks/p001.tif", False),
        ("art/inks/* filter=lfs", "art/inks/p001.png", True),
        ("art/inks/* filter=lfs", "art/inks/deep/p001.png", False),
        ("art/** filter=lfs", "art/inks/p001.png", True),
        ("**/p001.png filter=lfs", "art/inks/p001.png", True),
        ("/art/inks/p?01.[pt]* filter=lfs", "art/inks/p001.tif", True),
        ("*.png filter=lfs\nart/inks/*.png -filter", "art/inks/p001.png", False),
        ("# *.png filter=lfs", "art/inks/p001.png", False),
        ("*.png -text", "art/inks/p001.png", False),
        ("p[9-0].png filter=lfs", "art/inks/p9.png", False),
    ],
)
def test_which_files_are_large_ones(line: str, path: str, large: bool) -> None:
    assert LargeFileRules(line).sends(path) == large


def test_one_picture_under_two_names_is_unpacked_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Asked] = []

    def counted(pictures: Iterable[Asked]) -> Iterator[tuple[int, Examined]]:
        def one_by_one() -> Iterator[Asked]:
            for each in pictures:
                asked.append(each)
                yield each

        return examined_module.examined(one_by_one())

    monkeypatch.setattr(exports_module, "examined", counted)
    assert rules(pencils(p001=page(1), p002=page(1), p003=page(2))) == [("page-duplicate", "2")]
    assert [(each.whole, each.known_by) for each in asked] == [(True, True)] * 2
    del asked[:]
    cut = saved(shaded(1, FULL), "JPEG")[:2000]
    assert rules(Book(TOML).put({"art/pencils/p001.jpg": cut, "art/pencils/p002.jpg": cut})) == [
        ("export-unreadable", "1"), ("export-unreadable", "2")
    ]  # fmt: skip
    assert len(asked) == 1


def test_what_breaks_an_assistant_is_unreadable_and_the_others_are_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(data: bytes) -> str:
        if len(data) == len(page(2)):
            os.kill(os.getpid(), signal.SIGSEGV)
        return "a picture"

    monkeypatch.setattr(examined_module, "digest", breaks)
    found = rules(pencils(p001=page(1), p002=page(2), p003=page(3)))
    assert found == [("export-unreadable", "2"), ("page-duplicate", "3")]
