"""Changes made in the working tree of the probes' book: late ones with the rule that tells them, and allowed ones."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from typing import NamedTuple

from PIL import Image

from ledger.read.entries import read_entry, write_entry
from tests.books import Book
from tests.desk.signed_book import page, renumbered, reopened, slip
from tests.probes.ground import SCRIPT, TOML

Change = Callable[[Book], None]
LOCK = "ledger/lock-inks-1.toml"


class Late(NamedTuple):
    """A change that must be told by a rule at every door; `there` is another rule by which a fresh copy tells it."""

    rule: str
    make: Change
    there: str = ""


def typed(*changes: tuple[str, str], path: str = "script/01.md", text: str = SCRIPT) -> Change:
    """Words of the script replaced; each must be there once."""

    def make(book: Book) -> None:
        new = text
        for old, now in changes:
            assert new.count(old) == 1, old
            new = new.replace(old, now)
        book.write({path: new})

    return make


def configured(*changes: tuple[str, str]) -> Change:
    """Words of book.toml replaced."""
    return typed(*changes, path="book.toml", text=TOML)


def drawn(path: str, data: bytes) -> Change:
    return lambda book: book.write({path: data})


def gone(*paths: str) -> Change:
    return lambda book: [(book.top / path).unlink() for path in paths] and None


def renamed(old: str, new: str) -> Change:
    def make(book: Book) -> None:
        (book.top / new).parent.mkdir(parents=True, exist_ok=True)
        (book.top / old).rename(book.top / new)

    return make


def linked(path: str, to: str) -> Change:
    def make(book: Book) -> None:
        (book.top / path).unlink()
        (book.top / path).symlink_to(to)

    return make


def both(*changes: Change) -> Change:
    return lambda book: [change(book) for change in changes] and None


def saved(path: str, **how: object) -> Change:
    """The same picture written again in another way."""

    def make(book: Book) -> None:
        out = io.BytesIO()
        with Image.open(book.top / path) as picture:
            picture.convert(str(how.pop("mode", picture.mode))).save(out, "PNG", **how)
        book.write({path: out.getvalue()})

    return make


def entry_edited(old: bytes, new: bytes) -> Change:
    def make(book: Book) -> None:
        told = book.read(LOCK)
        assert old in told
        book.write({LOCK: told.replace(old, new)})

    return make


def mirrored(book: Book, path: str) -> None:
    """The page seen in a mirror."""
    out = io.BytesIO()
    with Image.open(book.top / path) as picture:
        picture.transpose(Image.Transpose.FLIP_LEFT_RIGHT).save(out, "PNG")
    book.write({path: out.getvalue()})


def blank(book: Book, path: str, size: tuple[int, int]) -> None:
    """White paper of so many px."""
    out = io.BytesIO()
    Image.new("L", size, 255).save(out, "PNG")
    book.write({path: out.getvalue()})


def with_slip(change: Change, pages: str, scopes: list[str], *, other: Change | None = None, ids: str = "") -> Change:
    """The change with a slip beside it that names what is staged (or `ids`); then another change, if any."""

    def make(book: Book) -> None:
        change(book)
        book.git("add", "-A")
        said = slip(book, pages, scopes)
        if ids:
            said = said._replace(files=dict.fromkeys(said.files, ids))
        if other is not None:
            other(book)
        book.write({said.path: write_entry(said)})

    return make


def lock_entry(**changed: object) -> Change:
    """The lock's file with other values in it, as a program would write them."""

    def make(book: Book) -> None:
        entry = read_entry(LOCK, book.read(LOCK))
        book.write({LOCK: write_entry(entry._replace(**changed))})  # type: ignore[arg-type]

    return make


def submodule(path: str) -> Change:
    """Another repository in the place of a file."""

    def make(book: Book) -> None:
        (book.top / path).unlink()
        inner = Book.new(book.top / path, {"a.txt": "a\n"})
        assert inner.git("rev-parse", "HEAD")

    return make


def named(path: bytes, data: bytes) -> Change:
    """A file of a name that is no easy text."""

    def make(book: Book) -> None:
        place = book.top / os.fsdecode(path)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(data)

    return make


