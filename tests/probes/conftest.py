"""The ground, built once and copied."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.probes.ground import Ground, signed


@pytest.fixture(scope="session")
def _ground(tmp_path_factory: pytest.TempPathFactory) -> Ground:
    return signed(tmp_path_factory.mktemp("ground") / "home")


@pytest.fixture
def ground(_ground: Ground, tmp_path: Path) -> Ground:
    return _ground.copied(tmp_path / "home")
