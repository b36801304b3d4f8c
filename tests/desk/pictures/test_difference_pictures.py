"""`compare --out`: difference pictures of two folders, and whose files are never touched."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.desk.comparing import compare_contents, sides
from ledger.desk.pictures.difference_pictures import write_differences
from ledger.desk.reference import open_desk
from ledger.model.errors import Refusal
from ledger.read.made_here import is_difference_picture
from tests.judge.test_stale import four_panels, touched
from tests.pictures.drawn import inked, saved


@pytest.fixture
def folders(tmp_path: Path) -> Path:
    """Two rounds: page 1 touched up, the spread 2-3 as it was, page 4 new, page 5 gone, the cover drawn anew."""
    old = {"p001": saved(four_panels()), "p002-003": saved(inked(2)), "p005": saved(inked(5)), "cover": saved(inked(8))}
    new = {"p001": touched(0.05), "p002-003": saved(inked(2)), "p004": saved(inked(4)), "cover": saved(inked(9))}
    for side, pages in (("old", old), ("new", new)):
        (tmp_path / side).mkdir()
        for name, data in pages.items():
            (tmp_path / side / f"{name}.png").write_bytes(data)
    return tmp_path


def write(folders: Path, to: Path) -> list[str]:
    old, new = sides(open_desk(folders), ["old", "new"])
    found = compare_contents(old, new)
    return [str(path.relative_to(to)) for path in write_differences(old, new, found.pictures, to)]


def test_every_changed_page_that_both_have(folders: Path) -> None:
    to = folders / "out" / "deep"
    assert write(folders, to) == ["pages/cover.png", "pages/p001.png"]
    assert all(is_difference_picture(each.read_bytes()) for each in to.rglob("*.png"))


def test_written_again_over_our_own(folders: Path) -> None:
    to = folders / "out"
    first = write(folders, to)
    (to / "pages/p001.png").write_bytes((to / "pages/cover.png").read_bytes())
    before = (to / "pages/p001.png").read_bytes()
    assert write(folders, to) == first
    assert (to / "pages/p001.png").read_bytes() != before


@pytest.mark.parametrize("stands", [saved(inked(1)), b"", b"my own notes"])
def test_never_over_a_file_that_is_somebody_elses(folders: Path, stands: bytes) -> None:
    to = folders / "out"
    (to / "pages").mkdir(parents=True)
    (to / "pages/p001.png").write_bytes(stands)
    with pytest.raises(Refusal, match="no difference picture"):
        write(folders, to)
    assert [each.name for each in (to / "pages").iterdir()] == ["p001.png"], "nothing was written beside it either"
    assert (to / "pages/p001.png").read_bytes() == stands


def test_not_through_links_nor_where_no_folder_can_be(folders: Path) -> None:
    to = folders / "out"
    (to / "pages").mkdir(parents=True)
    (folders / "precious.png").write_bytes(b"mine")
    (to / "pages/p001.png").symlink_to(folders / "precious.png")
    with pytest.raises(Refusal, match="no difference picture"):
        write(folders, to)
    assert (folders / "precious.png").read_bytes() == b"mine"
    with pytest.raises(Refusal, match="no folder"):
        write(folders, folders / "precious.png")


def test_nothing_changed_nothing_written(folders: Path) -> None:
    old, new = sides(open_desk(folders), ["old", "old"])
    assert write_differences(old, new, compare_contents(old, new).pictures, folders / "out") == []
    assert not (folders / "out").exists()
