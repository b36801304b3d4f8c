"""`deliver`: what is in the bundle, what the ledger says of it, what stops it, and that it is whole or not there."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
from hashlib import sha256
from pathlib import Path
from typing import Any

import bagit  # type: ignore[import-untyped]
import pytest
from PIL import Image

from tests.schema_check import checked
from tests.typed_book import SOMEBODY, TypedBook, typed_book

FRESH = ".inkledger-new"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Four pages of pencils and inks entered, the inks signed off."""
    book = typed_book(tmp_path_factory.mktemp("deliver") / "book")
    book.ledger("enter", "script", "-m", "first draft")
    for name in ("pencils", "inks"):
        for page in range(1, 5):
            book.draw(name, f"{page:03d}", page * 5)
        book.ledger("enter", name, "-m", "drawn")
    book.ledger("lock", "inks", "-m", "final", "--approved-by", "E. Marsh", "--how", "mail of 3 March")
    return book


@pytest.fixture
def book(kept: TypedBook, tmp_path: Path) -> TypedBook:
    return kept.copied(tmp_path / "book")


def delivered(book: TypedBook, *words: str, to: str = "../out", code: int = 0) -> dict[str, Any]:
    """Delivers; a bundle that is there is valid. Gives the document."""
    document = checked(book.ledger("deliver", *words, "--to", to, "--json", code=code).out)
    place = book.top / to
    if code:
        untouched(book, place)
    else:
        bagit.Bag(str(place)).validate()
    return document


def untouched(book: TypedBook, place: Path) -> None:
    assert not place.exists() and not Path(f"{place}{FRESH}").exists()
    assert "delivery" not in book.git("log", "-1", "--format=%s")


def rules(document: dict[str, Any], level: str = "block") -> list[tuple[str, str | None]]:
    return [(each["rule"], each["page"]) for each in document["findings"] if each["level"] == level]


def commit(book: TypedBook, *paths: str) -> None:
    """Past the hooks, as somebody without the tool would."""
    book.git("add", "-A", *paths)
    book.git("commit", "--no-verify", "-qm", "late")


def test_the_bundle_holds_what_is_committed_and_says_so(book: TypedBook) -> None:
    committed = (book.top / "art/inks/p002.png").read_bytes()
    book.draw("inks", "002", 19)
    done = delivered(book, "inks")
    out = book.top.parent / "out"
    assert sorted(path.name for path in (out / "data").iterdir()) == [f"p00{page}.png" for page in range(1, 5)]
    assert (out / "data/p002.png").read_bytes() == committed
    assert done["done"] and done["entry"] == "delivery-1" and done["part"] is None and rules(done) == []
    for page, each in zip("1234", done["pages"], strict=True):
        data = (out / each["path"]).read_bytes()
        assert (each["page"], each["pass"], each["accepted"]) == (page, "inks", True)
        assert (each["sha256"], each["size"]) == (sha256(data).hexdigest(), len(data))
        with Image.open(out / each["path"]) as seen:
            assert list(seen.size) == each["px"] and seen.mode == "L" and each["mode"] == "grey"
    entry = (book.top / "ledger/delivery-1.toml").read_text()
    assert 'passes  = ["inks"]' in entry and "pages" not in entry
    assert book.git("rev-parse", "HEAD:art/inks/p002.png").strip() in entry
    assert "inks, all pages" in book.ledger("rounds").out
    assert book.ledger("audit").code == 0 and book.git("status", "--porcelain").split() == ["M", "art/inks/p002.png"]
    said = subprocess.run(["sha256sum", "-c", "--quiet", "manifest-sha256.txt"], cwd=out, check=False)
    assert said.returncode == 0


def test_it_says_that_your_own_files_differ(book: TypedBook) -> None:
    book.draw("inks", "002", 19)
    (book.top / "art/inks/p003.png").unlink()
    said = " ".join(book.ledger("deliver", "inks", "--to", "../out").out.split())
    assert "Your own files differ on pages 2-3; what is committed went out." in said