CUT = typed(("T: It was.\n", ""))
REDRAWN = drawn("art/inks/p001.png", page(12))
POINTER = "version https://git-lfs.github.com/spec/v1\noid sha256:" + "ab" * 32 + "\nsize 1234\n"
EXTRA = "[page 2]\n[panel 1]\nM: And a half.\n"

STRUCTURE = {
    "a line cut": Late("line-cut", CUT),
    "a line put in": Late("line-added", typed(("T: It was.\n", "T: It was.\nW: Liar.\n"))),
    "a line said by another": Late("speaker-changed", typed(("T: It was.", "M: It was."))),
    "two lines in another order": Late("line-moved", typed(("W: You said the map was here.\nT: It was.\n",
                                                           "T: It was.\nW: You said the map was here.\n"))),
    "a panel cut": Late("panel-cut", typed(
        ("[panel 2]\nTomas lifts the lamp.\n\nT: Somebody oiled the hinge.\nT: Not me.\n", ""))),
    "a panel put in": Late("panel-added", typed(("[panel 2]\nTomas", "[panel 2]\nA moth.\n\n[panel 3]\nTomas"))),
    "a page put in before": Late("page-added", typed(("[page 1]\n", "[page 1]\n[panel 1]\nRain.\n\n[page 2]\n"),
                                                     ("[page 2]\n[panel 1]\nM", "[page 3]\n[panel 1]\nM"),
                                                     ("[page 3]\n[panel 1]\nA", "[page 4]\n[panel 1]\nA"))),
    "a page cut": Late("page-cut", typed(("[page 2]\n[panel 1]\nM: Three hours to high water.\n\n[page 3]",
                                          "[page 2]"))),
    "a scene put in": Late("scene-split", typed(("[panel 2]\nTomas", "## The stairs\n\n[panel 2]\nTomas"))),
    "a key given to another in book.toml alone": Late("speaker-changed",
        configured(('T = "Tomas Arde"', 'T = "Bo"'))),
    "an alias taken over": Late("speaker-changed",
        configured(('W = "Wren"', 'W = "Mara"'), ('M = "Mara"', 'M = "Wren"'))),
    "the script gone": Late("page-cut", gone("script/01.md")),
    "the script behind a link": Late("page-cut", linked("script/01.md", "../letter.txt")),
    "a balloon joined with another mouth's": Late("line-cut", typed(("W: You said the map was here.\nT: It was.\n",
                                                                     "W: You said the map was here. It was.\n"))),
    "a line carried to another page": Late("line-moved", typed(("T: Somebody oiled the hinge.\n", ""), (
        "M: Three hours to high water.\n", "M: Three hours to high water.\nT: Somebody oiled the hinge.\n"))),
    "a line behind a comment that never ends": Late("line-cut", typed(("T: It was.\n", "<!-- T: It was.\n"))),
    "a line made action": Late("line-cut", typed(("T: It was.\n", "\nIt was.\n\n"))),
    "a caption made of a line": Late("speaker-changed", typed(("T: It was.", "CAP: It was."))),
    "a second file beside the script": Late("page-added", lambda book: book.write({"script/00.md": EXTRA})),
}  # fmt: skip

DRAWING = {
    "a page redrawn": Late("panel-redrawn", REDRAWN),
    "two pages swapped": Late("page-swapped", both(drawn("art/inks/p001.png", page(10)),
                                                   drawn("art/inks/p002.png", page(5)))),
    "a page gone": Late("export-missing", gone("art/inks/p001.png")),
    "a page renamed in case": Late("export-missing", renamed("art/inks/p001.png", "art/inks/P001.PNG")),
    "a page moved out": Late("export-missing", renamed("art/inks/p001.png", "old/p001.png")),
    "an empty page": Late("export-unreadable", drawn("art/inks/p001.png", b"")),
    "a page of words": Late("export-unreadable", drawn("art/inks/p001.png", b"not a picture")),
    "a page cut short": Late("export-unreadable", drawn("art/inks/p001.png", page(5)[:60])),
    "a link to itself before": Late("export-unreadable", linked("art/inks/p001.png", "../pencils/p001.png")),
    "a page mirrored": Late("panel-redrawn", lambda book: mirrored(book, "art/inks/p001.png")),
    "a page under the number of a spread": Late("export-missing", renamed("art/inks/p001.png",
                                                                          "art/inks/p001-002.png")),
    "a folder in its place": Late("export-missing", both(gone("art/inks/p001.png"), lambda book: book.write(
        {"art/inks/p001.png/x.txt": "x"}))),
    "a page of another size": Late("panel-redrawn", lambda book: blank(book, "art/inks/p001.png", (200, 30))),
    "a blank page": Late("panel-redrawn", lambda book: blank(book, "art/inks/p001.png", (50, 75))),
    "a link outside": Late("export-unreadable", linked("art/inks/p001.png", "/etc/hostname")),
    "another repository": Late("export-unreadable", submodule("art/inks/p001.png")),
}  # fmt: skip

