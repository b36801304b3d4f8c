"""The pictures of Pillow's own tests: what the library's tests say of them, and that none breaks the comparison.

They are in the source archive of Pillow 13.0.0 (MIT-CMU), `Tests/images`, which is fetched and never kept here.
"""

from __future__ import annotations

import io
import tarfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageStat

from ledger.pictures.assistants import Broken, Job, done
from ledger.pictures.files.decode import Unreadable, decode, digest, look, verify
from ledger.pictures.looking import readable

pytestmark = pytest.mark.pillow_pictures


@pytest.fixture(scope="module")
def pictures(pillow_pictures: Path) -> dict[str, bytes]:
    """Name -> bytes of every file in `Tests/images`."""
    found = {}
    with tarfile.open(pillow_pictures) as bundle:
        for member in bundle:
            if member.isfile() and "/Tests/images/" in member.name:
                content = bundle.extractfile(member)
                assert content is not None
                found[member.name.partition("/Tests/images/")[2]] = content.read()
    return found


def test_no_picture_breaks_or_holds_up_whoever_looks_at_it(pictures: dict[str, bytes]) -> None:
    """Each is read, or it is said why not; none takes an assistant's life or its time (8 s, 1 GiB)."""

    def jobs() -> Iterator[Job]:
        for data in pictures.values():
            yield readable, (data,)

    assert len(pictures) > 1000
    answers = dict(done(jobs()))
    said = {name: answers[number] for number, name in enumerate(pictures)}
    assert [name for name, answer in said.items() if isinstance(answer, Broken)] == []
    assert sum(answer is None for answer in said.values()) > 600
    for name in ("broken.png", "broken_data_stream.png", "truncated_image.png", "truncated_jpeg.jpg"):
        assert said[name], name


def test_sizes_and_resolutions(pictures: dict[str, bytes]) -> None:
    """As the library's tests state them (test_file_tiff.py, test_file_png.py)."""
    assert look(pictures["hopper_g4.tif"]).size == (128, 128)
    many = look(pictures["g4-multi.tiff"])
    assert (many.size, many.frames, many.mode) == ((3307, 4677), 3, "1")
    assert many.ppi == pytest.approx((400, 400))
    assert look(pictures["pport_g4.tif"]).size == (2548, 3296)
    assert look(pictures["pport_g4.tif"]).ppi == pytest.approx((200, 200))
    assert look(pictures["total-pages-zero.tif"]).ppi == pytest.approx((204, 196))
    cut = look(pictures["exif_imagemagick_orientation.png"]).ppi
    assert cut is not None and cut[0] == pytest.approx(71.9836, abs=0.0005)


def test_one_picture_in_many_forms(pictures: dict[str, bytes]) -> None:
    """The portrait in lines: G4, raw, the other way round, in the order of bits most programs don't write."""
    lines = digest(pictures["hopper_g4.tif"])
    for name in ("hopper_g4_500.tif", "hopper.iccprofile_binary.tif"):
        assert look(pictures[name]).size, name
    assert digest(pictures["hopper_bw_500.png"]) == digest(pictures["hopper_g4_500.tif"])
    assert lines == digest(_again(pictures["hopper_g4.tif"]))


def _again(data: bytes) -> bytes:
    out = io.BytesIO()
    Image.open(io.BytesIO(data)).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize("turn", range(1, 9))
def test_a_rotation_tag_turns_the_page_upright(pictures: dict[str, bytes], turn: int) -> None:
    """test_libtiff.py, test_orientation: all eight show the same picture, to 0.7 tones of a pixel."""
    upright, page = (decode(pictures[f"g4_orientation_{n}.tif"]).convert("L") for n in (1, turn))
    assert page.size == upright.size
    assert ImageStat.Stat(ImageChops.difference(page, upright)).mean[0] < 0.7


def test_sixteen_bits_and_inks(pictures: dict[str, bytes]) -> None:
    for name, mode, depth in (("16bit.cropped.tif", "grey", 16), ("tiff_16bit_RGB.tiff", "rgb", 16),
                              ("pil_sample_cmyk.jpg", "cmyk", 8), ("tiff_strip_cmyk_jpeg.tif", "cmyk", 8)):  # fmt: skip
        seen = look(pictures[name])
        assert (seen.mode, seen.depth) == (mode, depth), name
        assert decode(pictures[name]).size == seen.size


def test_traps_for_memory_are_named_or_read(pictures: dict[str, bytes]) -> None:
    traps = {name: data for name, data in pictures.items() if name.startswith("oom-") and name.endswith(".tif")}
    assert traps
    for name, data in traps.items():
        try:
            verify(data)
        except Unreadable as fault:
            assert fault.reason, name