def test_it_says_which_checks_were_passed(book: TypedBook) -> None:
    said = " ".join(book.ledger("deliver", "inks", "--to", "../one").out.split())
    assert "Checked: no page is missing; every file opens; sizes and stated resolutions are as book.toml asks;" in said
    assert "no page is there twice; none rests on older content; each is as it was signed off." in said
    assert "modes" not in said  # the pass asks for none
    said = " ".join(book.ledger("deliver", "pencils", "--to", "../two").out.split())
    assert "none rests on older content. " in said and "as it was signed off" not in said.partition("Checked:")[2][:300]
    book.write("book.toml", (book.top / "book.toml").read_text() + '\n[rules]\npage-stale = "off"\n')
    commit(book)
    said = " ".join(book.ledger("deliver", "inks", "--to", "../three").out.split())
    assert "Checked:" in said and "older content" not in said


def test_parts_are_counted(book: TypedBook) -> None:
    assert delivered(book, "inks", "--pages", "1-2", to="../a")["part"] == 1
    assert delivered(book, "inks", "--pages", "3-4", to="../b")["part"] == 2
    assert delivered(book, "inks", "--pages", "1-2", to="../c")["part"] == 1
    assert delivered(book, "inks", "--pages", "1-4", to="../d")["part"] is None
    assert delivered(book, "pencils", "--pages", "1", to="../e")["part"] == 1
    assert "inks, pages 3-4, by Odile Marr: part 2" in " ".join(book.ledger("rounds").out.split())
    status = " ".join(book.ledger("status").out.split())
    assert "Newest delivery: page 1 of pencils on" in status and "part 1 (delivery-5)." in status
    assert "part 2 (pages 3-4)" in (book.top.parent / "b/bag-info.txt").read_text()


def test_several_passes_lie_in_folders_of_their_own(book: TypedBook) -> None:
    done = delivered(book, "pencils", "inks", "--pages", "1-2")
    assert [each["path"] for each in done["pages"]] == [
        "data/pencils/p001.png", "data/pencils/p002.png", "data/inks/p001.png", "data/inks/p002.png",
    ]  # fmt: skip
    assert rules(done, "query") == [("not-as-signed", None)]


def test_names_sort_in_page_order(book: TypedBook) -> None:
    """Byte order would put back matter before the cover, and the cover before the first page of 10."""
    book.change("book.toml", "pages = 4\n", "pages = 4\nfront_matter = 1\nback_matter = 1\n")
    for label, seed in (("cover", 1), ("f1", 2), ("b1", 3)):
        book.draw("pencils", "001", seed)
        (book.top / "art/pencils/p001.png").rename(book.top / f"art/pencils/{label}.png")
    book.draw("pencils", "001", 5)
    book.ledger("enter", "pencils", "-m", "cover and matter")
    done = delivered(book, "pencils")
    names = [Path(each["path"]).name for each in done["pages"]]
    assert [each["page"] for each in done["pages"]] == ["cover", "f1", "1", "2", "3", "4", "b1"]
    assert names == sorted(names) == ["001-cover.png", "002-f001.png", "003-p001.png", "004-p002.png",
                                      "005-p003.png", "006-p004.png", "007-b001.png"]  # fmt: skip
    some = delivered(book, "pencils", "--pages", "cover,2", to="../some")
    assert [each["path"] for each in some["pages"]] == ["data/001-cover.png", "data/004-p002.png"]


# -- what stops it


def test_a_page_that_is_neither_signed_off_nor_admitted_stops_it(book: TypedBook) -> None:
    book.draw("inks", "002", 19)
    commit(book)
    done = delivered(book, "inks", code=1)
    assert rules(done) == [("not-as-signed", "2")]
    assert [each["accepted"] for each in done["pages"]] == [True, False, True, True]
    delivered(book, "inks", "--pages", "1,3-4", to="../others")
    book.ledger("alter", "--late", "--pages", "2", "--reason", "the lamp", "--asked-by", "Marsh", "--class", "EA")
    commit(book)
    assert rules(delivered(book, "inks")) == []


