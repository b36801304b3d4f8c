"""A packet of 124 pages: what building it costs beside decoding and packing its pictures alone, its size, its opening.

`python -m tests.bench packets [--slice]`. The opening is timed in Chromium and told as seconds, for it is a promise to
a reader in seconds; the rest are ratios within one run.
"""

from __future__ import annotations

import io
import random
import shutil
import statistics
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageDraw

from ledger.desk.lending.packets import PacketWish, packet
from ledger.pictures.files.decode import decode
from ledger.pictures.leaves import SIDE
from ledger.render.lending.packet_page import packet_html
from tests.typed_book import TypedBook, typed_book

#: A page of 168.3 x 258.8 mm with bleed at 300 ppi; what the parts of the promise are.
SIZE = (2064, 3132)
PAGES = 124
MOST_RATIO, MOST_MIB, MOST_SECONDS = 1.5, 15, 1.5


def packets(arguments: Sequence[str]) -> None:
    """Builds a book of grey and coloured pages, makes its packet, opens it."""
    count, times = (24, 1) if "--slice" in arguments else (PAGES, 3)
    with tempfile.TemporaryDirectory() as folder:
        book = typed_book(Path(folder) / "book")
        pages = [_page(number) for number in range(1, count + 1)]
        for number, data in enumerate(pages, 1):
            book.write(f"art/pencils/p{number:03d}.png", data)
        book.change("book.toml", "pages = 4", f"pages = {count}")
        book.git("add", "-A")
        book.git("commit", "-q", "--no-verify", "-m", "drawn")
        book.ledger("enter", "pencils", "-m", "drawn", code=None)
        _tell(book, pages, times)


def _tell(book: TypedBook, pages: list[bytes], times: int) -> None:
    alone, whole, html = [], [], ""
    for _ in range(times):
        start = time.perf_counter()
        for data in pages:
            _pack(data)
        alone.append(time.perf_counter() - start)
        start = time.perf_counter()
        html = packet_html(packet(book.top, PacketWish("pencils")).packet)
        whole.append(time.perf_counter() - start)
    ratio = statistics.median(whole) / statistics.median(alone)
    print(f"{len(pages)} pages: {ratio:.2f} x decoding and packing alone (at most {MOST_RATIO} x)")
    print(f"{len(html.encode()) / (1 << 20):.1f} MiB (at most {MOST_MIB} MiB)")
    place = book.top / "packet.html"
    place.write_text(html, "utf-8")
    print(f"opens in {statistics.median(_opened(place, 5)):.2f} s (about {MOST_SECONDS} s)")


def _pack(data: bytes) -> None:
    page = decode(data)
    page.thumbnail((SIDE, SIDE))
    page.save(io.BytesIO(), "WEBP", quality=75)


def _opened(place: Path, times: int) -> list[float]:
    """Seconds from asking for the page until it is usable, in a window of its own each time."""
    from playwright.sync_api import sync_playwright

    took = []
    with sync_playwright() as started:
        program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
        browser = started.chromium.launch(executable_path=program)
        for _ in range(times):
            page = browser.new_context().new_page()
            start = time.perf_counter()
            page.goto(place.as_uri(), wait_until="commit")
            page.wait_for_selector("html[data-ready]")
            took.append(time.perf_counter() - start)
            page.context.close()
        browser.close()
    return took


def _page(number: int) -> bytes:
    """Six panels with hatching; every third page in colours."""
    chance = random.Random(number)
    page = Image.new("RGB", SIZE, (255, 255, 255))
    pen = ImageDraw.Draw(page)
    for row in range(3):
        for column in range(2):
            left, top = 100 + column * 950, 100 + row * 980
            tone = tuple(chance.randrange(120, 250) for _ in range(3)) if number % 3 == 0 else (255, 255, 255)
            pen.rectangle((left, top, left + 900, top + 930), fill=tone, outline=(0, 0, 0), width=8)
            for _ in range(250):
                x, y = left + chance.randrange(900), top + chance.randrange(930)
                end = (min(left + 900, x + chance.randrange(160)), min(top + 930, y + chance.randrange(160)))
                pen.line((x, y, *end), fill=(0, 0, 0), width=chance.randrange(2, 7))
    out = io.BytesIO()
    (page if number % 3 == 0 else page.convert("L")).save(out, "PNG", compress_level=1)
    return out.getvalue()
