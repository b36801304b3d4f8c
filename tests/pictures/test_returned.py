"""What comes back from a helper, held against what was asked and given (T-171 to T-176)."""

from __future__ import annotations

from typing import Any

import pytest
from PIL import Image

from ledger.pictures.returned import Fault, Wanted, judge_returned
from tests.pictures.drawn import saved

WANTED = Wanted((40, 60), 0, "rgb", 8)


def flats(size: tuple[int, int] = (40, 60), mode: str = "RGB") -> Image.Image:
    return Image.new("RGB", size, (10, 90, 200)).convert(mode)


@pytest.mark.parametrize("form", ["PNG", "TIFF"])
def test_a_page_of_the_size_and_mode_that_were_asked_is_good(form: str) -> None:
    assert judge_returned("flats", saved(flats(), form), None, WANTED) == ()
    assert judge_returned("flats", saved(flats().quantize(4)), None, WANTED) == ()


@pytest.mark.parametrize(("size", "within", "wrong"), [((41, 60), 0, True), ((41, 59), 1, False), ((60, 40), 1, True)])
def test_another_size_is_told_with_both(size: tuple[int, int], within: int, wrong: bool) -> None:
    found = judge_returned("flats", saved(flats(size)), None, WANTED._replace(within=within))
    assert [each.rule for each in found] == ["return-size"] * wrong
    assert not found or f"{size[0]} x {size[1]} px; asked were 40 x 60 px" in found[0].message


@pytest.mark.parametrize(
    ("mode", "form", "how", "word"),
    [("L", "PNG", {}, "grey"), ("1", "PNG", {}, "1 bit"), ("CMYK", "TIFF", {}, "CMYK"), ("RGB", "JPEG", {}, "JPEG"),
     ("RGB", "TIFF", {"save_all": True, "append_images": [flats()]}, "2 pictures")],
)  # fmt: skip
def test_another_mode_is_told(mode: str, form: str, how: dict[str, Any], word: str) -> None:
    (found,) = judge_returned("colour", saved(flats(mode=mode), form, **how), None, WANTED)
    assert found.rule == "return-mode" and word in found.message


def test_what_is_no_picture_is_unreadable() -> None:
    whole = saved(flats(), compress_level=0)
    for data in (b"", b"no picture", whole[: len(whole) // 2]):
        (found,) = judge_returned("page", data, None, Wanted())
        assert isinstance(found, Fault) and found.rule == "export-unreadable"
