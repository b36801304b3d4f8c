"""The example book for these tests, and its pages as drawn."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from ledger.desk.upkeep.example_history import project_folder
from tests.demo_book import built_demo, demo_book

__all__ = ["built_demo", "demo_book", "studio"]


@pytest.fixture(scope="session")
def studio(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with every page of every pass, as the project's drawing code draws them."""
    folder = tmp_path_factory.mktemp("studio")
    env = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    for name in ("thumbs", "pencils", "inks"):
        words = [sys.executable, "-B", "-m", "drawing", name, "--to", str(folder / name)]
        subprocess.run(words, cwd=project_folder(), env=env, check=True)
    return folder
