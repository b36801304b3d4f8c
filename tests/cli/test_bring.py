"""`bring`: drafts and exports as they come, into the book; nothing is recorded, nothing of yours is written over."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from ledger.read.config import read_book
from tests.schema_check import checked
from tests.typed_book import SCRIPT, TypedBook
from tests.word_files import docx, odt, p

DRAFT = (
    p("Chapter 1: The slipway", style="Kapitel") + p("The boat shed", style="Szene") + p("PAGE ONE")
    + p("NELL: Is that you?") + p("MARLO: Who asked?") + p("MARLO: Nobody.") + p("Panel 4")
    + p("Chapter 2: The far room", style="Kapitel") + p("PAGE TWO") + p("NELL: Push.")
)  # fmt: skip
DRAFT_FILE = docx(DRAFT)


@pytest.fixture
def book(laid_out: TypedBook) -> TypedBook:
    """The book of the tests before anything is written in it."""
    (laid_out.top / "script/01.md").unlink()
    return laid_out


def bring(book: TypedBook, name: str, data: bytes, *words: str, code: int = 0) -> dict[str, object]:
    (book.top.parent / name).write_bytes(data)
    return checked(book.ledger("bring", f"../{name}", *words, "--json", code=code).out)


def text(book: TypedBook, path: str) -> str:
    return (book.top / path).read_bytes().decode()


def test_a_draft_is_cut_at_its_chapters(book: TypedBook) -> None:
    said = bring(book, "draft.docx", DRAFT_FILE)
    assert said["paths"] == ["script/01.md", "script/02.md"] and said["done"] is True and said["commit"] is None
    assert text(book, "script/02.md") == "# Chapter 2: The far room\n\nPAGE TWO\n\nNELL: Push.\n"
    assert text(book, "script/01.md").startswith("# Chapter 1: The slipway\n\n## The boat shed\n\nPAGE ONE\n")
    assert said["speakers"] == [{"name": "MARLO", "lines": 2}]


def test_what_was_not_understood_is_told_by_cause(book: TypedBook) -> None:
    said = bring(book, "draft.docx", DRAFT_FILE)
    told = {(each["rule"], each["count"]) for each in said["unread"]}  # type: ignore[attr-defined]
    assert ("unknown-key", 2) in told and ("panel-count", 1) in told
    out = book.ledger("bring", "../draft.docx").out
    assert "'MARLO' is nobody in the cast\n    script/01.md:9, script/01.md:11\n" in out
    assert all(len(row) <= 80 for row in out.splitlines())


def test_the_same_draft_again_changes_nothing_and_a_newer_one_replaces_it(book: TypedBook) -> None:
    bring(book, "draft.docx", DRAFT_FILE)
    again = bring(book, "draft.docx", DRAFT_FILE)
    assert again["done"] is False and [f["state"] for f in again["files"]] == ["unchanged"] * 2  # type: ignore[attr-defined]
    shorter = docx(DRAFT.partition(p("Chapter 2: The far room", style="Kapitel"))[0] + p("NELL: Go."))
    newer = bring(book, "draft.docx", shorter)
    assert [(f["path"], f["state"]) for f in newer["files"]] == [  # type: ignore[attr-defined]
        ("script/01.md", "replaced"), ("script/02.md", "gone"),
    ]  # fmt: skip
    assert text(book, "script/01.md").endswith("NELL: Go.\n") and not (book.top / "script/02.md").exists()


def test_another_draft_takes_no_file_away(book: TypedBook) -> None:
    bring(book, "draft.docx", DRAFT_FILE)
    said = bring(book, "one.docx", docx(p("Chapter 1", style="Kapitel") + p("NELL: Go.")), "--to", "script/01.md")
    assert [(f["path"], f["state"]) for f in said["files"]] == [("script/01.md", "replaced")]  # type: ignore[attr-defined]
    assert said["others"] == ["script/02.md"] and (book.top / "script/02.md").exists()
    assert "script/02.md stays as it is" in book.ledger("bring", "../one.docx", "--to", "script/01.md").out


TIDE = docx(p("The tide turns before noon", style="Kapitel") + p("NELL: We row with it or not at all."))


def test_a_draft_of_another_chapter_never_replaces_one_that_is_not_recorded(book: TypedBook) -> None:
    bring(book, "draft.docx", DRAFT_FILE)
    there = text(book, "script/01.md")
    assert bring(book, "tide.docx", TIDE, "--cast", code=1)["clashes"] == ["script/01.md"]
    assert text(book, "script/01.md") == there and "MARLO" not in text(book, "book.toml")
    told = book.ledger("bring", "../tide.docx", code=1).out
    assert told.startswith("Stopped: another draft was brought here and is not recorded yet.")
    assert "script/01.md: lines of draft.docx begin with -" in told and "+NELL: We row with it or not at all." in told
    assert "--to script/01.md writes over it" in " ".join(told.split())


def test_what_is_recorded_may_be_replaced_and_so_may_an_earlier_version(book: TypedBook) -> None:
    bring(book, "draft.docx", DRAFT_FILE)
    later = DRAFT.replace("Is that you?", "Is that really you?")
    for name, data in (("draft two.docx", docx(later)), ("draft.docx", DRAFT_FILE)):
        states = [file["state"] for file in bring(book, name, data)["files"]]  # type: ignore[attr-defined]
        assert states == ["replaced", "unchanged"]
    book.ledger("save")
    replaced = bring(book, "tide.docx", TIDE)["files"]
    assert [file["state"] for file in replaced] == ["replaced"]  # type: ignore[attr-defined]


def test_a_file_that_was_changed_since_is_shown_and_kept(book: TypedBook) -> None:
    bring(book, "draft.docx", DRAFT_FILE)
    book.change("script/02.md", "NELL: Push.", "NELL: Push harder.")
    mine = text(book, "script/02.md")
    (book.top.parent / "draft.docx").write_bytes(docx(DRAFT + p("NELL: Go.")))
    done = book.ledger("bring", "../draft.docx", "--cast", code=1)
    assert "-NELL: Push harder." in done.out and "+NELL: Push." in done.out and "+NELL: Go." in done.out
    assert text(book, "script/02.md") == mine and "MARLO" not in text(book, "book.toml")
    assert bring(book, "draft.docx", docx(DRAFT + p("NELL: Go.")), code=1)["clashes"] == ["script/02.md"]


def test_a_file_that_bring_never_wrote_is_not_written_over(laid_out: TypedBook) -> None:
    said = bring(laid_out, "draft.docx", DRAFT_FILE, code=1)
    assert said["clashes"] == ["script/01.md"] and text(laid_out, "script/01.md") == SCRIPT
    assert bring(laid_out, "draft.docx", DRAFT_FILE, "--to", "script/05.md")["paths"] == [
        "script/05.md",
        "script/06.md",
    ]


def test_cast_is_written_by_line_and_every_other_byte_stays(book: TypedBook) -> None:
    before = (book.top / "book.toml").read_bytes()
    said = bring(book, "draft.docx", DRAFT_FILE, "--cast")
    assert said["cast"] == [{"key": "MARLO", "name": "Marlo"}] and said["speakers"] == []
    after = (book.top / "book.toml").read_bytes()
    assert after.replace(b'MARLO = "Marlo"\n', b"") == before
    assert read_book(after).cast[-1].name == "Marlo" and "book.toml" in said["paths"]  # type: ignore[operator]


def test_typed_drafts_pass_byte_for_byte(book: TypedBook) -> None:
    typed = b"\xef\xbb\xbfBefore.\r\n\r\n# One\r\n\r\nN: Hm.\r\n\r\n\r\n# Two\r\n\r\n- N: Ah.\r\n"
    bring(book, "draft.txt", typed)
    assert (book.top / "script/01.md").read_bytes() + (book.top / "script/02.md").read_bytes() == typed
    assert bring(book, "old.txt", "# One\n\nN: Déjà vu.\n".encode("cp1252"), "--to", "script/09.md")["paths"]
    assert text(book, "script/09.md") == "# One\n\nN: Déjà vu.\n"


def test_a_draft_without_headings_goes_on_after_the_file_before_it(laid_out: TypedBook) -> None:
    said = bring(laid_out, "more.txt", b"MARLO: Only four words.\n", "--to", "script/02.md")
    assert said["files"] == [{"path": "script/02.md", "state": "new", "chapter": "", "words": 3, "scenes": 1}]
    assert said["speakers"] == [{"name": "MARLO", "lines": 1}]


def test_chapters_keep_their_own_numbers(book: TypedBook) -> None:
    part = odt('<text:h text:outline-level="1">Chapter Three</text:h><text:p>NELL: Push.</text:p>')
    assert bring(book, "three.odt", part)["paths"] == ["script/03.md"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["../nothing.docx"], "no such file or folder"),
        (["../draft.rtf"], "save it as .docx where it was written"),
        (["../draft.docx", "--to", "art/p1.png"], "is no place of a text pass"),
        (["../draft.docx", "--to", "../../away.md"], "is no place of a text pass"),
        (["../draft.docx", "--first", "3"], "--first counts pages of exports"),
        (["..", "--pass", "script"], "script is a text pass"),
        (["../scans", "--pass", "inks", "--cast"], "--to and --cast are for a draft"),
        (["../scans"], "name the pass with --pass inks"),
        (["../scans", "--pass", "inks"], "no picture that says its page"),
        (["../zip.docx"], "no document of a word processor"),
        (["../blank.txt"], "there are no words in it"),
    ],
)
def test_wrong_use_and_bad_input(book: TypedBook, words: list[str], said: str) -> None:
    for name, data in (
        ("draft.rtf", b"{\\rtf"),
        ("draft.docx", DRAFT_FILE),
        ("zip.docx", b"no zip"),
        ("blank.txt", b" \n"),
    ):
        (book.top.parent / name).write_bytes(data)
    (book.top.parent / "scans").mkdir()
    done = book.ledger("bring", *words, code=2)
    assert said in " ".join(done.err.split())
    assert not list((book.top / "script").iterdir())


def test_a_link_in_the_way_is_not_followed(book: TypedBook, tmp_path: Path) -> None:
    (tmp_path / "away.md").write_text("mine")
    (book.top / "script/01.md").symlink_to(tmp_path / "away.md")
    (book.top.parent / "draft.docx").write_bytes(DRAFT_FILE)
    assert "no plain file" in book.ledger("bring", "../draft.docx", code=2).err
    assert (tmp_path / "away.md").read_text() == "mine"


# -- exports


def scans(book: TypedBook, *names: str) -> Path:
    folder = book.top.parent / "scans"
    folder.mkdir(exist_ok=True)
    for seed, name in enumerate(names):
        book.draw("inks", "999", seed)
        shutil.move(book.top / "art/inks/p999.png", folder / name)
    return folder


def test_exports_under_names_of_their_own(book: TypedBook) -> None:
    folder = scans(book, "supper_1_v3.png", "supper_2_v3.png", "supper_10_v3.png", "Cover.png")
    (folder / "read me.txt").write_text("x")
    said = checked(book.ledger("bring", "../scans", "--pass", "inks", "--json").out)
    assert [(page["from"], page["path"]) for page in said["pages"]] == [
        ("Cover.png", "art/inks/cover.png"), ("supper_1_v3.png", "art/inks/p001.png"),
        ("supper_2_v3.png", "art/inks/p002.png"), ("supper_10_v3.png", "art/inks/p010.png"),
    ]  # fmt: skip
    assert said["holes"] == [str(n) for n in range(3, 10)] and said["left"] == ["read me.txt"]
    assert (book.top / "art/inks/p010.png").read_bytes() == (folder / "supper_10_v3.png").read_bytes()
    out = book.ledger("bring", "../scans", "--pass", "inks").out
    assert "Pages 3-9 are missing in between." in out and "All of them are there already." in out


def test_counted_in_name_order(book: TypedBook) -> None:
    scans(book, "scan2.png", "scan10.png", "scan1.png")
    said = checked(book.ledger("bring", "../scans", "--pass", "inks", "--first", "3", "--json").out)
    assert [(page["from"], page["page"]) for page in said["pages"]] == [
        ("scan1.png", "3"),
        ("scan2.png", "4"),
        ("scan10.png", "5"),
    ]


def test_doubles_are_named_and_nothing_is_copied(book: TypedBook) -> None:
    scans(book, "a_01_v2.png", "a_01_v3.png", "a_02_v2.png", "a_03_v2.png")
    done = book.ledger("bring", "../scans", "--pass", "inks", code=1)
    assert "page 1 twice: a_01_v2.png, a_01_v3.png" in done.out and not (book.top / "art/inks/p002.png").exists()
    assert checked(book.ledger("bring", "../scans", "--pass", "inks", "--json", code=1).out)["done"] is False


def test_a_page_of_yours_is_not_written_over(book: TypedBook) -> None:
    folder = scans(book, "p1.png", "p2.png")
    book.draw("inks", "001", 21)
    mine = (book.top / "art/inks/p001.png").read_bytes()
    done = book.ledger("bring", "../scans", "--pass", "inks", code=1)
    assert "art/inks/p001.png is there and is another picture" in done.out
    assert (book.top / "art/inks/p001.png").read_bytes() == mine and not (book.top / "art/inks/p002.png").exists()
    (book.top / "art/inks/p001.png").unlink()
    book.ledger("bring", "../scans", "--pass", "inks")
    shutil.copy(folder / "p2.png", folder / "p1.png")
    said = checked(book.ledger("bring", "../scans", "--pass", "inks", "--json").out)
    assert [page["state"] for page in said["pages"]] == ["replaced", "unchanged"]