def test_the_same_picture_saved_anew_is_as_signed(book: TypedBook) -> None:
    place = book.top / "art/inks/p002.png"
    with Image.open(place) as seen:
        seen.convert("RGB").save(place, compress_level=0)
    commit(book)
    assert rules(delivered(book, "inks")) == []


def test_a_page_opened_and_changed_is_not_signed_until_it_is_again(book: TypedBook) -> None:
    book.ledger("reopen", "inks", "--pages", "2", "--reason", "the flood")
    assert rules(delivered(book, "inks", to="../before")) == []
    book.draw("inks", "002", 19)
    book.ledger("enter", "inks", "-m", "flood")
    done = delivered(book, "inks", code=1)
    assert rules(done) == [("not-as-signed", "2")] and "reopen-1" in done["findings"][0]["message"]
    book.ledger("lock", "inks", "--pages", "2", "-m", "again")
    delivered(book, "inks")


def test_a_pass_never_signed_off_is_one_query(book: TypedBook) -> None:
    assert rules(delivered(book, "pencils"), "query") == [("not-as-signed", None)]
    book.change("book.toml", "[cast]", '[rules]\nnot-as-signed = "block"\n\n[cast]')
    commit(book)
    assert rules(delivered(book, "pencils", to="../raised", code=1)) == [("not-as-signed", None)]


def test_every_page_that_is_not_there_stops_it(book: TypedBook) -> None:
    for page in (2, 4):
        (book.top / f"art/pencils/p00{page}.png").unlink()
    commit(book)
    assert rules(delivered(book, "pencils", code=1)) == [("export-missing", "2"), ("export-missing", "4")]
    assert rules(delivered(book, "pencils", "--pages", "3-6", code=1)) == [
        ("export-missing", "4"), ("export-missing", "5"), ("export-missing", "6"),
    ]  # fmt: skip
    assert rules(delivered(book, "pencils", "--pages", "1,cover", code=1)) == [("export-missing", "cover")]
    delivered(book, "pencils", "--pages", "1,3", to="../there")


def test_a_spread_stands_for_both_and_an_omitted_page_is_not_missed(book: TypedBook) -> None:
    book.change("script/01.md", "[page 3]\n[panel 1]\nJoren sits down as if invited.\n\nJ: Then we won't keep them "
                "waiting.\n", "[page 3]\n[omitted]\n")  # fmt: skip
    for page in (2, 3):
        (book.top / f"art/pencils/p00{page}.png").unlink()
    wide = Image.new("L", (100, 75), 200)
    wide.save(book.top / "art/pencils/p001-002.png")
    (book.top / "art/pencils/p001.png").unlink()
    commit(book)
    assert [each["page"] for each in delivered(book, "pencils")["pages"]] == ["1-2", "4"]
    assert delivered(book, "pencils", "--pages", "2-3", to="../half")["part"] == 1


def test_a_stale_page_stops_it(book: TypedBook) -> None:
    book.draw("pencils", "003", 40)
    book.ledger("enter", "pencils", "-m", "redrawn")
    assert rules(delivered(book, "inks", code=1)) == [("page-stale", "3")]
    delivered(book, "inks", "--pages", "1-2", to="../two")


def test_an_export_of_the_wrong_size_stops_it(book: TypedBook) -> None:
    Image.new("L", (53, 75), 90).save(book.top / "art/pencils/p002.png")
    commit(book)
    assert rules(delivered(book, "pencils", code=1)) == [("export-size", "2")]
    book.change("book.toml", "[cast]", '[rules]\nexport-size = "query"\n\n[cast]')
    commit(book)
    assert ("export-size", "2") in rules(delivered(book, "pencils"), "query")


