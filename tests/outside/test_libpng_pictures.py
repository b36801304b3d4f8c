"""The PngSuite as libpng ships it against pypng's decoder, and the files that broke decoders: named or read.

The suite is in the source of libpng 1.6.39 in Debian bookworm, `contrib/pngsuite` (60 pictures) and
`contrib/testpngs/crashers`; the second decoder in the source of pypng 0.20220715.0. Both are fetched and never kept
here.
"""

from __future__ import annotations

import tarfile
import time
from pathlib import Path

import pytest

from ledger.model.snapshot import FileAt
from ledger.pictures.files.decode import Unreadable, decode, digest, look
from ledger.pictures.rounds.compare import compare_pictures
from tests.outside.test_png_suite import _module, on_paper
from tests.pictures.drawn import inked, saved

pytestmark = [pytest.mark.libpng, pytest.mark.png_suite]

#: pypng shows no tone between a background and what lies on it; these pictures of the suite have such tones, and the
#: one with 16-bit transparency is cut to 8 bits by the tool's decoder before it is looked up.
LOOSE = 1.0


@pytest.fixture(scope="module")
def pictures(libpng: Path) -> dict[str, bytes]:
    """Name in `contrib` -> bytes of every PNG there."""
    found = {}
    with tarfile.open(libpng) as bundle:
        for member in bundle:
            if member.isfile() and "/contrib/" in member.name and member.name.endswith(".png"):
                content = bundle.extractfile(member)
                assert content is not None
                found[member.name.partition("/contrib/")[2]] = content.read()
    return found


def test_every_picture_of_the_suite_is_what_a_second_decoder_sees(pictures: dict[str, bytes], png_suite: Path) -> None:
    with tarfile.open(png_suite) as bundle:
        decoder = _module(bundle, "png")
    suite = {name: data for name, data in pictures.items() if name.startswith("pngsuite/")}
    assert len(suite) >= 60
    for name, data in suite.items():
        page = decode(data)
        size, tones = on_paper(decoder.Reader(bytes=data))
        assert page.size == look(data).size == size, name
        seen = page.convert("RGB").tobytes()
        furthest = max(abs(have - want) for have, want in zip(seen, tones, strict=True))
        assert furthest <= LOOSE, f"{name}: {furthest}"


def test_interlaced_pictures_are_the_plain_ones(pictures: dict[str, bytes]) -> None:
    pairs = [name for name in pictures if name.startswith("pngsuite/interlaced/i")]
    assert pairs
    for name in pairs:
        plain = "pngsuite/" + name.rpartition("/i")[2]
        assert digest(pictures[name]) == digest(pictures[plain]), name


def test_what_broke_decoders_is_named_or_read_and_the_others_compared(pictures: dict[str, bytes]) -> None:
    crashers = {name.rpartition("/")[2]: data for name, data in pictures.items() if "/crashers/" in name}
    assert {"badcrc.png", "badadler.png", "huge_IDAT.png"} <= set(crashers)
    page = saved(inked(1))
    old = {str(n): page for n in range(len(crashers) + 1)}
    new = {str(n): data for n, data in enumerate([*crashers.values(), saved(inked(2))])}
    files = {label: FileAt(label, None) for label in old}
    start = time.perf_counter()
    changes, findings = compare_pictures(files, files, lambda f: old[f.path], lambda f: new[f.path], "inks")
    assert time.perf_counter() - start < 10 * len(crashers)
    named = {finding.page for finding in findings}
    assert {finding.rule for finding in findings} <= {"export-unreadable"}
    assert named | {change.page for change in changes} == set(old)
    for label, data in new.items():
        try:
            decode(data)
        except Unreadable:
            assert label in named
