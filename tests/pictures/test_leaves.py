"""Pages of a packet: how large they are, and that they keep to their share."""

from __future__ import annotations

import io
import random

import pytest
from PIL import Image

from ledger.pictures.files.decode import Unreadable
from ledger.pictures.leaves import SIDE, leaf


def noisy(width: int, height: int) -> bytes:
    """A page that packs badly."""
    out = io.BytesIO()
    Image.frombytes("L", (width, height), random.Random(3).randbytes(width * height)).save(out, "PNG")
    return out.getvalue()


def test_the_long_side_is_made_smaller_and_never_larger() -> None:
    shown, _ = leaf(noisy(1200, 1800), 1 << 30)
    assert (shown.width, shown.height) == (640, SIDE)
    assert Image.open(io.BytesIO(shown.data)).format == "WEBP"
    small, _ = leaf(noisy(40, 60), 1 << 30)
    assert (small.width, small.height) == (40, 60)


def test_a_page_over_its_share_is_packed_more_coarsely_at_the_same_size() -> None:
    data = noisy(640, 960)
    fine, step = leaf(data, 1 << 30)
    coarse, then = leaf(data, len(fine.data) * 3 // 4)
    assert len(coarse.data) <= len(fine.data) * 3 // 4 and coarse.height == fine.height
    assert (step, then > 0) == (0, True)
    roomy, back = leaf(data, 1 << 30, then)
    assert back == then - 1 and len(roomy.data) < len(fine.data)


def test_what_is_no_picture_is_refused() -> None:
    with pytest.raises(Unreadable):
        leaf(b"no picture", 1000)