def test_a_stated_resolution_alone_stops_nothing(book: TypedBook) -> None:
    place = book.top / "art/pencils/p002.png"
    with Image.open(place) as seen:
        seen.save(place, dpi=(72, 72))
    commit(book)
    done = delivered(book, "pencils")
    assert ("export-size", "2") in rules(done, "query") and round(done["pages"][1]["ppi"]) == 72


def test_what_is_no_picture_stops_it(book: TypedBook) -> None:
    book.write("art/pencils/p002.png", b"not a picture")
    place = book.top / "art/pencils/p003.png"
    place.unlink()
    place.symlink_to("p001.png")
    commit(book)
    assert rules(delivered(book, "pencils", code=1)) == [("export-unreadable", "2"), ("export-unreadable", "3")]


def test_one_page_twice_stops_it(book: TypedBook) -> None:
    shutil.copy(book.top / "art/pencils/p004.png", book.top / "art/pencils/p1.png")
    commit(book)
    assert ("page-number", "1") in rules(delivered(book, "pencils", code=1))


def test_another_mode_than_the_pass_asks_for_stops_it(book: TypedBook) -> None:
    book.change("book.toml", 'locks = ["structure"]', 'locks = ["structure"]\nmode = "1"')
    commit(book)
    assert rules(delivered(book, "pencils", code=1)) == [("export-mode", str(page)) for page in range(1, 5)]


def test_content_that_is_not_here_stops_it(book: TypedBook) -> None:
    oid = book.git("rev-parse", "HEAD:art/inks/p002.png").strip()
    place = book.top / f".git/objects/{oid[:2]}/{oid[2:]}"
    place.chmod(0o644)
    place.unlink()
    done = delivered(book, "inks", code=1)
    assert rules(done) == [("export-unreadable", "2")] and "git lfs pull" in done["findings"][0]["remedy"]
    delivered(book, "inks", "--pages", "1,3-4", to="../others")


def test_a_large_file_that_was_not_fetched_stops_it(book: TypedBook) -> None:
    """The pointer as the git-lfs specification has it; its content is in no store."""
    pointer = f"version https://git-lfs.github.com/spec/v1\noid sha256:{'cd' * 32}\nsize 9\n"
    book.write("art/inks/p002.png", pointer)
    commit(book)
    done = delivered(book, "inks", code=1)
    assert rules(done) == [("export-unreadable", "2")] and "git lfs pull" in done["findings"][0]["remedy"]


def test_what_was_signed_off_must_be_here_where_a_page_has_another_id(book: TypedBook) -> None:
    oid = book.git("rev-parse", "HEAD:art/inks/p002.png").strip()
    book.draw("inks", "002", 19)
    commit(book)
    place = book.top / f".git/objects/{oid[:2]}/{oid[2:]}"
    place.chmod(0o644)
    place.unlink()
    assert rules(delivered(book, "inks", code=1)) == [("not-as-signed", "2")]  # what it showed was kept when signed off
    next(book.top.glob(".git/inkledger/prints-*")).unlink()
    done = delivered(book, "inks", code=1)
    assert rules(done) == [("export-unreadable", "2")] and "lock-inks-1" in done["findings"][0]["message"]


REFUSED = [
    (["script"], "is a text pass"), (["inkz"], "is no pass"), (["inks", "inks"], "named twice"),
    (["letters"], "nothing of 'letters' is recorded"), (["inks", "--pages", "x"], "is no page"),
    (["inks", "--pages", "7"], "page 7: nothing of inks"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "said"), REFUSED)
def test_what_can_not_be_delivered_is_refused(book: TypedBook, words: list[str], said: str) -> None:
    document = checked(book.ledger("deliver", *words, "--to", "../out", "--json", code=2).out)
    assert said in document["error"]["message"] and document["error"]["remedy"]
    untouched(book, book.top.parent / "out")