TAMPERING = {
    "a byte of an entry": Late("entry-changed", entry_edited(b'pages   = "1-2"', b'pages   = "1-1"')),
    "line ends of an entry": Late("entry-changed", entry_edited(b"\n", b"\r\n")),
    "a blank behind an entry": Late("entry-changed", lambda book: book.write({LOCK: book.read(LOCK) + b"\n"})),
    "an entry gone": Late("entry-removed", gone(LOCK)),
    "an entry renamed": Late("entry-removed", renamed(LOCK, "ledger/lock-inks-2.toml")),
    "an entry in other case": Late("entry-removed", renamed(LOCK, "ledger/Lock-inks-1.toml")),
    "an entry put away": Late("entry-removed", renamed(LOCK, "ledger/old/lock-inks-1.toml")),
    "an entry behind a link": Late("entry-changed", both(lambda book: book.write({"was.toml": book.read(LOCK)}),
                                                         linked(LOCK, "../was.toml"))),
    "an entry in place of a folder": Late("entry-removed", both(gone(LOCK), lambda book: book.write(
        {f"{LOCK}/x": "x"}))),
    "its scopes emptied": Late("entry-changed", lock_entry(scopes=())),
    "its files emptied": Late("entry-changed", lock_entry(files={})),
    "a byte order mark before an entry": Late("entry-changed", lambda book: book.write(
        {LOCK: b"\xef\xbb\xbf" + book.read(LOCK)})),
    "an entry without its last line end": Late("entry-changed", lambda book: book.write({LOCK: book.read(LOCK)[:-1]})),
    "an entry of another day": Late("entry-changed", entry_edited(b"2026-03-02T12", b"2026-03-01T12")),
    "an entry emptied": Late("entry-changed", lambda book: book.write({LOCK: b""})),
    "another repository in place of an entry": Late("entry-changed", submodule(LOCK)),
    "book.toml gone": Late("lock-loosened", gone("book.toml")),
}  # fmt: skip

