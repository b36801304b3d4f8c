"""Bundles beside published readers: the `bagit` library (dev only) and `sha256sum -c` of the coreutils.

Paths with a per cent sign or a line end are left out: RFC 8493, 2.1.3, has both encoded, the library (1.9) decodes line
ends alone, and `sha256sum` decodes neither. A bundle to be read by everybody has none in its names.
"""

from __future__ import annotations

import subprocess
from hashlib import sha256
from pathlib import Path

import pytest

from ledger.render.lending.bag import tag_files

_PAGES = {"data/p001.png": b"one", "data/inks/p002 a.png": b"two" * 999, "data/ä.png": b""}


def _bag(top: Path) -> Path:
    payload = {path: (sha256(data).hexdigest(), len(data)) for path, data in _PAGES.items()}
    tags = tag_files([("Bagging-Date", "2026-03-02")], payload, {"sheet.md": "# Wörter\n".encode()})
    for path, data in {**_PAGES, **tags}.items():
        place = top / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(data)
    return top


def test_the_library_takes_it_and_notices_a_changed_page_and_a_changed_sheet(tmp_path: Path) -> None:
    bagit = pytest.importorskip("bagit", reason="bagit is not installed")
    bag = _bag(tmp_path / "bag")
    assert bagit.Bag(str(bag)).validate()
    for path in ("data/p001.png", "sheet.md"):
        (bag / path).write_bytes(b"other")
        with pytest.raises(bagit.BagError):
            bagit.Bag(str(bag)).validate()
        _bag(bag)
    assert bagit.Bag(str(bag)).validate()


def test_sha256sum_takes_both_manifests(tmp_path: Path) -> None:
    bag = _bag(tmp_path / "bag")
    for name in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
        done = subprocess.run(["sha256sum", "--strict", "-c", name], cwd=bag, capture_output=True)
        assert done.returncode == 0, done.stderr
