"""`enter`: all or nothing, beside the user's index."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest

from tests.typed_book import SCRIPT, TypedBook


def entry(book: TypedBook, name: str) -> dict[str, object]:
    return tomllib.loads((book.top / f"ledger/{name}.toml").read_text())


def staged_ids(book: TypedBook) -> dict[str, str]:
    """Path -> object id as git's own listing says it."""
    rows = (row.split("\t", 1) for row in book.git("-c", "core.quotePath=false", "ls-files", "-s").splitlines())
    return {path: head.split()[1] for head, path in rows}


def test_the_first_commit_can_be_a_round(tmp_path: Path) -> None:
    book = TypedBook(tmp_path)
    book.git("init", "-q", "-b", "main")
    book.write("book.toml", '[book]\ntitle = "The Ninth Supper"\npages = 4\n\n[[pass]]\nname = "script"\n'
               'kind = "text"\nfiles = "script/*.md"\n')  # fmt: skip
    book.write("script/01.md", SCRIPT)
    told = book.ledger("enter", "script", "-m", "first draft", "--json").document
    assert told["entry"] == "script-1" and told["tag"] == "pass/script/1"
    assert book.git("show", "--name-only", "--format=", "HEAD").split() == [
        "book.toml", "ledger/script-1.toml", "script/01.md",
    ]  # fmt: skip
    assert book.git("status", "--porcelain") == ""


def test_a_round_says_what_it_holds(entered: TypedBook) -> None:
    said = entry(entered, "pencils-1")
    assert said["pages"] == "1-4"
    assert said["basis"] == {"script": "script-1"}
    ids = staged_ids(entered)
    assert said["files"] == {path: oid for path, oid in ids.items() if path.startswith("art/pencils/")}
    assert set(said["made_from"]) == {"1", "2", "3", "4"}  # type: ignore[call-overload]
    tags = entered.git(
        "for-each-ref", "--format=%(refname:short) %(objecttype) %(*objecttype) %(taggername)", "refs/tags"
    )
    assert tags.splitlines() == ["pass/pencils/1 tag commit Odile Marr", "pass/script/1 tag commit Odile Marr"]
    assert entered.git("fsck", "--strict") == ""


def test_unchanged_is_not_entered_again(entered: TypedBook) -> None:
    head = entered.git("rev-parse", "HEAD")
    told = entered.ledger("enter", "script")
    assert "unchanged since script-1" in told.out
    assert entered.git("rev-parse", "HEAD") == head
    entered.ledger("enter", "pencils", "--stands", "-m", "looked at, good as they are")
    assert entry(entered, "pencils-2")["pages"] == "1-4"


def test_stands_needs_a_reason(entered: TypedBook) -> None:
    assert "reason" in entered.ledger("enter", "pencils", "--stands", code=2).err


def test_the_second_round_has_a_memo(entered: TypedBook) -> None:
    entered.change("script/01.md", "N: Listen.", "N: Listen to that.")
    told = entered.ledger("enter", "script", "-m", "second", "--json").document
    assert "memos/script-2.md" in told["paths"]
    assert (entered.top / "memos/script-2.md").read_text().startswith("#")
    assert entered.git("status", "--porcelain") == ""


def test_only_changed_pages_are_entered(entered: TypedBook) -> None:
    entered.draw("pencils", "002", 17)
    entered.ledger("enter", "pencils")
    said = entry(entered, "pencils-2")
    assert said["pages"] == "2"
    assert len(said["files"]) == 4  # type: ignore[arg-type]


def test_chosen_pages_alone(entered: TypedBook) -> None:
    for page in ("002", "003"):
        entered.draw("pencils", page, 17)
    entered.ledger("enter", "pencils", "--pages", "3")
    assert entry(entered, "pencils-2")["pages"] == "3"
    assert entered.git("status", "--porcelain").split() == ["M", "art/pencils/p002.png"]