WEAKENED = {
    "the lock taken out and used": Late("line-cut", both(gone(LOCK), CUT)),
    "the lock narrowed and used": Late("line-cut", both(lock_entry(pages="2"), CUT)),
    "locks emptied and used": Late("line-cut", both(configured(('locks = ["structure", "drawing"]', "locks = []")),
                                                    CUT)),
    "the pass taken out and used": Late("panel-redrawn", both(lambda book: book.write(
        {"book.toml": TOML[: TOML.rindex("[[pass]]")]}), REDRAWN)),
    "the pass renamed and used": Late("panel-redrawn", both(configured(('name = "inks"', 'name = "final"')), REDRAWN)),
    "its files moved away and used": Late("panel-redrawn", both(configured(("art/inks/p{page}", "art/end/p{page}")),
                                                                REDRAWN)),
    "the script's files moved away and used": Late("line-cut", both(configured(("script/*.md", "text/*.md")), CUT)),
    "a script beside a script": Late("line-cut", both(configured(("script/*.md", "text/*.md")), gone("script/01.md"),
                                                      typed(("T: It was.\n", ""), path="text/01.md"))),
    "the rule turned off": Late("line-cut", both(
        lambda book: book.write({"book.toml": TOML + '\n[rules]\n"line-cut" = "off"\n'}), CUT)),
    "the locks of a pass given to another": Late("line-cut", both(configured(
        ('locks = ["structure", "drawing"]', 'locks = ["wording"]')), CUT)),
    "the script's pass made drawn": Late("line-cut", both(configured(
        ('name = "script"\nkind = "text"\nfiles = "script/*.md"',
         'name = "script"\nkind = "art"\nfiles = "script/p{page}.png"')), CUT)),
    "made from nothing and used": Late("line-cut", both(lambda book: book.write(
        {"book.toml": TOML.replace('from = ["script"]\nlocks', "locks")}), CUT)),
    "reopened and used in one commit": Late("line-cut", both(CUT, lambda book: book.write(
        {"ledger/reopen-1.toml": write_entry(reopened("1"))}))),
    "a reopening that can't be read": Late("line-cut", both(CUT, lambda book: book.write(
        {"ledger/reopen-1.toml": "entry = reopen\n"}))),
    "a slip for another page": Late("line-cut", with_slip(CUT, "2", ["structure"])),
    "a slip for another scope": Late("panel-redrawn", with_slip(REDRAWN, "1", ["structure"])),
    "a slip for other content": Late("line-cut", with_slip(typed(("T: It was.", "T: It is.")), "1", ["structure"],
                                                           other=CUT), "export-unreadable"),
    "a slip for content that nobody has": Late("export-unreadable", with_slip(CUT, "1", ["structure"], ids="5" * 40)),
    "a slip for a picture that nobody has": Late("export-unreadable", with_slip(REDRAWN, "1", ["drawing"],
                                                                                ids="5" * 40)),
    "a slip for less": Late("line-cut", with_slip(typed(("T: It was.\n", ""), ("M: Three hours to high water.\n", "")),
                                                  "1", ["structure"])),
    "a slip that can't be read": Late("line-cut", both(CUT, lambda book: book.write(
        {"ledger/alteration-1.toml": "entry = alteration\n"}))),
    "a slip in the wrong folder": Late("line-cut", both(CUT, lambda book: book.write(
        {"ledger/old/alteration-1.toml": write_entry(renumbered(slip(book, "1"), 1))}))),
    "a sign-off of what is late": Late("line-cut", both(CUT, lambda book: book.write({"ledger/lock-inks-2.toml":
        book.read(LOCK).replace(b"number  = 1", b"number  = 2")}))),
}  # fmt: skip

CLEVER = {
    "a filter that hides it": Late("line-cut", both(lambda book: book.write({".gitattributes": "*.md filter=hide\n"}),
                                                    CUT)),
    "text in another encoding": Late("line-cut", both(
        lambda book: book.write({".gitattributes": "script/*.md working-tree-encoding=UTF-16LE\n"}),
        lambda book: book.write({"script/01.md": SCRIPT.replace("T: It was.\n", "").encode("utf-16-le")}))),
    "a line end in a name": Late("page-added", named(b"script/0\n.md", EXTRA.encode())),
    "a quote in a name": Late("page-added", named(b'script/0"0".md', EXTRA.encode())),
    "a leading dash": Late("page-added", named(b"script/-rf.md", EXTRA.encode())),
    "a name that is no text": Late("page-added", named(b"script/00\xff.md", EXTRA.encode())),
    "a composed name": Late("page-added", named("script/00é.md".encode(), EXTRA.encode())),
    "a decomposed name": Late("page-added", named(b"script/00e\xcc\x81.md", EXTRA.encode())),
    "signs nobody sees": Late("line-cut", typed(("T: It was.\n", "<!-- T: It was. -->\n"))),
    "a keyword that git fills in": Late("line-cut", both(lambda book: book.write({".gitattributes": "*.md ident\n"}),
                                                        typed(("T: It was.\n", "$Id$\n")))),
    "a name with a line end, of a page": Late("export-missing", renamed("art/inks/p001.png", "art/inks/p001\n.png")),
    "a page's name in both cases": Late("export-missing", both(
        renamed("art/inks/p001.png", "art/inks/P001.png"), drawn("art/Inks/p001.png", page(5)))),
    "words in a table": Late("line-cut", typed(("T: It was.\n", "\n| T | It was. |\n"))),
    "a zero-width name": Late("line-cut", typed(("T: It was.", "M\u200b: It was."))),
}  # fmt: skip

