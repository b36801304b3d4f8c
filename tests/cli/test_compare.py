"""`inkledger compare`, from the command line to the screen."""

from __future__ import annotations

from pathlib import Path

from ledger.model.entry import Lock
from tests.books import Book
from tests.cli.conftest import Tell
from tests.desk.salt_lantern import FIRST, SECOND, WHEN, entered, page, recorded
from tests.schema_check import checked


def test_two_rounds(tell: Tell, lantern: Book) -> None:
    text = tell(lantern.top, "compare", "script-1", "script-2").out
    assert text.startswith("script-1 → script-2\n")
    for row in (
        'new     p3  "The boat", Chapter 1: The tide gauge',
        "Page 3 is new.",
        "Page 3 became 4: its side flips.",
        "  p1.1  Tomas Arde's line, now Wren's: It was.",
    ):
        assert row in text


def test_the_document_of_two_rounds(tell: Tell, lantern: Book) -> None:
    document = checked(tell(lantern.top, "compare", "script-1", "script-2", "--json").out)
    assert (document["old"]["name"], document["new"]["name"]) == ("script-1", "script-2")
    assert [scene["kind"] for scene in document["scenes"]].count("new") == 1
    assert all(line["kind"] != "same" for scene in document["scenes"] for line in scene["lines"])
    every = checked(tell(lantern.top, "compare", "script-1", "script-2", "--json", "--all-lines").out)
    assert {line["kind"] for scene in every["scenes"] for line in scene["lines"]} == {"same", "added", "reassigned"}
    paths = {line["new"]["path"] for scene in every["scenes"] for line in scene["lines"] if line["new"]}
    assert paths == {"script/01.md"}


def test_the_newest_rounds_against_your_files(tell: Tell, lantern: Book) -> None:
    assert "Nothing has changed." in tell(lantern.top, "compare").out
    lantern.write({"script/01.md": SECOND.replace("Up. Now.", "Down."), "art/inks/p002.png": page(9)})
    (lantern.top / "art/inks/p003.png").unlink()
    document = checked(tell(lantern.top / "script", "compare", "--json").out)
    assert (document["old"]["name"], document["new"]["name"]) == ("entered", ".")
    assert {p["page"]: p["kind"] for p in document["pictures"]} == {"2": "redrawn", "3": "missing"}
    text = tell(lantern.top, "compare").out
    assert text.startswith("the newest rounds → your files now\n")
    assert "inks: 1 redrawn, 1 no longer there" in text


def test_one_reference_is_set_against_your_files(tell: Tell, lantern: Book) -> None:
    document = checked(tell(lantern.top, "compare", "inks", "--json").out)
    assert (document["old"]["pages"], document["new"]["pages"], document["scenes"]) == (3, 3, [])
    assert "The boat" in tell(lantern.top, "compare", "HEAD~2").out


def test_the_outline_is_told_only_where_it_is_named(tell: Tell, lantern: Book) -> None:
    lantern.write({"outline/01.md": "# One\n\n- They miss the boat.\n"})
    lantern.commit("outline")
    text = tell(lantern.top, "compare", "HEAD~1", "HEAD").out
    assert "miss the boat" not in text
    said = tell(lantern.top, "compare", "outline", "--json", code=2)
    assert checked(said.out)["error"]["message"] == "no round of 'outline' has been entered yet"
    lantern.write({"outline/01.md": "# One\n\n- They reach the boat.\n"})
    lantern.commit("outline")
    entered(lantern, "outline", 1)
    lantern.write({"outline/01.md": "# One\n\n- They row the boat.\n"})
    assert "<reach → row>" in tell(lantern.top, "compare", "outline").out


def test_a_pass_that_the_other_side_has_not(tell: Tell, lantern: Book) -> None:
    said = tell(lantern.top, "compare", "script-1", "inks-1", "--json", code=2)
    assert "hold nothing that can be set side by side" in checked(said.out)["error"]["message"]


def test_plain_files_without_book_or_repository(tell: Tell, tmp_path: Path) -> None:
    Book(tmp_path).write({"old.md": FIRST, "new.md": SECOND})
    document = checked(tell(tmp_path, "compare", "old.md", "new.md", "--json").out)
    assert document["scenes"][0]["old"][0]["path"] == "old.md"
    assert [scene["kind"] for scene in document["scenes"]].count("new") == 1
    said = tell(tmp_path, "compare", "old.md", code=2)
    assert "there is no book here to compare with" in said.err


def test_two_folders_of_pages(tell: Tell, tmp_path: Path) -> None:
    Book(tmp_path).write({"a/p1.png": page(1), "a/p2.png": page(2), "b/p001.png": page(1), "b/p002.png": page(7)})
    document = checked(tell(tmp_path, "compare", "a", "b", "--json").out)
    assert {p["page"]: p["kind"] for p in document["pictures"] if p["kind"] != "same"} == {"2": "redrawn"}


