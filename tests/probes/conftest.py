"""The ground, built once and copied; the command, installed once."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.probes.ground import Ground, signed
from tests.probes.installed import installed


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "group(name, kind): what is probed, as `python -m tests.bench doors` counts it")


@pytest.fixture(scope="session")
def program(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The command, installed from the wheel."""
    return installed(tmp_path_factory.mktemp("installed"))


@pytest.fixture(scope="session")
def _ground(tmp_path_factory: pytest.TempPathFactory, program: Path) -> Ground:
    return signed(tmp_path_factory.mktemp("ground") / "home", program)


@pytest.fixture
def ground(_ground: Ground, tmp_path: Path) -> Ground:
    return _ground.copied(tmp_path / "home")