ALLOWED: dict[str, Change] = {
    "a line polished": typed(("T: It was.", "T: It was...")),
    "action rewritten": typed(("Tomas lifts the lamp.", "The lamp goes up.")),
    "other notation": typed(("[page 2]\n[panel 1]\n", "Page 2\n\nPanel 1\n\n")),
    "scene and chapter titles": typed(("## Harbour office", "## The office"), ("1: The tide", "1: Tide")),
    "a file renamed": renamed("script/01.md", "script/one.md"),
    "a cast key renamed": both(configured(('T = "Tomas Arde"', 'TA = "Tomas Arde"')),
                               typed(("T: It was.", "TA: It was."), ("T: Somebody", "TA: Somebody"),
                                     ("T: Not me", "TA: Not me"))),
    "a character added": configured(('M = "Mara"', 'M = "Mara"\nB = "Bo"')),
    "line ends": lambda book: book.write({"script/01.md": SCRIPT.replace("\n", "\r\n")}),
    "a byte order mark": lambda book: book.write({"script/01.md": "\ufeff" + SCRIPT}),
    "a comment": typed(("[panel 2]\nTomas", "[panel 2]\n<!-- mind the hinge -->\nTomas")),
    "a balloon split": typed(("W: You said the map was here.", "W: You said\nW: the map was here.")),
    "two balloons joined": typed(("T: Somebody oiled the hinge.\nT: Not me.\n",
                                  "T: Somebody oiled the hinge. Not me.\n")),
    "a chapter in two files": both(gone("script/01.md"), lambda book: book.write({
        "script/01.md": SCRIPT[: SCRIPT.index("[page 2]")], "script/02.md": SCRIPT[SCRIPT.index("[page 2]") :]})),
    "a scene heading in another form": typed(("## Harbour office", "Harbour office\n--------------")),
    "dashes and quotes as a program sets them": typed(("T: It was.", "T: It was..."), ("M: Two and", "M: Two — and")),
    "a name in full": typed(("T: It was.", "TOMAS ARDE: It was.")),
    "a balloon number": typed(("W: You said", "1. W: You said")),
    "both line ends": lambda book: book.write({"script/01.md": SCRIPT.replace("\n\n", "\r\n\r\n")}),
    "an export of the same picture in another kind of file": saved("art/inks/p001.png", mode="L", optimize=True),
    "attributes that hide": lambda book: book.write({".gitattributes": "* -diff -merge export-ignore ident\n"}),
    "a pass more": lambda book: book.write({"book.toml": TOML + "\n[[pass]]\nname = \"colours\"\n"}),
    "a line set as code": typed(("T: It was.\n", "\n```\nT: It was.\n```\n")),
    "a title and a date": configured(('title = "The Salt Lantern"', 'title = "Lanterns"\ndue = 2027-03-01')),
    "a page put in after, in a third file": lambda book: book.write({"script/zz.txt": "[page 4]\n[panel 1]\nM: Oh.\n"}),
    "an export saved again": saved("art/inks/p001.png", compress_level=1),
    "an export in colour mode": saved("art/inks/p001.png", mode="RGB"),
    "a mode bit": lambda book: (book.top / "art/inks/p001.png").chmod(0o755),
    "a page outside the lock redrawn": drawn("art/inks/p003.png", page(9)),
    "a page outside the lock rewritten": typed(("M: Two and a half.", "M: Not any more.")),
    "a page put in after, in a second file": lambda book: book.write({"script/02.md": EXTRA}),
    "a page put in after": lambda book: book.write({"script/01.md": SCRIPT + "\n[page 4]\n[panel 1]\nM: Now.\n"}),
    "a pass that is not covered": drawn("art/pencils/p001.png", page(11)),
    "the outline": lambda book: book.write({"outline/01.md": "# Another story\n"}),
    "a free file in ledger/": lambda book: book.write({"ledger/README.md": "entries\n"}),
    "a note": lambda book: book.write({"notes/2026-03-03-ida.md": "p1: too dark\n"}),
    "a late line with its slip": with_slip(CUT, "1", ["structure"]),
    "a late page with its slip": with_slip(REDRAWN, "1", ["drawing"]),
    "attributes": lambda book: book.write({".gitattributes": "*.png diff=picture\n"}),
    "nothing of the book's": lambda book: book.write({"shopping.txt": "ink\n"}),
}  # fmt: skip
