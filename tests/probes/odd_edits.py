"""Clever changes that go by folders, modes of git's index, tags inside pictures and slips that are not quite slips."""

from __future__ import annotations

import io
import shutil

from PIL import Image

from ledger.read.entries import write_entry
from tests.books import Book
from tests.desk.signed_book import page, slip
from tests.probes.edits import CUT, LOCK, Late, both, configured, gone, renamed, typed
from tests.probes.ground import SCRIPT, TOML


def folder_behind_a_link(name: str) -> Late:
    def make(book: Book) -> None:
        (book.top / name).rename(book.top / f"{name}-too")
        (book.top / name).symlink_to(f"{name}-too")

    return Late("entry-removed" if name == "ledger" else "page-cut", make)


def ledger_elsewhere(book: Book) -> None:
    """Another repository in the place of all entries."""
    shutil.rmtree(book.top / "ledger")
    assert Book.new(book.top / "ledger", {"a.txt": "a\n"}).git("rev-parse", "HEAD")


def turned(book: Book) -> None:
    """The same pixels, with a tag that turns the page upside down (Exif 2.32, 4.6.4 A)."""
    facts, out = Image.Exif(), io.BytesIO()
    facts[0x0112] = 3
    with Image.open(book.top / "art/inks/p001.png") as picture:
        picture.save(out, "PNG", exif=facts.tobytes())
    book.write({"art/inks/p001.png": out.getvalue()})


def unseen_paper(book: Book) -> None:
    """The same lines, fully transparent: nothing of the page is seen."""
    out = io.BytesIO()
    with Image.open(book.top / "art/inks/p001.png") as picture:
        seen = picture.convert("RGBA")
        seen.putalpha(0)
        seen.save(out, "PNG")
    book.write({"art/inks/p001.png": out.getvalue()})


def moving(book: Book) -> None:
    """A picture of two frames: the first is another one, the signed page comes second."""
    out = io.BytesIO()
    with Image.open(book.top / "art/inks/p001.png") as picture:
        signed = picture.convert("L")
    Image.new("L", signed.size, 0).save(out, "PNG", save_all=True, append_images=[signed])
    book.write({"art/inks/p001.png": out.getvalue()})


def slip_at(path: str, *, linked: bool = False, **changed: object) -> Late:
    """A slip for exactly what is late, written where or as no slip is."""

    def make(book: Book) -> None:
        CUT(book)
        book.git("add", "-A")
        said = slip(book, "1", ["structure"])
        text = write_entry(said._replace(**changed))  # type: ignore[arg-type]
        if linked:
            book.write({"slip.toml": text})
            (book.top / path).symlink_to("../slip.toml")
        else:
            book.write({path: text})

    return Late("line-cut", make)


PARTED = SCRIPT.index("[page 2]")
CLEVER: dict[str, Late] = {
    "the ledger behind a link": folder_behind_a_link("ledger"),
    "the script's folder behind a link": folder_behind_a_link("script"),
    "another repository in place of the ledger": Late("entry-removed", ledger_elsewhere),
    "a folder in place of book.toml": Late("lock-loosened", both(gone("book.toml"), CUT,
                                                                 lambda book: book.write({"book.toml/x": "x"}))),
    "page 1 once more beside page 001": Late("export-added", lambda book: book.write({"art/inks/p1.png": page(12)})),
    "a spread beside its pages": Late("export-added", lambda book: book.write({"art/inks/p001-002.png": page(12)})),
    "pages under another pattern, the signed ones kept": Late("export-added", both(
        configured(("art/inks/p{page}", "art/end/p{page}")), lambda book: book.write({"art/end/p001.png": page(12)}))),
    "pages under a second pattern before the first": Late("export-added", lambda book: book.write({
        "book.toml": TOML.replace('"art/inks/p{page}.png"', '["art/aaa/p{page}.png", "art/inks/p{page}.png"]'),
        "art/aaa/p001.png": page(12)})),
    "a script under another pattern, the signed one kept": Late("line-cut", both(
        configured(("script/*.md", "text/*.md")), typed(("T: It was.\n", ""), path="text/01.md"))),
    "a script one folder down": Late("page-cut", renamed("script/01.md", "script/more/01.md")),
    "files in another reading order": Late("page-moved", lambda book: book.write({
        "script/00.md": SCRIPT[PARTED:], "script/01.md": SCRIPT[:PARTED]})),
    "two people who change names": Late("speaker-changed", configured(
        ('W = "Wren"', 'W = "Tomas Arde"'), ('T = "Tomas Arde"', 'T = "Wren"'))),
    "a tag that turns the page": Late("panel-redrawn", turned),
    "a page that is transparent": Late("panel-redrawn", unseen_paper),
    "a moving picture": Late("panel-redrawn", moving),
    "a slip behind a link": slip_at("ledger/alteration-1.toml", linked=True),
    "a slip under another number": slip_at("ledger/alteration-7.toml"),
    "a slip with a nought before its number": slip_at("ledger/alteration-01.toml"),
    "the lock once more, with a nought before its number": Late("line-cut", both(CUT, lambda book: book.write(
        {"ledger/lock-inks-01.toml": book.read(LOCK)}))),
    "a colon that is none": Late("line-cut", typed(("T: It was.\n", "T\u2236 It was.\n"))),
}  # fmt: skip
