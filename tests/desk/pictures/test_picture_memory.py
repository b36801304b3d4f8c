"""What is kept of pictures that were decoded before; losing it costs time and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.desk.pictures import by_method, picture_memory
from ledger.desk.pictures.looked_at import looked_at
from ledger.desk.pictures.picture_memory import prints_remembered, remember, remember_prints, remembered
from ledger.gitedge.repository import Repository
from ledger.pictures import METHOD
from tests.books import Book

A, B, C = "a" * 40, "b" * 40, "c" * 64


@pytest.fixture
def repo(tmp_path: Path) -> Repository:
    return Repository.find(Book.new(tmp_path / "book", {"book.toml": ""}).top)


def kept(repo: Repository) -> list[Path]:
    """The files in which it is kept."""
    folder = Path(repo.in_common_dir("inkledger"))
    return sorted(folder.iterdir()) if folder.is_dir() else []


def test_nothing_is_known_at_first_and_nothing_is_written_by_asking(repo: Repository) -> None:
    assert remembered(repo) == {} and prints_remembered(repo) == {}
    assert kept(repo) == []


def test_what_is_kept_is_known_again(repo: Repository) -> None:
    kinds = {(A, B): "same", (B, A): "redrawn", (A, C): "touch-up", (C, C): "layout"}
    remember(repo, kinds)
    remember_prints(repo, {A: "grey:12", C: "1:9"})
    assert remembered(repo) == kinds and prints_remembered(repo) == {A: "grey:12", C: "1:9"}
    remember(repo, {(A, B): "same"})
    assert remembered(repo) == {(A, B): "same"}
    assert len(kept(repo)) == 2, "no half-written file is left beside them"


def test_what_older_methods_kept_goes_when_something_newer_is_written(repo: Repository) -> None:
    remember(repo, {(A, B): "same"})
    folder, mine = kept(repo)[0].parent, kept(repo)[0].name
    older = ("pictures-0", f"pictures-{METHOD - 1}")
    others = (f"pictures-{METHOD + 1}", "pictures-old", "prints-0", "looked-at-0", "notes-0")
    for name in (*older, *others):
        (folder / name).write_text("x")
    assert remembered(repo) == {(A, B): "same"}
    assert {p.name for p in kept(repo)} == {mine, *older, *others}, "asking removes nothing"
    remember(repo, {(A, B): "redrawn"})
    assert {p.name for p in kept(repo)} == {mine, *others}
    with looked_at(repo) as memory:
        memory["a"] = "b"
    assert {p.name for p in kept(repo)} == {mine, f"looked-at-{METHOD}", *others} - {"looked-at-0"}


def test_the_panels_that_changed_are_kept_with_the_kind(repo: Repository) -> None:
    remember(repo, {(A, B): "redrawn:2,3", (A, f"{B}<"): "redrawn:1,4", (A, C): "layout"})
    assert remembered(repo) == {(A, B): "redrawn:2,3", (A, f"{B}<"): "redrawn:1,4", (A, C): "layout"}


def test_two_working_trees_of_one_repository_share_it(repo: Repository, tmp_path: Path) -> None:
    remember(repo, {(A, B): "same"})
    repo.run("worktree", "add", "-q", str(tmp_path / "other"))
    assert remembered(Repository.find(tmp_path / "other")) == {(A, B): "same"}


@pytest.mark.parametrize(
    "row",
    [
        b"",
        b"\n",
        b"x",
        b"a b",
        b"a b same more",
        b"a b swapped",
        b"a b SAME",
        b"a  b same",
        b"\xff b same",
        b"\0 \0 \0",
    ],
)
def test_rows_that_are_nothing_are_passed_over(repo: Repository, row: bytes) -> None:
    remember(repo, {(A, B): "same"})
    (place,) = kept(repo)
    place.write_bytes(place.read_bytes() + row + b"\n")
    assert remembered(repo) in ({(A, B): "same"}, {}) and set(remembered(repo).values()) <= {"same"}
    remember_prints(repo, {A: "x"})
    prints = next(each for each in kept(repo) if each != place)
    prints.write_bytes(prints.read_bytes() + row + b"\n")
    assert prints_remembered(repo).get(A) in ("x", None)


def test_only_the_newest_are_kept(repo: Repository, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture_memory, "_MOST", 3)
    remember(repo, {(str(n), "x"): "same" for n in range(9)})
    assert list(remembered(repo)) == [("6", "x"), ("7", "x"), ("8", "x")]


def test_another_way_of_looking_knows_nothing_of_it(repo: Repository, monkeypatch: pytest.MonkeyPatch) -> None:
    remember(repo, {(A, B): "same"})
    monkeypatch.setattr(by_method, "METHOD", METHOD + 1)
    assert remembered(repo) == {}


def test_where_nothing_can_be_written_nothing_fails(repo: Repository) -> None:
    Path(repo.in_common_dir("inkledger")).write_bytes(b"a file in the way")
    remember(repo, {(A, B): "same"})
    remember_prints(repo, {A: "x"})
    assert remembered(repo) == {} and prints_remembered(repo) == {}


def test_a_folder_in_its_place_fails_nothing(repo: Repository) -> None:
    remember(repo, {(A, B): "same"})
    (place,) = kept(repo)
    place.unlink()
    place.mkdir()
    remember(repo, {(A, B): "same"})
    assert remembered(repo) == {}
    assert kept(repo) == [place], "nothing half-written may pile up beside it"


def test_a_file_without_end_is_read_to_its_limit_and_one_that_leads_elsewhere_not_at_all(
    repo: Repository, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    remember(repo, {(A, B): "same"})
    (place,) = kept(repo)
    row = place.read_bytes()
    monkeypatch.setattr(picture_memory, "_BYTES", len(row))
    place.write_bytes(row + b"c d same\n" * 9)
    assert remembered(repo) == {(A, B): "same"}
    (tmp_path / "elsewhere").write_bytes(row)
    place.unlink()
    place.symlink_to(tmp_path / "elsewhere")
    assert remembered(repo) == {}
