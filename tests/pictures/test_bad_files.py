"""Files that are no page, or traps: each is named, all other pages are compared, and nothing breaks or takes long."""

from __future__ import annotations

import os
import resource
import signal
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from ledger.desk.comparing import compare
from ledger.pictures import assistants
from ledger.pictures.assistants import Broken, done, one
from ledger.pictures.files.decode import Unreadable
from tests.pictures.drawn import chunk, coloured, inked, saved, shaded

#: What a bad file may take, in seconds of the processor, ours and that of those who look at it for us.
SECONDS = 10


def png(width: int, height: int, depth: int, colour: int, packed: bytes) -> bytes:
    header = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def huge(width: int, height: int, colour: int = 0) -> bytes:
    """A white page of a few kilobytes that unpacks to hundreds of megabytes, every pixel of it there."""
    packer, row = zlib.compressobj(1), b"\0" + b"\xff" * (width * (3 if colour else 1))
    return png(width, height, 8, colour, b"".join([packer.compress(row) for _ in range(height)]) + packer.flush())


def in_circles() -> bytes:
    """A TIFF whose list of pages comes back to its first."""
    data = bytearray(saved(inked(), "TIFF", compression="raw"))
    (first,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, first)
    struct.pack_into("<I", data, first + 2 + 12 * count, first)
    return bytes(data)


def wrong_sum() -> bytes:
    data = bytearray(saved(coloured()))
    data[data.index(b"IDAT") + 40] ^= 1
    return bytes(data)


def zero_tiff() -> bytes:
    data = bytearray(saved(inked(), "TIFF", compression="raw"))
    at = data.index(struct.pack("<HHI", 257, 4, 1))
    data[at + 8 : at + 12] = bytes(4)
    return bytes(data)


def half_packed_whole() -> bytes:
    """The upper half of a page whose header promises all of it, everything about the file being sound."""
    page = shaded()
    rows = b"".join(b"\0" + page.crop((0, y, page.width, y + 1)).tobytes() for y in range(page.height // 2))
    return png(*page.size, 8, 0, zlib.compress(rows))


BAD: dict[str, tuple[Callable[[], bytes], str]] = {
    "a head of 60,000 x 60,000 px": (lambda: png(60_000, 60_000, 1, 0, zlib.compress(b"no")), "larger than any page"),
    "20,000 x 16,000 px that are all there": (lambda: huge(20_000, 16_000), "larger than any page"),
    "15,000 x 15,000 px of colour": (lambda: huge(15_000, 15_000, 2), "too large for"),
    "zero size": (lambda: png(0, 9, 8, 0, zlib.compress(b"")), "zero size"),
    "a TIFF of zero size": (zero_tiff, "zero size"),
    "a wrong checksum": (wrong_sum, "checksum"),
    "cut short": (lambda: saved(coloured())[:2000], "cut short"),
    "half its rows, packed whole": (half_packed_whole, "cut short"),
    "a JPEG cut short": (lambda: saved(coloured(), "JPEG")[:2000], "cut short"),
    "a WebP cut short": (lambda: saved(coloured(), "WEBP")[:900], "cut short"),
    "nothing": (lambda: b"", "empty"),
    "words": (lambda: b"PAGE ONE\n", "no PNG"),
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_a_bad_file_is_named_and_the_others_are_compared(what: str, tmp_path: Path) -> None:
    make, reason = BAD[what]
    _, new = folders(tmp_path)
    (new / "p1.png").write_bytes(make())
    start = used()
    told = compare(tmp_path, ["old", "new"])
    assert used() - start < SECONDS
    assert [(page.page, page.kind) for page in told.pictures] == [("2", "redrawn")]
    (finding,) = told.findings
    assert finding.rule == "export-unreadable" and (finding.path or "").endswith("p1.png")
    assert reason in finding.message


def used() -> float:
    ours, theirs = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    return ours.ru_utime + ours.ru_stime + theirs.ru_utime + theirs.ru_stime


def folders(top: Path) -> tuple[Path, Path]:
    """Two rounds of two pages; the second page is another one in the second round."""
    for name, second in (("old", 2), ("new", 3)):
        (top / name).mkdir()
        (top / name / "p1.png").write_bytes(saved(inked(1)))
        (top / name / "p2.png").write_bytes(saved(inked(second)))
    return top / "old", top / "new"


def test_a_list_of_pages_that_goes_in_circles_ends(tmp_path: Path) -> None:
    _, new = folders(tmp_path)
    (new / "p1.png").write_bytes(in_circles())
    told = compare(tmp_path, ["old", "new"])
    assert [page.page for page in told.pictures] == ["2"] and told.findings == ()


def test_a_wrong_suffix_is_no_fault(tmp_path: Path) -> None:
    _, new = folders(tmp_path)
    (new / "p1.png").write_bytes(saved(inked(1), "TIFF", compression="group4"))
    told = compare(tmp_path, ["old", "new"])
    assert [page.page for page in told.pictures] == ["2"] and told.findings == ()


def test_a_folder_and_a_link_in_a_page_s_place(tmp_path: Path) -> None:
    for put in (Path.mkdir, lambda place: place.symlink_to("nowhere.png")):
        top = tmp_path / str(len(list(tmp_path.iterdir())))
        top.mkdir()
        _, new = folders(top)
        (new / "p1.png").unlink()
        put(new / "p1.png")
        told = compare(top, ["old", "new"])
        assert ("2", "redrawn") in [(page.page, page.kind) for page in told.pictures]
        assert "1" in {f.page for f in told.findings} | {page.page for page in told.pictures}


def die(how: int) -> None:
    os.kill(os.getpid(), how)


def work_on() -> None:
    assistants.allow(0)
    while True:
        pass


def ask_for_too_much() -> int:
    return len(bytes(3 << 30))


def refuse() -> None:
    raise Unreadable("as it is")


def test_an_assistant_that_dies_is_replaced_and_all_else_is_done() -> None:
    jobs = [(die, (signal.SIGSEGV,)), (len, (b"abc",)), (die, (signal.SIGKILL,)), (len, (b"ab",))]
    answers = dict(done(jobs))
    assert [answers[n] for n in (1, 3)] == [3, 2]
    assert isinstance(answers[0], Broken) and isinstance(answers[2], Broken)


def test_an_assistant_that_works_too_long_is_stopped() -> None:
    start = used()
    answer = one(work_on)
    assert isinstance(answer, Broken) and "too long" in answer.why
    assert used() - start < 60


def test_an_assistant_gets_a_gigabyte() -> None:
    with pytest.raises(MemoryError):
        one(ask_for_too_much)


def test_what_an_assistant_raises_is_raised_here() -> None:
    with pytest.raises(Unreadable, match="as it is"):
        one(refuse)


def test_a_large_page_of_lines_is_read(tmp_path: Path) -> None:
    """A page at twice 600 ppi, black and white: 100 million px."""
    page = Image.new("1", (8254, 12530), 1)
    page.paste(0, (900, 900, 4000, 4000))
    old, new = tmp_path / "old", tmp_path / "new"
    for folder in (old, new):
        folder.mkdir()
        page.save(folder / "p1.tif", compression="group4")
        page.paste(0, (5000, 900, 6000, 4000))
    told = compare(tmp_path, ["old", "new"])
    assert [page.kind for page in told.pictures] == ["touch-up"] and told.findings == ()
