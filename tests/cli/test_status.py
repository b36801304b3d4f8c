"""`inkledger status`: where the book stands and what to do next."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from ledger.model.entry import Handoff, Lock
from ledger.pictures import METHOD
from tests.books import Book
from tests.cli.conftest import Tell
from tests.desk.salt_lantern import SECOND, TOML, WHEN, entered, page, recorded, salt_lantern
from tests.schema_check import checked


def passes(tell: Tell, book: Book) -> dict[str, dict[str, object]]:
    document = checked(tell(book.top, "status", "--json").out)
    return {each["name"]: each for each in document["passes"]}


def steps(tell: Tell, book: Book) -> list[str]:
    return [step["command"] for step in checked(tell(book.top, "status", "--json").out)["next"]]


def test_every_pass_with_its_rounds_and_pages(tell: Tell, lantern: Book) -> None:
    found = passes(tell, lantern)
    assert [(name, each["round"]) for name, each in found.items()] == [("outline", None), ("script", 2), ("inks", 1)]
    assert found["script"]["pages"] is None
    assert found["inks"]["pages"] == {"total": 4, "entered": 3, "stale": []}
    text = tell(lantern.top, "status").out
    assert "script   2      48 words" in text
    assert "inks     1      3 of 4 pages" in text
    assert steps(tell, lantern) == ["inkledger enter inks"]


def test_files_that_differ_from_their_round(tell: Tell, lantern: Book) -> None:
    lantern.write({"script/01.md": SECOND + "\nW: More.\n", "art/inks/p003.png": page(9), "art/inks/p004.png": page(4)})
    text = tell(lantern.top, "status").out
    assert "See what changed in script: 1 file differs from script-2.\n    inkledger compare script\n" in text
    assert "See what changed in inks: 2 files differ from inks-1.\n    inkledger compare inks\n" in text
    assert "inks     1      3 of 4 pages  -           2 files changed" in text


def test_a_file_touched_but_not_changed_is_as_entered(tell: Tell, lantern: Book) -> None:
    (lantern.top / "art/inks/p001.png").touch()
    assert "changed" not in tell(lantern.top, "status").out


def test_sign_offs_and_what_may_be_signed_off(tell: Tell, lantern: Book) -> None:
    lantern.write({"art/inks/p004.png": page(4)})
    lantern.commit("the last page")
    entered(lantern, "inks", 2, pages="4", basis={"script": "script-2"})
    assert steps(tell, lantern) == ["inkledger lock inks"]
    files = {path: oid for path, oid in lantern.staged().items() if path.startswith("art/inks/")}
    lock = Lock(path="ledger/lock-inks-1.toml", pass_name="inks", number=1, date=WHEN, by="A <a@b.example>", round=2,
                scopes=("structure", "drawing"), files=files)  # fmt: skip
    recorded(lantern, lock)
    found = passes(tell, lantern)["inks"]["locks"]
    assert found == [{"entry": "lock-inks-1", "pages": None, "scopes": ["structure", "drawing"]}]
    text = tell(lantern.top, "status").out
    assert "all: structure, drawing" in text
    assert "Nothing is waiting." in text


def test_notes_are_counted_and_asked_for(tell: Tell, lantern: Book) -> None:
    lantern.write({"notes/marsh.md": "- [ ] 1 (p1) Why?\n  - query: why not?\n- [x] 2 (p2) Yes.\n- [ ] 3 (p2) No.\n"})
    document = checked(tell(lantern.top, "status", "--json").out)
    assert document["notes"] == {"open": 1, "query": 1, "done": 1, "stet": 0, "declined": 0, "carried": 0}
    text = tell(lantern.top, "status").out
    assert "Notes: 1 open, 1 asked back, 1 done." in text
    assert "inkledger notes list" in text


def test_who_has_what(tell: Tell, lantern: Book) -> None:
    hand = {"date": WHEN, "by": "A <a@b.example>", "pass_name": "inks", "to": "Ines", "files": {}}
    recorded(lantern, Handoff(path="ledger/handoff-1.toml", number=1, pages="1-2", **hand))
    recorded(lantern, Handoff(path="ledger/handoff-2.toml", number=2, pages="3-4", **hand))
    recorded(lantern, Handoff(path="ledger/handoff-3.toml", number=3, pages="1-2", returns=1, **hand))
    text = tell(lantern.top, "status").out
    assert "With Ines since 2 March 2026: pages 3-4 of inks (handoff-2)." in text
    assert "handoff-1" not in text
    packet = {**hand, "pass_name": "script", "to": "E. Marsh", "packet": True, "round": 2}
    recorded(lantern, Handoff(path="ledger/handoff-4.toml", number=4, pages=None, **packet))
    assert checked(tell(lantern.top, "status", "--json").out)["away"] == [
        {"entry": "handoff-2", "pass": "inks", "pages": "3-4", "to": "Ines", "since": "2026-03-02", "packet": False},
        {"entry": "handoff-4", "pass": "script", "pages": None, "to": "E. Marsh", "since": "2026-03-02",
         "packet": True},
    ]  # fmt: skip
    lantern.write({"notes/marsh.md": "from: E. Marsh\non: script-2\n\n- [ ] 1 (p2) Why?\n"})
    assert [each["entry"] for each in checked(tell(lantern.top, "status", "--json").out)["away"]] == ["handoff-2"]


def test_a_new_book_says_where_to_begin(tell: Tell, tmp_path: Path) -> None:
    book = Book.new(tmp_path / "new", {"book.toml": TOML})
    text = tell(book.top, "status").out
    assert "Write the outline: nothing lies in outline/*.md yet." in text
    assert "Write the script: nothing lies in script/*.md yet." in text
    assert steps(tell, book) == ['inkledger enter outline -m "first round"', 'inkledger enter script -m "first round"']
    book.write({"script/01.md": SECOND})
    assert steps(tell, book) == ['inkledger enter script -m "first round"']


def test_a_book_beside_somebodys_lock_file_read_only(tell: Tell, lantern: Book) -> None:
    (lantern.top / ".git/index.lock").write_bytes(b"")
    assert "The Salt Lantern" in tell(lantern.top / "script", "status").out


def test_longer_object_ids_and_another_working_tree(tell: Tell, tmp_path: Path) -> None:
    book = salt_lantern(tmp_path / "book", form="sha256")
    (book.top / "art/inks/p001.png").touch()
    book.git("worktree", "add", "-q", "../second")
    for top in (book.top, book.top.parent / "second"):
        assert "changed" not in tell(top, "status").out
        assert [each.split()[3] for each in tell(top, "rounds").out.split("\n")[2:] if each[:2] == " 2"] == [
            "script-1", "inks-1,", "script-2",
        ]  # fmt: skip
        assert "The boat" in tell(top, "compare", "script-1", "script-2").out


def test_a_book_in_which_nothing_is_recorded_yet(tell: Tell, tmp_path: Path) -> None:
    book = Book.new(tmp_path / "new", {})
    book.write({"book.toml": TOML, "script/01.md": SECOND})
    assert steps(tell, book)[0] == 'inkledger enter script -m "first round"'
    assert "Nothing has been entered yet." in tell(book.top, "rounds").out
    assert "enter the first one" in tell(book.top, "compare", code=2).err
    assert "The boat" in tell(book.top, "compare", "script/01.md", ".", "--all-lines").out


def test_no_book_no_repository(tell: Tell, lantern: Book) -> None:
    said = tell(lantern.top.parent, "status", "--json", code=2)
    assert "inkledger init" in checked(said.out)["error"]["remedy"]


PENCILS = """
[[pass]]
name = "colours"
kind = "art"
files = "art/colours/p{page}.png"
from = ["inks"]
"""


def heavy(book: Book) -> set[str]:
    """What `status` imports of what takes long to import."""
    look = "import sys; from ledger.cli.frame import run; run(['status']); print(*sys.modules, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", look], cwd=book.top, capture_output=True, text=True, check=True)
    return {"numpy", "PIL", "git", "markdown_it", "rich"} & set(done.stderr.split())


def test_status_imports_nothing_heavy(lantern: Book) -> None:
    assert heavy(lantern) == set()


def test_a_redrawn_picture_is_decoded_once(tell: Tell, lantern: Book) -> None:
    lantern.write({"book.toml": TOML + PENCILS, "art/colours/p001.png": page(3)})
    lantern.commit("colours")
    tell(lantern.top, "enter", "colours", "-m", "the first page")
    lantern.write({"art/inks/p001.png": page(9)})
    memory = lantern.top / f".git/inkledger/pictures-{METHOD}"
    assert "PIL" in heavy(lantern)
    assert memory.read_text().split()[2] == "redrawn"
    assert heavy(lantern) == set()
    assert "stale: p1" in tell(lantern.top, "status").out
    memory.write_bytes(b"\xff nonsense\n1 2 better\n")
    assert "stale: p1" in tell(lantern.top, "status").out


def test_a_script_that_can_not_be_read_is_named_with_the_reason(tell: Tell, lantern: Book) -> None:
    (lantern.top / "script/01.md").unlink()
    os.mkfifo(lantern.top / "script/01.md")
    said = tell(lantern.top, "status", code=2).err
    assert "script/01.md can't be read (it is no plain file)" in said and said.count("can't be read") == 1
