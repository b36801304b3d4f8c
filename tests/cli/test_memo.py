"""`inkledger memo`, and the memo that goes with a round."""

from __future__ import annotations

import subprocess
import sys

from ledger.desk.memos import round_memo
from ledger.desk.opening import open_book
from ledger.model.entry import Round
from ledger.read.state import read_state
from tests.books import Book
from tests.cli.conftest import Tell
from tests.desk.salt_lantern import SECOND, WHEN, page
from tests.schema_check import checked

NOTES = """# Marsh on script-1
from: E. Marsh
on: script-1

- [ ] 1 (p1.1 "You said the map") Too blunt?
- [x] 2 (scene "The stairs") They need a boat before this.
  - done in script-2: the boat comes in
- [x] 3 (p2) Whose voice is this?
  - stet in script-1: nobody's, it is the tide table
- [ ] 4 (p1) Too early for the reader.
  - query: why?
"""


def test_a_memo_between_two_rounds(tell: Tell, lantern: Book) -> None:
    text = tell(lantern.top, "memo", "script-1", "script-2", "--for", "Marsh").out
    assert text.startswith("# The Salt Lantern: what changed from script-1 to script-2\n\nFor Marsh.\n")
    for row in (
        "From script-1 (2 March 2026) to script-2 (2 March 2026).",
        "> the boat comes in",
        "- Words: 35 before, 48 now (13 more).",
        "### Chapter 1: The tide gauge",
        "**“The boat” (p3) is new** (2 lines, 13 lettered words):",
        "> p3.1 *The boat, empty, knocking against the steps.*",
        "- On p1.1 Tomas Arde's “It was.” is Wren's now.",
        "- Page 3 became 4: its side flips.",
    ):
        assert row in text.split("\n")


def test_notes_answered_and_not(tell: Tell, lantern: Book) -> None:
    lantern.write({"notes/marsh.md": NOTES})
    text = tell(lantern.top, "memo", "script-1", "script-2").out
    look, waiting = text.split("## Notes")[1].split("Not yet (2):")
    assert "Needs a look (1):" in look
    assert "- marsh/4 (p1): Too early for the reader. — asked back: why?" in waiting
    assert "done in script-2: the boat comes in (to look at: marked done, but its place is as it was)" in look
    assert "marsh/3" not in text, "answered on the older round already"


def test_the_memo_of_your_files_now_tells_only_what_was_answered_since(tell: Tell, lantern: Book) -> None:
    later = NOTES.replace("done in script-2", "done in script-3").replace("on: script-1", "on: script-2")
    lantern.write(
        {"notes/marsh.md": NOTES, "notes/osk.md": later, "notes/inks.md": "on: inks-1\n\n- [ ] 1 (p1) Dark.\n"}
    )
    told = tell(lantern.top, "memo").out.split("## Notes")[1]
    assert "- osk/2" in told
    assert "marsh/2" not in told, "answered in the newest round already"
    assert "inks/1" in told
    assert "inks/1" not in tell(lantern.top, "memo", "script-1", "script-2").out


def test_the_notes_of_whoever_it_is_for_come_first(tell: Tell, lantern: Book) -> None:
    """Section by section: theirs with the answers, then what changed, then the notes of others."""
    others = "from: Osk\non: script-1\n\n- [x] 1 (p1) Wet enough?\n  - declined: it is a harbour\n"
    lantern.write({"notes/marsh.md": NOTES, "notes/osk.md": others})
    for name in ("Marsh", "e. marsh"):
        text = tell(lantern.top, "memo", "script-1", "script-2", "--for", name).out
        heads = [row for row in text.split("\n") if row.startswith("## ")]
        assert heads == ["## Your notes", "## Scenes and lines", "## Who speaks", "## Pages and panels",
                         "## Notes from others"]  # fmt: skip
        mine = text.split("## Your notes")[1].split("## Scenes")[0]
        assert "marsh/2" in mine and "done in script-2: the boat comes in" in mine and "osk/1" not in mine
        assert "Answered (1):\n\n- osk/1 (p1): Wet enough? — not followed: it is a harbour" in text
    told = tell(lantern.top, "memo", "script-1", "script-2", "--for", "mars").out
    assert "## Your notes" not in told and "## Notes\n" in told
    assert "\n\nFor mars.\n\nNone of your notes is about this change.\n" in told
    assert "None of your notes" not in text + tell(lantern.top, "memo", "script-1", "script-2").out
    page = lantern.top / "memo.html"
    tell(lantern.top, "memo", "script-1", "script-2", "--for", "Marsh", "--out", str(page))
    assert page.read_text("utf-8").index("Your notes") < page.read_text("utf-8").index("Scenes and lines")


