"""`handoff`: what goes out, what the ledger says of it, and what is refused with nothing written."""

from __future__ import annotations

import io
import os
import shutil
import signal
import subprocess
import sys
import zipfile
from hashlib import sha256
from pathlib import Path

import docx
import pytest
from PIL import Image

from ledger.pictures.returns.lent import known
from ledger.read.handoff_list import read_lending
from tests.schema_check import checked
from tests.typed_book import SOMEBODY, TypedBook, typed_book

FRESH = ".inkledger-new"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = typed_book(tmp_path_factory.mktemp("handoff") / "book")
    book.ledger("enter", "script", "-m", "first draft")
    for name in ("pencils", "inks"):
        for page in range(1, 4):
            book.draw(name, f"{page:03d}", page * 5)
        book.ledger("enter", name, "-m", "drawn")
    return book


@pytest.fixture
def book(kept: TypedBook, tmp_path: Path) -> TypedBook:
    return kept.copied(tmp_path / "book")


def test_the_folder_holds_what_was_entered_and_says_so(book: TypedBook) -> None:
    entered = (book.top / "art/inks/p001.png").read_bytes()
    book.draw("inks", "001", 19)
    done = checked(book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out", "--for", "Odd", "--json").out)
    out = book.top.parent / "out"
    found = sorted(path.relative_to(out).as_posix() for path in out.rglob("*"))
    assert found == ["handoff.toml", "inks", "inks/p001.png", "inks/p002.png", "letters", "script.docx", "script.txt",
                     "sheet.txt"]  # fmt: skip
    assert (out / "inks/p001.png").read_bytes() == entered
    lending = read_lending((out / "handoff.toml").read_bytes())
    assert done["entry"] == lending.entry == "handoff-1" and "../out/inks/p001.png" in done["paths"]
    assert [(each.answer, each.px) for each in lending.asked] == [
        ("letters/p001.png", (50, 75)),
        ("letters/p002.png", (50, 75)),
    ]
    assert {each.path for each in lending.given} == {path for path in found if "." in path} - {"handoff.toml"}
    for each in lending.given:
        data = (out / each.path).read_bytes()
        assert sha256(data).hexdigest() == each.sha256
        assert each.known is None or each.known == known(data)
    assert lending.entries == {"inks": "inks-1", "script": "script-1"}
    assert lending.asked[0].made_from["inks"] == book.git("rev-parse", "HEAD:art/inks/p001.png").strip()


def test_the_ledger_says_who_has_what_until_it_is_answered(book: TypedBook) -> None:
    book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out", "--for", "Odd", "--due", "2027-01-04")
    assert "With Odd since" in book.ledger("status").out
    assert "With Odd since" in book.ledger("wallchart").out
    book.ledger("wallchart", "--out", "wall.html")
    assert "With Odd since" in (book.top / "wall.html").read_text("utf-8")
    (book.top / "wall.html").unlink()
    assert "pages 1-2 of letters went to Odd" in book.ledger("rounds").out
    assert book.ledger("audit").code == 0 and book.git("status", "--porcelain") == ""
    sent = (book.top / "ledger/handoff-1.toml").read_text()
    answer = sent.replace("number  = 1", "number  = 2").replace('to      = "Odd"', 'to      = "Odd"\nreturns = 1')
    book.write("ledger/handoff-2.toml", answer)
    assert "With Odd since" not in book.ledger("status").out + book.ledger("wallchart").out
    assert "came back from Odd (handoff-1)" in book.ledger("rounds").out


def test_the_sheet_says_what_is_asked(book: TypedBook) -> None:
    book.change(
        "book.toml", 'files = "art/letters/p{page}.png"', 'files = "art/letters/p{page}.png"\nreturns = "flats"'
    )
    book.ledger("handoff", "letters", "--pages", "1", "--to", "../out", "--due", "2027-01-04")
    sheet = (book.top.parent / "out/sheet.txt").read_text("utf-8")
    for said in ("50 x 75 px", "RGB, 8 bits", "No smoothing", "under the lines", "4 January 2027", "letters/p001.png",
                 "receive FOLDER --check", "local rules"):  # fmt: skip
        assert said in " ".join(sheet.split()), said
    assert max(map(len, sheet.splitlines())) <= 80
    lending = read_lending((book.top.parent / "out/handoff.toml").read_bytes())
    assert (lending.returns, lending.mode, lending.depth, lending.lines) == ("flats", "rgb", 8, "inks")


def test_the_sheet_counts_pages_and_says_how_the_book_is_read(book: TypedBook) -> None:
    """A spread is two pages in one file; whoever places balloons must know from which side the book is read."""
    book.change("book.toml", 'reading = "ltr"', 'reading = "rtl"')
    with Image.open(book.top / "art/inks/p002.png") as page:
        page.resize((100, 75)).save(book.top / "art/inks/p002-003.png")
    for page_gone in ("p002.png", "p003.png"):
        (book.top / "art/inks" / page_gone).unlink()
    book.ledger("enter", "inks", "-m", "a spread now")
    book.ledger("handoff", "letters", "--to", "../out")
    sheet = " ".join((book.top.parent / "out/sheet.txt").read_text("utf-8").split())
    assert "Letters of 3 pages in 2 files, made from inks" in sheet
    assert "read from right to left" in sheet
    with Image.open(book.top.parent / "out/inks/p001.png") as page:
        page.save(book.top.parent / "out/letters/p001.png")
    assert "1 of 3 pages of letters is as asked" in book.ledger("receive", "../out", "--check", code=1).out


def test_a_pass_of_which_nothing_is_entered_is_named(book: TypedBook) -> None:
    book.change("book.toml", 'from = ["inks", "script"]', 'from = ["inks", "tones", "script"]')
    tones = '[[pass]]\nname = "tones"\nkind = "art"\nfiles = "art/tones/p{page}.png"\n\n'
    book.change("book.toml", '[[pass]]\nname = "letters"', tones + '[[pass]]\nname = "letters"')
    said = book.ledger("handoff", "letters", "--pages", "1", "--to", "../out").out
    assert "nothing of tones is entered, so nothing of it goes along" in " ".join(said.split())
    assert (book.top.parent / "out/handoff.toml").exists()


def test_the_script_is_numbered_page_by_page(book: TypedBook) -> None:
    """Read by python-docx, a library of its own for ECMA-376 documents."""
    book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out")
    said = docx.Document(io.BytesIO((book.top.parent / "out/script.docx").read_bytes()))
    rows = [(each.style.name if each.style else "", each.text) for each in said.paragraphs]
    assert ("Heading 1", "Page 1 (4 balloons)") in rows and ("Heading 2", "Panel 2") in rows
    balloons = [text for style, text in rows if style == "Balloon"]
    assert balloons[0] == "1.\tNELL: Is that you, or the wind?" and balloons[4] == "1.\tNELL: Push."
    assert balloons[3] == "4.\tCAPTION: Nobody had opened the far room in nine years."
    text = (book.top.parent / "out/script.txt").read_text("utf-8")
    assert "   2  SFX: KRRNK" in text and "Listen" not in text


def test_an_archive_holds_the_same(book: TypedBook) -> None:
    book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out", "--zip")
    with zipfile.ZipFile(book.top.parent / "out.zip") as packed:
        assert packed.testzip() is None
        names = packed.namelist()
        assert "letters/" in names and "inks/p001.png" in names and names[-1] == "handoff.toml"
        for each in read_lending(packed.read("handoff.toml")).given:
            assert sha256(packed.read(each.path)).hexdigest() == each.sha256
    assert "already" in book.ledger("handoff", "letters", "--pages", "1", "--to", "../out.zip", "--zip", code=2).err


def test_the_same_pages_on_the_same_day_are_the_same_archive(book: TypedBook, tmp_path: Path) -> None:
    at = {"GIT_AUTHOR_DATE": "2026-03-02T12:00:00+01:00", "GIT_COMMITTER_DATE": "2026-03-02T12:00:00+01:00"}
    other = book.copied(tmp_path / "other/book")
    packed = []
    for each in (book, other):
        each.ledger("handoff", "letters", "--pages", "1-3", "--to", "../out", "--zip", env=at)
        packed.append((each.top.parent / "out.zip").read_bytes())
    assert packed[0] == packed[1]


def test_pages_handed_out_before_are_told_alike(book: TypedBook) -> None:
    """The second list rests on what the first run found out, and on nothing where that is damaged."""
    lists = []
    for n in range(3):
        book.ledger("handoff", "letters", "--pages", "1-3", "--to", f"../out{n}")
        lists.append(read_lending((book.top.parent / f"out{n}/handoff.toml").read_bytes()))
        memory = next(book.top.glob(".git/inkledger/lent-*"))
        assert len(memory.read_bytes().splitlines()) == 3
        if n == 1:
            memory.write_bytes(memory.read_bytes().replace(b"50x75", b"51x75"))
    assert [each.known for each in lists[0].given] == [each.known for each in lists[1].given]
    assert [each.known for each in lists[0].given] == [each.known for each in lists[2].given]


def test_two_at_once_into_one_folder(book: TypedBook) -> None:
    """One goes out; the other is refused, or finds the folder filled, and records nothing."""
    words = [sys.executable, "-m", "ledger", "handoff", "letters", "--pages", "1-3", "--to", "../out"]
    started = [
        subprocess.Popen(words, cwd=book.top, env={**os.environ, **SOMEBODY}, text=True, stdout=subprocess.PIPE,
                         stderr=subprocess.PIPE)
        for _ in range(3)
    ]  # fmt: skip
    said = [each.communicate() for each in started]
    assert sorted(each.returncode for each in started) == [0, 2, 2], said
    assert not any("Traceback" in err for _, err in said)
    assert [path.name for path in book.top.glob("ledger/handoff-*")] == ["handoff-1.toml"]
    assert read_lending((book.top.parent / "out/handoff.toml").read_bytes()).entry == "handoff-1"
    assert not list(book.top.parent.glob(f"*{FRESH}")) and book.git("status", "--porcelain") == ""


def test_a_stale_page_goes_out_and_is_named(book: TypedBook) -> None:
    book.draw("pencils", "002", 44)
    book.ledger("enter", "pencils", "-m", "another staging")
    done = checked(book.ledger("handoff", "letters", "--pages", "1-3", "--to", "../out", "--json").out)
    stale = [each for each in done["findings"] if each["rule"] == "page-stale"]
    assert [(each["path"], each["level"]) for each in stale] == [("art/inks/p002.png", "query")]
    assert (book.top.parent / "out/inks/p002.png").exists()


@pytest.mark.needs_lfs
def test_large_files_kept_apart_go_out_as_they_are(tmp_path: Path) -> None:
    """The picture a pointer stands for (git-lfs, docs/spec.md); one not fetched stops all, with the remedy."""
    book = typed_book(tmp_path / "book")
    (book.top / ".gitattributes").unlink()
    book.ledger("init", "--yes", "--lfs")
    book.ledger("save", "-m", "large files apart")
    for page in ("001", "002"):
        book.draw("inks", page, int(page))
    book.ledger("enter", "inks", "-m", "two pages")
    assert book.git("cat-file", "-p", "HEAD:art/inks/p001.png").startswith("version https://git-lfs")
    book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../first")
    drawn = (book.top / "art/inks/p001.png").read_bytes()
    assert (tmp_path / "first/inks/p001.png").read_bytes() == drawn
    lending = read_lending((tmp_path / "first/handoff.toml").read_bytes())
    assert [each.known for each in lending.given if each.page == "1"] == [known(drawn)]
    digest = sha256(drawn).hexdigest()
    (book.top / f".git/lfs/objects/{digest[:2]}/{digest[2:4]}/{digest}").unlink()
    ran = book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out", code=None)
    said = " ".join((ran.out + ran.err).split())
    assert ran.code in (1, 2) and "art/inks/p001.png" in said and "git lfs pull" in said
    assert not (tmp_path / "out").exists() and not (tmp_path / f"out{FRESH}").exists()
    assert not (book.top / "ledger/handoff-2.toml").exists()


REFUSED = [
    (["letters", "--pages", "1-4"], "page 4 is not entered in inks"), (["script"], "is a text pass"),
    (["inkz"], "is no pass"), (["letters", "--pages", "x"], "is no page"), (["letters", "--due", "soon"], "is no date"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "said"), REFUSED)
def test_what_can_not_go_out_is_refused(book: TypedBook, words: list[str], said: str) -> None:
    assert said in book.ledger("handoff", *words, "--to", "../out", code=2).err
    untouched(book)


@pytest.mark.parametrize("place", ["inside", ".git/x", "../book/art", "../full", "../file"])
def test_no_place_but_an_empty_one_beside_the_book(book: TypedBook, place: str) -> None:
    book.write("../full/mine.txt", "mine")
    book.write("../file", "mine")
    assert book.ledger("handoff", "letters", "--pages", "1", "--to", place, code=2).err
    assert (book.top / "../full/mine.txt").read_text() == "mine" and not (book.top / "ledger/handoff-1.toml").exists()


def test_a_picture_that_is_not_here_stops_it(book: TypedBook) -> None:
    oid = book.git("rev-parse", "HEAD:art/inks/p002.png").strip()
    place = book.top / f".git/objects/{oid[:2]}/{oid[2:]}"
    place.chmod(0o644)
    place.unlink()
    ran = book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out", code=1)
    assert "art/inks/p002.png" in ran.out and "not on this machine" in " ".join(ran.out.split())
    untouched(book)


def untouched(book: TypedBook) -> None:
    assert not (book.top.parent / "out").exists() and not (book.top.parent / f"out{FRESH}").exists()
    assert not (book.top / "ledger/handoff-1.toml").exists()


def test_a_full_disk_leaves_nothing(book: TypedBook) -> None:
    """No file may grow beyond a kilobyte: the system refuses the list, as a full disk would (POSIX, RLIMIT_FSIZE)."""
    words = [sys.executable, "-m", "ledger", "handoff", "letters", "--pages", "1-2", "--to", "../out"]
    limited = "import resource,signal,os,sys; signal.signal(signal.SIGXFSZ, signal.SIG_IGN);" \
              "resource.setrlimit(resource.RLIMIT_FSIZE, (1024, 1024));os.execv(sys.argv[1],sys.argv[1:])"  # fmt: skip
    ran = subprocess.run([sys.executable, "-c", limited, *words], cwd=book.top, env={**os.environ, **SOMEBODY},
                         capture_output=True, text=True, check=False)  # fmt: skip
    assert ran.returncode == 2 and "Traceback" not in ran.stderr
    untouched(book)


def test_killed_at_any_moment_the_same_command_finishes_it(book: TypedBook, tmp_path: Path) -> None:
    seen = set()
    for at in range(12):
        other = book.copied(tmp_path / f"{at}/book")
        child = subprocess.Popen(
            [sys.executable, "-m", "ledger", "handoff", "letters", "--pages", "1-2", "--to", "../out"],
            cwd=other.top, env={**os.environ, **SOMEBODY}, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            child.wait(0.15 + at * 0.06)
        except subprocess.TimeoutExpired:
            child.send_signal(signal.SIGKILL)
            child.wait()
        out, entry = other.top.parent / "out", other.top / "ledger/handoff-1.toml"
        seen.add(out.exists())
        if not out.exists():
            other.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out")
        assert read_lending((out / "handoff.toml").read_bytes()).entry == "handoff-1" and entry.exists()
        assert not list(other.top.parent.glob(f"*{FRESH}")) and not (other.top / "ledger/handoff-2.toml").exists()
    assert False in seen


def test_a_folder_that_was_recorded_and_has_no_name_yet_gets_it(book: TypedBook) -> None:
    """As a kill between the two leaves it."""
    book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out")
    out = book.top.parent / "out"
    out.rename(f"{out}{FRESH}")
    assert "interrupted" in book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out").out
    assert (out / "handoff.toml").exists() and not (book.top / "ledger/handoff-2.toml").exists()


def test_what_was_never_recorded_is_made_anew(book: TypedBook) -> None:
    left = book.top.parent / f"out{FRESH}"
    left.mkdir()
    (left / "half").write_text("half")
    book.ledger("handoff", "letters", "--pages", "1", "--to", "../out")
    assert not left.exists() and not (book.top.parent / "out/half").exists()
    shutil.rmtree(book.top.parent / "out")