def test_across_passes_only_layout_is_called(tell: Tell, tmp_path: Path) -> None:
    Book(tmp_path).write({"pencils/p1.png": page(1), "inks/p1.png": page(2), "inks/p2.png": page(3)})
    document = checked(tell(tmp_path, "compare", "pencils", "inks", "--json").out)
    assert {p["kind"] for p in document["pictures"]} <= {"layout"}


def test_a_book_maps_folders_to_its_own_passes(tell: Tell, lantern: Book) -> None:
    toml = lantern.read("book.toml").decode()
    roughs = '\n[[pass]]\nname = "roughs"\nkind = "art"\nfiles = "art/roughs/p{page}.png"\n'
    lantern.write({"book.toml": toml + roughs, "art/roughs/p001.png": page(5), "other/p001.png": page(6)})
    document = checked(tell(lantern.top, "compare", "art/roughs", "path:art/inks", "--json").out)
    assert {p["kind"] for p in document["pictures"]} <= {"layout"}
    document = checked(tell(lantern.top, "compare", "art/roughs", "other", "--json").out)
    assert {(p["pass"], p["kind"]) for p in document["pictures"]} == {("roughs", "redrawn")}


def test_a_folder_of_pages_against_a_round(tell: Tell, lantern: Book) -> None:
    lantern.write({"old/p1.png": page(1), "old/p2.png": page(8), "old/p3.png": page(3)})
    document = checked(tell(lantern.top, "compare", "old", "inks", "--json").out)
    assert {(p["pass"], p["page"], p["kind"]) for p in document["pictures"]} == {("inks", "2", "redrawn")}


def test_a_sign_off_of_some_pages_is_compared_on_those_pages(tell: Tell, lantern: Book) -> None:
    files = {path: oid for path, oid in lantern.staged().items() if path.endswith(("p001.png", "p002.png"))}
    lock = Lock(path="ledger/lock-inks-1.toml", pass_name="inks", number=1, date=WHEN, by="A <a@b.example>",
                pages="1-2", scopes=("drawing",), files=files)  # fmt: skip
    recorded(lantern, lock)
    lantern.write({"art/inks/p002.png": page(9), "art/inks/p003.png": page(8)})
    document = checked(tell(lantern.top, "compare", "lock-inks-1", "--json").out)
    assert [(p["page"], p["kind"]) for p in document["pictures"]] == [("2", "redrawn")]


def test_a_patch(tell: Tell, lantern: Book) -> None:
    patch = tell(lantern.top, "compare", "script-1", "script-2", "--patch").out
    assert patch.startswith("--- a/script/01.md\n+++ b/script/01.md\n@@ ")
    assert "-T: It was.\n+W: It was.\n" in patch


def test_an_unreadable_page_is_a_finding_and_the_rest_is_compared(tell: Tell, lantern: Book) -> None:
    lantern.write({"art/inks/p001.png": page(1)[:60], "art/inks/p002.png": page(9)})
    document = checked(tell(lantern.top, "compare", "inks", ".", "--json").out)
    assert [f["rule"] for f in document["findings"]] == ["export-unreadable"]
    assert {p["page"]: p["kind"] for p in document["pictures"]}["2"] == "redrawn"


def test_difference_pictures_are_put_where_they_are_asked_for(tell: Tell, lantern: Book, tmp_path: Path) -> None:
    lantern.write({"art/inks/p002.png": page(9)})
    said = tell(lantern.top, "compare", "inks", ".", "--out", str(tmp_path / "diff"))
    assert "inks/p002.png." in said.out
    assert [each.name for each in (tmp_path / "diff").rglob("*.png")] == ["p002.png"]
    document = checked(tell(lantern.top, "compare", "inks", ".", "--out", str(tmp_path / "diff"), "--json").out)
    assert document["pictures"]
    (tmp_path / "diff/inks/p002.png").write_bytes(b"mine")
    refused = tell(lantern.top, "compare", "inks", ".", "--out", str(tmp_path / "diff"), code=2)
    assert "no difference picture" in refused.err and "p002.png" in refused.err


def test_what_cannot_be_done_is_said(tell: Tell, lantern: Book) -> None:
    assert "two references at most" in tell(lantern.top, "compare", "a", "b", "c", code=2).err
    assert "--patch shows drafts" in tell(lantern.top, "compare", "script-1", "--patch", "--out", "x", code=2).err
    assert "scrip" in tell(lantern.top, "compare", "scrip-1", "--json", code=2).err


def test_reading_touches_nothing(tell: Tell, lantern: Book) -> None:
    lantern.write({"script/01.md": FIRST})
    before, index = lantern.all_files(), (lantern.top / ".git/index").read_bytes()
    tell(lantern.top, "compare")
    tell(lantern.top, "compare", "script-1", ":index")
    assert (lantern.all_files(), (lantern.top / ".git/index").read_bytes()) == (before, index)