@pytest.mark.parametrize("place", ["inside", ".git/x", "../book/art", "../full", "../file"])
def test_no_place_but_an_empty_one_beside_the_book(book: TypedBook, place: str) -> None:
    book.write("../full/mine.txt", "mine")
    book.write("../file", "mine")
    assert book.ledger("deliver", "inks", "--to", place, code=2).err
    left = [path.name for path in (book.top / "../full").iterdir()]
    assert left == ["mine.txt"] and not (book.top / "ledger/delivery-1.toml").exists()


# -- the sheet


def test_the_sheet_says_what_was_sent_and_what_is_open(book: TypedBook) -> None:
    book.write("notes/marsh-1.md", "# Marsh\nfrom: E. Marsh\non: script-1\n\n- [ ] 1 (p2.1) <b>Too</b> dark?\n"
               "- [x] 2 (p1) Fine.\n- [ ] 3 (p4) Off this part.\n")  # fmt: skip
    book.draw("inks", "002", 19)
    commit(book)
    book.ledger("alter", "--late", "--pages", "2", "--reason", "the *lamp*", "--asked-by", "Marsh", "--class", "EA")
    commit(book)
    done = delivered(book, "inks", "--pages", "1-2")
    out = book.top.parent / "out"
    text, page = (out / "sheet.md").read_text("utf-8"), (out / "sheet.html").read_text("utf-8")
    for said in (
        "# The Ninth Supper: inks, part 1 (pages 1-2)", "4 story pages", "sheets of 16 pages, 12 blanks at the end",
        "approved by E. Marsh", "### EA (editor's)", "The \\*lamp\\*", "marsh-1/1 (E. Marsh), p2.1, open",
        "A trimmed page: 50.8 x 76.2 mm, with no bleed.", "The book is read from left to right.",
        "2 files: 50 x 75 px, grey, 8 bits a channel, no resolution stated.",
        *(each["sha256"][:12] for each in done["pages"]),
    ):  # fmt: skip
        assert said in text, said
    assert "Fine." not in text and "Off this part" not in text and "\\<b>" in text and "<b>" not in page
    assert page.count("data:image/webp;base64,") == 2 and "Content-Security-Policy" in page
    assert sorted(path.name for path in out.iterdir()) == [
        "bag-info.txt", "bagit.txt", "data", "manifest-sha256.txt", "sheet.html", "sheet.md", "tagmanifest-sha256.txt",
    ]  # fmt: skip
    assert "sheet.html" in (out / "tagmanifest-sha256.txt").read_text()


# -- again


def test_again_tells_what_changed(book: TypedBook) -> None:
    assert "no earlier delivery" in " ".join(book.ledger("deliver", "pencils", "--to", "../a", "--again").out.split())
    same = delivered(book, "pencils", "--again", to="../b")
    assert (same["since"], same["changed"]) == ("delivery-1", [])
    book.draw("pencils", "003", 40)
    place = book.top / "art/pencils/p002.png"
    with Image.open(place) as seen:
        seen.convert("RGB").save(place, compress_level=0)
    book.ledger("enter", "pencils", "-m", "page 3 again")
    ran = book.ledger("deliver", "pencils", "--to", "../c", "--again")
    said = "Since delivery-2: page 3 redrawn; 3 pages as they were."
    assert said in " ".join(ran.out.split()) and said in (book.top.parent / "c/sheet.md").read_text("utf-8")
    done = delivered(book, "pencils", "--again", "--pages", "3-4", to="../d")
    assert done["since"] == "delivery-3" and done["changed"] == []


# -- whole or not at all


def test_a_full_disk_leaves_nothing(book: TypedBook) -> None:
    """No file may grow beyond 300 bytes: the system refuses it, as a full disk would (POSIX, RLIMIT_FSIZE)."""
    words = [sys.executable, "-m", "ledger", "deliver", "inks", "--to", "../new/out"]
    limited = "import resource,signal,os,sys; signal.signal(signal.SIGXFSZ, signal.SIG_IGN);" \
              "resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300));os.execv(sys.argv[1],sys.argv[1:])"  # fmt: skip
    ran = subprocess.run([sys.executable, "-c", limited, *words], cwd=book.top, env={**os.environ, **SOMEBODY},
                         capture_output=True, text=True, check=False)  # fmt: skip
    assert ran.returncode == 2 and "Traceback" not in ran.stderr and ran.stderr.strip()
    untouched(book, book.top.parent / "new/out")
    assert not (book.top.parent / "new").exists()


