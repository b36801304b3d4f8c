"""A first look whether a folder can belong to a repository."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from ledger.gitedge.outside import surely_outside


@pytest.fixture(autouse=True)
def nothing_named(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR", "GIT_OBJECT_DIRECTORY"):
        monkeypatch.delenv(name, raising=False)


def test_a_plain_folder_is_outside(tmp_path: Path) -> None:
    assert surely_outside(tmp_path)


def test_a_folder_of_a_repository_is_not(tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    (tmp_path / "script").mkdir()
    assert not surely_outside(tmp_path)
    assert not surely_outside(tmp_path / "script")


def test_a_link_into_a_repository_is_not(tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", str(tmp_path / "book")], check=True)
    (tmp_path / "way in").symlink_to(tmp_path / "book")
    assert not surely_outside(tmp_path / "way in")


def test_a_broken_git_folder_is_for_git_to_judge(tmp_path: Path) -> None:
    (tmp_path / ".git").write_text("gitdir: nowhere\n")
    assert not surely_outside(tmp_path)


def test_a_repository_that_is_named_is_for_git_to_judge(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_DIR", str(tmp_path / "elsewhere"))
    assert not surely_outside(tmp_path)
