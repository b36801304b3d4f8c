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
