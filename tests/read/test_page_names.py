"""Foreign names and the pages they mean."""

from __future__ import annotations

import pytest

from ledger.read.page_names import natural, pages_by_name, pages_in_order


@pytest.mark.parametrize(
    ("names", "labels"),
    [
        (["p012.png", "012-013.png", "f001.png", "cover.png"], ["12", "12-13", "f1", "cover"]),
        (["Page 7.tif", "salt_pg07_final2.tif", "Salt p. 8.tif"], ["7", "7", "8"]),
        (["tide_012_v3.png", "tide_013_v3.png"], ["12", "13"]),
        (["2025-03-01_004.png", "2025-03-01_005.png"], ["4", "5"]),
        (["scan.png", "IMG_20250301_1200.png"], [None, "1200"]),
        (["salt 24-25.png", "salt 26.png"], ["24-25", "26"]),
        (["Front Cover.png", "salt cover v2.png"], ["cover", "cover"]),
    ],
)
def test_pages_by_name(names: list[str], labels: list[str | None]) -> None:
    assert list(pages_by_name(names).values()) == labels


def test_in_name_order() -> None:
    assert pages_in_order(["b10", "B2", "a"], 4) == {"a": "4", "B2": "5", "b10": "6"}
    assert sorted(["é2", "é10", "x²"], key=natural)


@pytest.mark.parametrize(
    ("names", "labels"),
    [
        (["discovery_03.png", "discovery_04.png"], ["3", "4"]),
        (["step 3 of 9.png", "step 4 of 9.png"], ["3", "4"]),
        (["vol2_012.png", "vol2_013.png"], ["12", "13"]),
        (["12_of_160.png", "13_of_160.png"], ["12", "13"]),
        (["salt p24-25.png", "salt p24-26.png", "salt_p0024.png"], ["24-25", "24", "24"]),
        (["salt_F02.png", "salt_b10.png"], ["f2", "b10"]),
        (["salt.png", "0000.png", "20250301120000.png"], [None, "0", None]),
        (["x" + "9" * 5000 + ".png", "²³.png"], [None, None]),
        ([], []),
    ],
)
def test_numbers_that_are_pages_and_numbers_that_are_not(names: list[str], labels: list[str | None]) -> None:
    assert list(pages_by_name(names).values()) == labels


def test_a_page_named_by_itself_helps_none_of_the_others() -> None:
    assert pages_by_name(["p5.png", "tide_7_a1.png", "tide_8_a1.png"]) == {
        "p5.png": "5", "tide_7_a1.png": "7", "tide_8_a1.png": "8"}  # fmt: skip


def test_a_name_of_more_digits_than_anybody_counts_has_its_place() -> None:
    names = ["scan" + "9" * 6000, "scan10", "scan2", "scan002"]
    assert list(pages_in_order(names, 1)) == ["scan002", "scan2", "scan10", names[0]]