def test_killed_at_any_moment_the_same_command_finishes_it(book: TypedBook, tmp_path: Path) -> None:
    seen = set()
    for at in range(12):
        other = book.copied(tmp_path / f"{at}/book")
        child = subprocess.Popen(
            [sys.executable, "-m", "ledger", "deliver", "inks", "--to", "../out"],
            cwd=other.top, env={**os.environ, **SOMEBODY}, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            child.wait(0.15 + at * 0.06)
        except subprocess.TimeoutExpired:
            child.send_signal(signal.SIGKILL)
            child.wait()
        out, entry = other.top.parent / "out", other.top / "ledger/delivery-1.toml"
        seen.add(out.exists())
        if not out.exists():
            other.ledger("deliver", "inks", "--to", "../out")
        bagit.Bag(str(out)).validate()
        assert entry.exists() and not (other.top / "ledger/delivery-2.toml").exists()
        assert not list(other.top.parent.glob(f"*{FRESH}"))
    assert False in seen


def test_a_bundle_that_was_recorded_and_has_no_name_yet_gets_it(book: TypedBook) -> None:
    """As a kill between the two leaves it."""
    delivered(book, "inks")
    out = book.top.parent / "out"
    out.rename(f"{out}{FRESH}")
    said = checked(book.ledger("deliver", "inks", "--to", "../out", "--json").out)
    assert said["entry"] == "delivery-1" and not (book.top / "ledger/delivery-2.toml").exists()
    bagit.Bag(str(out)).validate()


def test_what_was_never_recorded_is_made_anew(book: TypedBook) -> None:
    delivered(book, "inks", to="../other")
    left = book.top.parent / f"out{FRESH}"
    shutil.copytree(book.top.parent / "other", left)
    info = left / "bag-info.txt"
    info.write_text(info.read_text().replace("delivery-1", "delivery-7"))
    delivered(book, "inks")
    assert not left.exists() and "delivery-2" in (book.top.parent / "out/bag-info.txt").read_text()


def test_under_another_locale_and_with_strange_words(book: TypedBook) -> None:
    book.change("book.toml", "The Ninth Supper", "Das neunte Mahl \\u202e \\u001b[31m\\nX: 月")
    commit(book)
    ran = book.ledger("deliver", "pencils", "--to", "../aus\u00e4", env={"LC_ALL": "C"})
    assert "\x1b" not in ran.out and max(map(len, ran.out.splitlines())) <= 80
    bag = bagit.Bag(str(book.top.parent / "aus\u00e4"))
    bag.validate()
    assert "\x1b" not in json.dumps(bag.info) and "X" not in bag.info


def test_git_is_asked_few_things_and_none_twice(book: TypedBook, tmp_path: Path) -> None:
    """A git costs more than most of what it is asked: what one that runs can answer starts no other."""
    real, asked = shutil.which("git"), tmp_path / "asked"
    (tmp_path / "bin").mkdir()
    wrapper = tmp_path / "bin/git"
    wrapper.write_text(f'#!/bin/sh\nprintf "%s\\n" "$*" >> {asked}\nexec {real} "$@"\n')
    wrapper.chmod(0o755)
    book.git("status")
    book.ledger("deliver", "inks", "--pages", "1", "--to", "../out",
                env={"PATH": f"{wrapper.parent}{os.pathsep}{os.environ['PATH']}"})  # fmt: skip
    told = asked.read_text("utf-8").splitlines()
    assert len(told) <= 25, told
    for words in ("config -z", "ls-tree -r", "for-each-ref", "cat-file --batch-check"):
        assert sum(words in each for each in told) <= 1, words