def test_a_page_taken_away_is_told(entered: TypedBook) -> None:
    (entered.top / "art/pencils/p004.png").unlink()
    entered.ledger("enter", "pencils")
    assert "art/pencils/p004.png" not in entry(entered, "pencils-2")["files"]  # type: ignore[operator]
    assert entered.git("status", "--porcelain") == ""


def test_a_half_staged_file_stays_half_staged(entered: TypedBook) -> None:
    entered.write("designs/nell.md", "Nell\n")
    entered.git("add", "designs/nell.md")
    entered.write("designs/nell.md", "Nell\nscar left\n")
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    before = entered.git("diff", "--cached", "--", "designs"), entered.git("diff", "--", "designs")
    entered.ledger("enter", "script")
    assert (entered.git("diff", "--cached", "--", "designs"), entered.git("diff", "--", "designs")) == before
    assert "designs" not in entered.git("show", "--name-only", "--format=", "HEAD")


def test_one_page_there_twice_blocks(entered: TypedBook) -> None:
    entered.draw("pencils", "2", 20)
    head = entered.git("rev-parse", "HEAD")
    told = entered.ledger("enter", "pencils", "--json", code=1).document
    assert {f["rule"] for f in told["findings"] if f["level"] == "block"} == {"page-number"}
    assert entered.git("rev-parse", "HEAD") == head


def test_links_and_ignored_files_are_refused(entered: TypedBook) -> None:
    (entered.top / "script/02.md").symlink_to("01.md")
    assert "script/02.md" in entered.ledger("enter", "script", code=2).err
    (entered.top / "script/02.md").unlink()
    entered.write("script/03.md", "# Three\n")
    entered.write(".gitignore", "script/03.md\n")
    assert "script/03.md" in entered.ledger("enter", "script", code=2).err


def test_from_a_subfolder_and_a_second_working_tree(entered: TypedBook, tmp_path: Path) -> None:
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    entered.ledger("-C", "art/pencils", "enter", "script")
    entered.git("worktree", "add", "-q", "-b", "side", str(tmp_path / "side"))
    side = TypedBook(tmp_path / "side")
    side.change("script/01.md", "N: Push.", "N: Push!")
    side.ledger("enter", "script")
    assert entry(side, "script-3")["round"] == 3
    assert side.git("status", "--porcelain") == ""


@pytest.mark.parametrize("name", ["über uns.md", 'say "when".md', "neue\nzeile.md", "-m.md", "*.md"])
def test_unusual_names(entered: TypedBook, name: str) -> None:
    entered.write(f"script/{name}", "# Later\n\nN: Odd name.\n")
    entered.ledger("enter", "script")
    files = entry(entered, "script-2")["files"]
    assert f"script/{name}" in files  # type: ignore[operator]
    assert entered.git("status", "--porcelain") == ""


def test_two_dated_old_drafts_as_past_rounds(laid_out: TypedBook, tmp_path: Path) -> None:
    now = (laid_out.top / "script/01.md").read_bytes()
    (tmp_path / "draft one.md").write_text("# One\n\nN: First words.\n")
    (tmp_path / "draft two.txt").write_text("# One\n\nN: Second words.\n")
    laid_out.ledger("enter", "script", "--from", str(tmp_path / "draft one.md"), "--date", "2024-03-01")
    laid_out.ledger("enter", "script", "--from", str(tmp_path / "draft two.txt"), "--date", "2025-03-01")
    said = entry(laid_out, "script-2")
    assert str(said["date"])[:10] == "2025-03-01" and said["dated"] == "stated"
    assert (laid_out.top / "script/01.md").read_bytes() == now
    assert laid_out.git("show", "pass/script/1:script/01.md") == "# One\n\nN: First words.\n"
    told = laid_out.ledger("enter", "script", "--from", str(tmp_path / "draft one.md"), "--date", "2024-12-01", code=2)
    assert "oldest first" in told.err
    laid_out.ledger("enter", "script", "-m", "the draft of today")
    assert laid_out.git("status", "--porcelain") == ""
    words = [laid_out.ledger("compare", f"script-{n}", f"script-{n + 1}", "--json").document for n in (1, 2)]
    assert words[0]["old"]["words"] == 2 and words[1]["new"]["words"] > 20


