"""Tests that need a program which is missing are left out by name, or fail the run where everything is to be run."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ONE = "tests/gitedge/test_tags.py::test_a_large_file_that_is_not_in_the_store_is_missing"
OTHER = "tests/gitedge/test_tags.py::test_objects_that_are_not_here_are_counted_out"


@pytest.fixture
def bare_path(tmp_path: Path) -> str:
    """A folder with git alone, to stand for the PATH of a machine without git-lfs."""
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin/git").symlink_to(shutil.which("git") or "")
    return str(tmp_path / "bin")


def run(path: str, *args: str, **env: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *args, ONE, OTHER]
    return subprocess.run(command, cwd=ROOT, env={**os.environ, "PATH": path, **env}, capture_output=True, text=True)


@pytest.mark.parametrize("workers", [(), ("-n", "2")])
def test_what_is_left_out_is_named(bare_path: str, workers: tuple[str, ...]) -> None:
    done = run(bare_path, *workers, INKLEDGER_TEST_EVERYTHING="")
    assert done.returncode == 0, done.stdout
    assert "left out, because git-lfs is missing here" in done.stdout
    assert f"\n{ONE}\n" in done.stdout
    assert OTHER not in done.stdout


def test_where_everything_is_to_be_run_the_run_fails(bare_path: str) -> None:
    done = run(bare_path, INKLEDGER_TEST_EVERYTHING="1")
    assert done.returncode == 4
    assert "every test is to be run, but this is missing here: git-lfs" in done.stderr + done.stdout
