"""The whole way through on the example book: built by the command, read, and a late edit stopped."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from tests.demo_book import BuiltDemo, run_demo
from tests.schema_check import checked
from tests.typed_book import TypedBook

ENTRIES = {
    "outline-1", "outline-2", "script-1", "script-2", "script-3", "script-4",
    *(f"thumbs-{number}" for number in range(1, 9)), "pencils-1", "pencils-2", "lock-pencils-1", "pencils-3",
    "inks-1", "inks-2", "lock-inks-1", "alteration-1", "inks-3", "inks-4",
}  # fmt: skip


def tree(book: TypedBook) -> str:
    return book.git("rev-parse", "HEAD") + book.git("status", "--porcelain")


def test_the_story_is_told(built_demo: BuiltDemo) -> None:
    assert (built_demo.code, built_demo.complained) == (0, "")
    lines = built_demo.said.splitlines()
    assert str(built_demo.place.resolve()) in lines
    for command in ("compare script-3 script-4", "memo script-3 script-4", "notes list", "status"):
        assert f"$ inkledger {command}" in lines
    wide = [line for line in lines if len(line) > 80 and not line.startswith("  ")]
    assert wide in ([], [str(built_demo.place.resolve())])


def test_the_late_edit_is_refused_with_the_reason_and_the_way_out(built_demo: BuiltDemo) -> None:
    refusal = built_demo.said.partition("$ git commit")[2].partition("$ git restore")[0]
    for words in ("pre-commit", "speaker-changed", "25", "Maro Teel", "Veit Harl", "inkledger alter --reason"):
        assert words in refusal, refusal
    assert "The late edit was refused, and the book is as it was." in built_demo.said


def test_nothing_is_written_to_a_bare_home(built_demo: BuiltDemo) -> None:
    assert not [path for path in built_demo.home.iterdir() if path.name not in (".cache", ".local", ".config")]
    assert sorted(path.name for path in built_demo.place.parent.glob(".example-*")) == []


def test_every_entry_is_there_with_its_tag(demo_book: TypedBook) -> None:
    assert {path.stem for path in (demo_book.top / "ledger").glob("*.toml")} == ENTRIES
    assert len(demo_book.git("tag").split()) == len(ENTRIES)
    assert not demo_book.git("status", "--porcelain")
    demo_book.git("fsck", "--strict", "--no-dangling")


def test_a_history_of_months_by_one_invented_hand(demo_book: TypedBook) -> None:
    lines = demo_book.git("log", "--format=%an <%ae>|%aI|%cI").splitlines()
    assert {line.split("|")[0] for line in lines} == {"Runa Skeld <runa@upper-stair.example>"}
    dates = [datetime.fromisoformat(line.split("|")[1]) for line in reversed(lines)]
    assert [line.split("|")[2] for line in reversed(lines)] == [date.isoformat() for date in dates]
    assert dates == sorted(dates)
    assert len({(date.year, date.month) for date in dates}) >= 8
    assert {date.utcoffset() for date in dates} == {date.utcoffset() for date in (dates[0], dates[-8], dates[8])}


def test_the_whole_history_stands_before_the_audit(demo_book: TypedBook) -> None:
    assert demo_book.ledger("audit", "--json").document["ok"] is True
    assert demo_book.ledger("check", "--json").document["ok"] is True
    assert demo_book.ledger("doctor", "--json").document["missing"] == []


def test_what_rests_on_a_redrawn_page_is_told(demo_book: TypedBook) -> None:
    status = demo_book.ledger("status", "--json").document
    stale = {one["name"]: one["pages"]["stale"] for one in status["passes"] if one["pages"]}
    assert stale == {"thumbs": [], "pencils": [], "inks": ["25"], "letters": []}
    locks = {one["name"]: [(lock["entry"], lock["pages"]) for lock in one["locks"]] for one in status["passes"]}
    assert (locks["pencils"], locks["inks"]) == ([("lock-pencils-1", None)], [("lock-inks-1", "1-14")])


def test_notes_of_two_readers_in_every_state(demo_book: TypedBook) -> None:
    notes = demo_book.ledger("notes", "list", "--json").document["notes"]
    assert {note["round"] for note in notes} == {"osk", "lorn"}
    assert {note["state"] for note in notes} == {"open", "declined", "query", "done", "stet", "carried"}
    told = {note["id"]: note["standing"] for note in notes}
    assert told["osk/5"] == ["done-then-undone"]
    assert told["osk/4"] == ["stet-but-changed"]
    assert told["osk/6"] == ["query-unanswered"]
    assert told["osk/10"] == ["open-but-changed"]
    assert told["lorn/6"] == ["open-but-changed"]
    assert told["osk/9"] == told["lorn/7"] == ["two-on-one-spot"]


def test_the_last_rewrite_is_told(demo_book: TypedBook) -> None:
    found = demo_book.ledger("compare", "script-3", "script-4", "--json").document
    assert [scene["kind"] for scene in found["scenes"]].count("split") == 1
    assert [scene["kind"] for scene in found["scenes"]].count("new") == 1
    assert [page["new"] for page in found["pages"] if page["kind"] == "added"] == ["14"]
    assert "reassigned" in {line["kind"] for scene in found["scenes"] for line in scene["lines"]}
    earlier = demo_book.ledger("compare", "script-2", "script-3", "--json").document
    assert {"old": "Tam", "new": "Lusk"} in earlier["cast"]["renamed"]
    assert [scene["kind"] for scene in earlier["scenes"]].count("merged") == 1
    first = demo_book.ledger("compare", "script-1", "script-2", "--json").document
    assert [scene["kind"] for scene in first["scenes"]].count("cut") == 1
    assert [scene["moved"] for scene in first["scenes"]].count(True) == 1


def without_hooks(book: TypedBook) -> None:
    book.ledger("hook", "remove")


def with_a_hook_that_looks_away(book: TypedBook) -> None:
    book.write(".git/hooks/pre-commit", "#!/bin/sh\nexit 0\n")


def with_a_hook_that_stops_everything(book: TypedBook) -> None:
    book.write(".git/hooks/pre-commit", "#!/bin/sh\nexit 1\n")


@pytest.mark.parametrize("change", [without_hooks, with_a_hook_that_looks_away, with_a_hook_that_stops_everything])
def test_without_its_hook_the_demo_fails(
    demo_book: TypedBook, tmp_path: Path, change: Callable[[TypedBook], None]
) -> None:
    before = tree(demo_book)
    change(demo_book)
    ran = run_demo(tmp_path, home=tmp_path)
    assert ran.returncode == 1
    assert "the late edit was not refused" in ran.stdout
    assert "inkledger hook install" in ran.stdout
    assert tree(demo_book) == before


def test_the_hook_put_in_again_refuses(demo_book: TypedBook) -> None:
    demo_book.ledger("hook", "remove")
    demo_book.ledger("hook", "install")
    assert "speaker-changed" in late_edit(demo_book)


def late_edit(book: TypedBook) -> str:
    book.change("script/03-where-the-house-was.md", "M: Count again.", "V: Count again.")
    return book.git("commit", "-a", "-m", "a late edit", code=1)


def test_it_may_run_twice(demo_book: TypedBook, tmp_path: Path) -> None:
    before = tree(demo_book)
    ran = run_demo(tmp_path, "--json", home=tmp_path)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert checked(ran.stdout)["paths"] == [str(demo_book.top.resolve())]
    assert tree(demo_book) == before


def test_a_copied_book_refuses_too(demo_book: TypedBook) -> None:
    assert "speaker-changed" in late_edit(demo_book)


def test_own_changes_in_the_example_are_left_alone(demo_book: TypedBook, tmp_path: Path) -> None:
    mine = demo_book.write("script/04.md", "# Mine\n\nA new chapter.\n")
    ran = run_demo(tmp_path, home=tmp_path)
    assert ran.returncode == 2
    assert "inkledger demo other-book" in ran.stderr
    assert mine.read_text() == "# Mine\n\nA new chapter.\n"


def test_somebody_elses_folder_is_refused_and_untouched(tmp_path: Path) -> None:
    (tmp_path / "holiday").mkdir()
    (tmp_path / "holiday/list.txt").write_text("socks\n")
    ran = run_demo(tmp_path, "holiday", home=tmp_path)
    assert ran.returncode == 2
    assert "nothing of it was touched" in ran.stderr
    assert [path.name for path in (tmp_path / "holiday").iterdir()] == ["list.txt"]
    (tmp_path / "file").write_text("x")
    assert run_demo(tmp_path, "file", home=tmp_path).returncode == 2