def test_the_date_is_the_committers(laid_out: TypedBook) -> None:
    laid_out.ledger("enter", "script", env={"GIT_COMMITTER_DATE": "2026-03-02T17:20:00+01:00"})
    assert str(entry(laid_out, "script-1")["date"]) == "2026-03-02 17:20:00+01:00"


def inked(book: TypedBook) -> TypedBook:
    """Script-2 puts page 2 into another mouth; then inks are drawn."""
    book.change("script/01.md", "N: Push.", "J: Push.")
    book.ledger("enter", "script", "-m", "second")
    for page in range(1, 5):
        book.draw("inks", f"{page:03}", page + 5)
    return book


def test_what_it_was_made_from_can_be_stated(entered: TypedBook) -> None:
    """The stated round stands in `basis`, its content in `made_from`; the other upstream passes stay HEAD's."""
    book = inked(entered)
    before = entry(book, "pencils-1")["made_from"]
    book.ledger("enter", "inks", "--made-from", "script-1")
    said = entry(book, "inks-1")
    assert said["basis"] == {"pencils": "pencils-1", "script": "script-1"}
    made_from = said["made_from"]
    assert {page: made["script"] for page, made in made_from.items()} == {  # type: ignore[attr-defined]
        page: made["script"]
        for page, made in before.items()  # type: ignore[attr-defined]
    }
    assert made_from["2"]["pencils"] == staged_ids(book)["art/pencils/p002.png"]  # type: ignore[index]


def test_stated_of_an_unchanged_pass_it_is_said_of_every_page(entered: TypedBook) -> None:
    book = inked(entered)
    book.ledger("enter", "inks")
    book.ledger("enter", "inks", "--made-from", "script-1")
    said = entry(book, "inks-2")
    assert said["pages"] == "1-4"
    assert set(said["made_from"]) == {"1", "2", "3", "4"}  # type: ignore[call-overload]


@pytest.mark.parametrize(
    ("pass_name", "reference", "says"),
    [
        ("inks", "nowhere", "no entry, pass, revision or file"),
        ("inks", "inks-1", "nothing that 'inks' is made from"),
        ("script", "HEAD", "made from no other pass"),
    ],
)
def test_stated_from_what_is_nothing_upstream(entered: TypedBook, pass_name: str, reference: str, says: str) -> None:
    book = inked(entered)
    book.ledger("enter", "inks")
    head = book.git("rev-parse", "HEAD")
    assert says in book.ledger("enter", pass_name, "--made-from", reference, code=2).err
    assert book.git("rev-parse", "HEAD") == head


def test_a_picture_older_than_the_script_round_that_changed_its_page(entered: TypedBook) -> None:
    for page in range(1, 5):
        entered.draw("inks", f"{page:03}", page + 5)
    entered.ledger("save", "-m", "inks, not entered yet")
    entered.change("script/01.md", "N: Push.", "J: Push.")
    entered.ledger("enter", "script")
    told = entered.ledger("enter", "inks", "--json").document
    assert told["done"] is True
    assert [(f["rule"], f["level"], f["page"]) for f in told["findings"]] == [("page-stale", "query", "2")]
    stated = entered.ledger("enter", "inks", "--pages", "2", "--made-from", "script-1", "--json").document
    assert stated["findings"] == []


def test_a_page_that_is_gone_is_made_from_nothing(entered: TypedBook) -> None:
    (entered.top / "art/pencils/p004.png").unlink()
    told = entered.ledger("enter", "pencils", "--pages", "1")
    assert "page 1 of pencils is unchanged" in told.out
    entered.ledger("enter", "pencils")
    said = entry(entered, "pencils-2")
    assert said["pages"] == "4" and "made_from" not in said


