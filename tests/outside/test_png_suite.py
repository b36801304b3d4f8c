"""Pictures of the PngSuite against a second decoder, pypng's own: both see the same page on white paper.

The suite and the decoder are in the source archive of pypng 0.20220715.0 (MIT), which is fetched and never kept here.
The decoder is written in Python alone and shares nothing with the one the tool uses.
"""

from __future__ import annotations

import sys
import tarfile
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from ledger.pictures.files.decode import Unreadable, decode, digest, look, verify

pytestmark = pytest.mark.png_suite

FOLDER = "pypng-0.20220715.0/code"
#: This one says that three of its four bits count (sBIT); the second decoder widens tones by that, the tool by four.
NARROWED = {"Basn0g03"}


@pytest.fixture(scope="module")
def modules(png_suite: Path) -> tuple[ModuleType, ModuleType]:
    """The decoder and the suite, run from the archive."""
    with tarfile.open(png_suite) as bundle:
        found = tuple(_module(bundle, name) for name in ("png", "pngsuite"))
    return found[0], found[1]


def _module(bundle: tarfile.TarFile, name: str) -> ModuleType:
    source = bundle.extractfile(f"{FOLDER}/{name}.py")
    assert source is not None
    module = ModuleType(name)
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, name, module)
        exec(compile(source.read(), name, "exec"), module.__dict__)
    return module


def on_paper(reader: Any) -> tuple[tuple[int, int], list[float]]:
    """Size, and every channel of every pixel on white paper from 0 to 255, by the second decoder."""
    width, height, rows, facts = reader.asRGBA()
    top = 2 ** facts["bitdepth"] - 1
    tones = []
    for row in rows:
        for at in range(0, 4 * width, 4):
            cover = row[at + 3] / top
            tones += [255 * (1 - cover) + 255 * tone / top * cover for tone in row[at : at + 3]]
    return (width, height), tones


def test_there_are_28_pictures(modules: tuple[ModuleType, ModuleType]) -> None:
    assert len(modules[1].png) == 28


def test_both_decoders_see_the_same_page(modules: tuple[ModuleType, ModuleType]) -> None:
    decoder, suite = modules
    for name in sorted(set(suite.png) - NARROWED):
        data = bytes(suite.png[name])
        page = decode(data)
        size, tones = on_paper(decoder.Reader(bytes=data))
        assert page.size == look(data).size == size, name
        seen = page.convert("RGB").tobytes()
        furthest = max(abs(have - want) for have, want in zip(seen, tones, strict=True))
        exact = not look(data).alpha and look(data).depth < 16 and name != "cs3n3p08"
        # Sixteen bits are cut to eight and half-covered paper is rounded: less than one tone.
        assert furthest < (1e-6 if exact else 1), f"{name}: {furthest}"


def test_interlaced_and_plain_are_the_same_picture(modules: tuple[ModuleType, ModuleType]) -> None:
    suite = modules[1].png
    for kind in ("0g01", "0g02", "0g04", "0g08", "0g16", "2c16"):
        assert digest(bytes(suite[f"basi{kind}"])) == digest(bytes(suite[f"basn{kind}"])), kind


def test_every_picture_cut_in_half_is_unreadable(modules: tuple[ModuleType, ModuleType]) -> None:
    for name, data in modules[1].png.items():
        verify(bytes(data))
        with pytest.raises(Unreadable):
            verify(bytes(data)[: len(data) // 2])
        assert digest(bytes(data) + b"more") == digest(bytes(data)), name
