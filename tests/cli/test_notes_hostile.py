"""Notes files as nobody should write them: every command still reads the book, tells every note, and steers nothing."""

from __future__ import annotations

import re

import pytest

from tests.cli.test_notes import NotedBook, _noted, entered, listed  # noqa: F401  (fixtures)

HOSTILE = "<script>alert(1)</script>\u202eabc\x1b[31m\x07\x00[x](javascript:1) `|*_"
#: Signs that steer a terminal, or turn words round.
STEERING = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
COMMANDS = [
    ("notes", "list"), ("notes", "list", "--json"), ("notes", "list", "--markdown"), ("notes", "agenda"), ("status",),
    ("check",), ("memo", "script-1", "script"), ("page", "1"),
]  # fmt: skip


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_hostile_words_in_every_field(entered: NotedBook, words: tuple[str, ...]) -> None:  # noqa: F811
    entered.write(
        "notes/ida.md",
        f"# {HOSTILE}\nfrom: {HOSTILE}\non: script-1\ndate: {HOSTILE}\nread: {HOSTILE}\n\n- [ ] 1 (p1) {HOSTILE}\n"
        f'  - done in {HOSTILE}: {HOSTILE}\n- [ ] 2 ("{HOSTILE}") x\n- [ ] 3 (scene "{HOSTILE}") x\n'
        f"  - query: {HOSTILE}\n- [x] 4 (p2 @0.5,{HOSTILE}) x\n  - carried to {HOSTILE}: {HOSTILE}\n  - {HOSTILE}\n",
    )
    said = entered.ledger(*words)
    assert not STEERING.search(said.out + said.err)


def test_a_page_of_hostile_notes_holds_them_as_text(entered: NotedBook) -> None:  # noqa: F811
    entered.write("notes/ida.md", f"from: {HOSTILE}\non: script-1\n\n- [ ] 1 (p1) {HOSTILE}\n")
    entered.ledger("page", "1", "--out", "page.html")
    page = (entered.top / "page.html").read_text("utf-8")
    assert "&lt;script&gt;alert(1)" in page and "<script>alert" not in page


def test_ten_thousand_notes_and_one_of_a_million_signs(entered: NotedBook) -> None:  # noqa: F811
    rows = "".join(f"- [ ] {number} (p{number % 4 + 1}) note {number}\n" for number in range(1, 10_000))
    entered.write("notes/ida.md", f"on: script-1\n\n{rows}- [ ] 10000 (p1) {'a' * 1_000_000}\n")
    found = listed(entered)
    assert len(found) == 10_000 and len(found["ida/10000"]["text"]) == 1_000_000
    entered.notes("answer", "ida/10000", "done", "cut")
    assert listed(entered)["ida/10000"]["state"] == "done"


def test_one_number_ten_thousand_times_hides_no_note(entered: NotedBook) -> None:  # noqa: F811
    entered.write("notes/ida.md", "on: script-1\n\n" + "- [ ] 1 (p1) x\n" * 10_000)
    said = " ".join(entered.notes("answer", "ida/1", "done", code=2).err.split())
    assert "ida/1 is used for 10,000 notes, on lines 3 and 4 and 5 and 9,997 more" in said
    assert entered.notes("list").out.startswith("10,000 notes: 10,000 open.")