def test_with_no_file_left_nothing_is_entered(entered: TypedBook) -> None:
    for page in range(1, 5):
        (entered.top / f"art/pencils/p{page:03}.png").unlink()
    told = entered.ledger("enter", "pencils", code=2)
    assert "no file of the pass" in told.err and "inkledger save" in told.err


def test_a_reason_where_nothing_is_signed_off(entered: TypedBook) -> None:
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    assert "class of alteration" in entered.ledger("enter", "script", "--class", "ZZ", "--reason", "r", code=2).err
    assert "--reason is empty" in entered.ledger("enter", "script", "--reason", " ", code=2).err
    told = entered.ledger("enter", "script", "--class", "EA", "--reason", "r")
    assert "No slip was needed" in told.out
    assert "alteration" not in entered.git("tag", "-l")


def test_old_exports_lie_over_what_the_pass_holds(entered: TypedBook, tmp_path: Path) -> None:
    """A page that is not among the old exports stays; your files now are not touched."""
    now = (entered.top / "art/pencils/p003.png").read_bytes()
    ids = staged_ids(entered)
    (tmp_path / "old").mkdir()
    (tmp_path / "old/p003.png").write_bytes((entered.top / "art/pencils/p001.png").read_bytes())
    (tmp_path / "old/p004.png").write_bytes((entered.top / "art/pencils/p002.png").read_bytes())
    (tmp_path / "old/a word.txt").write_text("from the old disk\n")
    stated = ("--date", "2030-01-01")
    refused = entered.ledger("enter", "pencils", "--from", str(tmp_path / "old"), "--pages", "1", *stated, code=2)
    assert "no export of page 1 lies there" in refused.err
    entered.ledger("enter", "pencils", "--from", str(tmp_path / "old"), "--pages", "3", *stated)
    said = entry(entered, "pencils-2")
    assert said["pages"] == "3"
    assert said["files"] == {
        **{path: oid for path, oid in ids.items() if path.startswith("art/pencils/")},
        "art/pencils/p003.png": ids["art/pencils/p001.png"],
    }
    assert (entered.top / "art/pencils/p003.png").read_bytes() == now
    assert entered.git("status", "--porcelain").split() == ["M", "art/pencils/p003.png"]


def test_a_stated_time_without_an_offset_is_the_clocks_here(laid_out: TypedBook, tmp_path: Path) -> None:
    (tmp_path / "old.md").write_text("# One\n\nN: First words.\n")
    laid_out.ledger("enter", "script", "--from", str(tmp_path / "old.md"), "--date", "2024-03-01T10:00",
                    env={"TZ": "UTC-2"})  # fmt: skip
    assert str(entry(laid_out, "script-1")["date"]) == "2024-03-01 10:00:00+02:00"


def test_in_a_repository_of_the_users_only_their_own_work_is_left(tmp_path: Path) -> None:
    """What `init` wrote there without committing is taken along by the first `enter`."""
    book = TypedBook(tmp_path)
    book.git("init", "-q", "-b", "main")
    book.write("shopping.txt", "eels\n")
    book.ledger("init", "--yes")
    book.write("script/01.md", SCRIPT)
    book.ledger("enter", "script")
    assert book.git("status", "--porcelain").split() == ["??", "shopping.txt"]


def test_a_number_that_another_branch_has_is_left_to_it(entered: TypedBook) -> None:
    entered.git("switch", "-qc", "side")
    entered.change("script/01.md", "N: Push.", "N: Push!")
    entered.ledger("enter", "script")
    entered.ledger("lock", "pencils")
    entered.git("switch", "-q", "main")
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    assert entered.ledger("enter", "script", "--json").document["entry"] == "script-3"
    assert entered.ledger("lock", "pencils", "--json").document["entry"] == "lock-pencils-2"
    entered.git("merge", "-q", "side", "-m", "both")
    assert entered.ledger("audit").code == 0
    assert entered.ledger("doctor", "--json").document["tags_made"] == []