def test_a_file_is_written_and_nothing_else(tell: Tell, lantern: Book) -> None:
    before = lantern.all_files()
    document = checked(tell(lantern.top, "memo", "script-1", "--out", "memos/for-marsh.md", "--json", code=None).out)
    assert "error" in document, "a folder that is not there is not made"
    document = checked(tell(lantern.top, "memo", "script-1", "--out", "for-marsh.md", "--json").out)
    assert (document["done"], document["paths"]) == (True, ["for-marsh.md"])
    assert lantern.read("for-marsh.md").decode() == document["text"]
    assert {p: d for p, d in lantern.all_files().items() if p != "for-marsh.md"} == before
    assert "name a file that ends in .html or .md" in tell(lantern.top, "memo", "--out", "memo.pdf", code=2).err


def test_the_memo_as_a_page(tell: Tell, lantern: Book) -> None:
    document = checked(
        tell(lantern.top, "memo", "script-1", "script-2", "--for", "Marsh", "--out", "for-marsh.html", "--json").out
    )
    page = lantern.read("for-marsh.html").decode()
    assert (document["done"], document["paths"], document["text"]) == (True, ["for-marsh.html"], "")
    assert "<title>The Salt Lantern: what changed from script-1 to script-2</title>" in page
    assert "<p>For <bdi>Marsh</bdi>.</p>" in page
    assert "<em><bdi>The boat, empty, knocking against the steps.</bdi></em>" in page


def test_the_memo_of_your_files_now(tell: Tell, lantern: Book) -> None:
    lantern.write({"script/01.md": SECOND.replace("Down", "Up").replace("I left the ledger.", "I lost the tide book.")})
    text = tell(lantern.top, "memo").out
    assert text.startswith("# The Salt Lantern: what changed from the newest rounds to your files now\n")
    assert "“I lost the tide book. We need the ledger, you know that we do.”" in text


def test_two_plain_files(tell: Tell, lantern: Book) -> None:
    place = Book(lantern.top.parent / "plain")
    place.write({"a.md": "W: One.\n", "b.md": "W: One.\n\nW: Two.\n"})
    assert "New on b.md:3: W says “Two.”" in tell(place.top, "memo", "a.md", "b.md").out


def test_the_memo_of_a_round_about_to_be_recorded(lantern: Book) -> None:
    lantern.write({"script/01.md": SECOND.replace("W: It was.", "T: It was.")})
    book = open_book(lantern.top)
    previous = next(e for e in book.working.entries if e.name == "script-2")
    assert isinstance(previous, Round)
    entry = previous._replace(path="ledger/script-3.toml", number=3, message="back to Tomas", date=WHEN)
    memo = round_memo(book, previous, entry, read_state(book.working.snapshot))
    assert memo.startswith("# The Salt Lantern: what changed from script-2 to script-3\n")
    assert "> back to Tomas" in memo
    assert "- On p1.1 Wren's “It was.” is Tomas Arde's now." in memo


def test_pages_that_became_stale_are_told(tell: Tell, lantern: Book) -> None:
    """The whole way: pages inked, the script changed under one of them, reworded under another."""
    lantern.write({"art/inks/p001.png": page(9), "art/inks/p004.png": page(7)})
    tell(lantern.top, "enter", "inks", "-m", "first and last page")
    changed = SECOND.replace("Paper everywhere.", "The lamp is out.").replace("Up. Now.", "Up. Quick.")
    lantern.write({"script/01.md": changed})
    assert "stale: p1" in tell(lantern.top, "status").out
    tell(lantern.top, "enter", "script", "-m", "the lamp is out")
    memo = lantern.read("memos/script-3.md").decode()
    told = memo.split("## What was made before this change")[1]
    assert "- **inks:** p1 rests on script-2, now script-3: the action of panel 1 is rewritten." in told
    assert "- Words only: page 4 of script was reworded" in told
    text = tell(lantern.top, "status").out
    assert "inks     2      4 of 4 pages  -           stale: p1" in text
    assert (
        "\nStale\n  inks p1 rests on script-2, now script-3: the action of panel 1 is rewritten\n  words only: " in text
    )
    assert "    inkledger compare script-2 script-3\n" in text
    assert '    inkledger enter inks --pages 1 --stands -m "still good"\n' in text
    tell(lantern.top, "enter", "inks", "--pages", "1", "--stands", "-m", "still good")
    assert "stale" not in tell(lantern.top, "status").out


def test_templates_are_loaded_for_a_page_alone() -> None:
    code = "import sys, ledger.cli.memo, ledger.desk.memos; sys.exit('jinja2' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0