def test_a_pipe_is_no_page(entered: TypedBook) -> None:
    place = entered.top / "art/pencils/p002.png"
    place.unlink()
    os.mkfifo(place)
    told = entered.ledger("enter", "pencils", code=2)
    assert "art/pencils/p002.png: this is a pipe" in told.err


def test_an_unreadable_page_is_no_late_change(entered: TypedBook) -> None:
    """Where nothing is signed off, no slip is offered, and none is written for it."""
    entered.write("art/pencils/p002.png", b"")
    assert "--reason" not in entered.ledger("enter", "pencils", code=1).out
    told = entered.ledger("enter", "pencils", "--reason", "r", code=1)
    assert "export-unreadable" in told.out and "slip" not in told.out
    assert not (entered.top / "ledger/alteration-1.toml").exists()


def test_a_name_that_is_no_utf_8(entered: TypedBook) -> None:
    entered.write(os.fsdecode(b"script/odd\xff.md"), "# Later\n")
    told = entered.ledger("enter", "script", code=2)
    assert told.err.startswith("inkledger: script/odd\\xff.md: the name of this file is not valid UTF-8")
    assert entered.ledger("save", "--json").document["done"] is True
    assert entered.git("status", "--porcelain") == ""
    entered.ledger("undo")


def test_words_that_are_no_utf_8(entered: TypedBook) -> None:
    entered.change("script/01.md", "Push.", "Push harder.")
    told = entered.ledger("enter", "script", "-m", os.fsdecode(b"later\xff"), code=2)
    assert told.err.startswith("inkledger: ledger/script-2.toml: words of it are not valid UTF-8")
    assert not (entered.top / "ledger/script-2.toml").exists()


def test_what_a_sparse_checkout_leaves_out_is_not_gone(entered: TypedBook) -> None:
    entered.git("status")
    entered.git("sparse-checkout", "set", "--no-cone", "/*", "!/art/pencils/p003.png")
    assert not (entered.top / "art/pencils/p003.png").exists()
    entered.draw("pencils", "001", 9)
    entered.ledger("enter", "pencils")
    said = entry(entered, "pencils-2")
    assert said["pages"] == "1" and len(said["files"]) == 4  # type: ignore[arg-type]
    assert entered.git("status", "--porcelain") == ""
    assert entered.git("ls-files", "-t", "art/pencils/p003.png").startswith("S ")


TONES = """
[[pass]]
name = "tones"
kind = "art"
files = "art/tones/p{page}.png"
locks = ["drawing"]
"""


def test_a_pass_that_is_new_in_book_toml_brings_it_along(entered: TypedBook) -> None:
    entered.write("book.toml", (entered.top / "book.toml").read_bytes() + TONES.encode())
    entered.draw("tones", "001", 3)
    assert "inkledger save" in entered.ledger("lock", "tones", code=2).err
    assert "book.toml went along" in entered.ledger("enter", "tones").out
    assert entered.git("status", "--porcelain") == ""
    entered.ledger("lock", "tones")


def test_moving_a_closed_script_in_book_toml_lets_no_late_draft_in(signed: TypedBook) -> None:
    signed.change("book.toml", 'files = "script/*.md"', 'files = "draft/*.md"')
    signed.write("draft/01.md", SCRIPT.replace("N: Push.", "J: Push."))
    told = signed.ledger("enter", "script", "--json", code=1).document
    assert "speaker-changed" in {f["rule"] for f in told["findings"] if f["level"] == "block"}


def test_book_toml_stays_the_users_own_where_the_pass_is_known(entered: TypedBook) -> None:
    entered.change("book.toml", "pages = 4", "pages = 5")
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    entered.ledger("enter", "script")
    assert entered.git("status", "--porcelain").split() == ["M", "book.toml"]
