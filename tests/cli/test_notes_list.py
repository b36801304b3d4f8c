"""`notes list`: what needs a person first, filters, the words around a place, Markdown."""

from __future__ import annotations

import pytest

from tests.cli.test_notes import NotedBook, _noted, entered, listed  # noqa: F401  (fixtures)
from tests.render.test_markdown import shown
from tests.schema_check import checked

MARSH = """\
from: E. Marsh
on: script-1

- [ ] 1 (p1.1 "It's the rent") An old joke.
- [x] 2 (p2.2) Too dark to see her.
  - done: lamp added
- [ ] 3 (p3) Who waits?
  - query: the two of them?
- [ ] 4 (p4) The tide, again.
  - carried to inks: when it is drawn
- [ ] 5 (p2.1) Louder.
- [x] 6 (p4) Good.
  - declined: no change wanted
"""
OSK = """\
from: Osk
on: pencils-1

- [ ] 1 (p2 @0.4,0.3) The lamp hangs low.
- [ ] 2 (p9) Where is it?
"""


@pytest.fixture
def book(entered: NotedBook) -> NotedBook:  # noqa: F811
    """Two readers' notes, one round on the script and one on the pencils."""
    entered.write("notes/marsh-1.md", MARSH)
    entered.write("notes/osk-2.md", OSK)
    return entered


def ids(book: NotedBook, *words: str) -> list[str]:
    return list(listed(book, *words))


def test_what_needs_a_person_comes_first(book: NotedBook) -> None:
    out = book.notes("list").out
    heads = [row for row in out.splitlines() if row and not row.startswith(" ")]
    assert heads == [
        "8 notes: 4 open, 1 query, 1 done, 1 declined, 1 carried.",
        "2 notes to look at", "Open", "Carried to inks", "Done, let stand or not followed",
    ]  # fmt: skip
    assert out.index("marsh-1/2") < out.index("marsh-1/3") < out.index("marsh-1/1") < out.index("marsh-1/4")


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (("--from", "Marsh"), ["marsh-1/1", "marsh-1/2", "marsh-1/3", "marsh-1/4", "marsh-1/5", "marsh-1/6"]),
        (("--from", "e. marsh", "--state", "open"), ["marsh-1/1", "marsh-1/5"]),
        (("--from", "osk-2"), ["osk-2/1", "osk-2/2"]),
        (("--state", "done", "--state", "query"), ["marsh-1/2", "marsh-1/3"]),
        (("--pass", "pencils"), ["osk-2/1", "osk-2/2"]),
        (("--pass", "inks"), ["marsh-1/4"]),
        (("--page", "2"), ["marsh-1/2", "marsh-1/5", "osk-2/1"]),
        (("--page", "3-4", "--state", "carried"), ["marsh-1/4"]),
        (("--page", "9"), ["osk-2/2"]),
        (("--pass", "script", "--state", "stet"), []),
    ],
)
def test_only_some_notes(book: NotedBook, words: tuple[str, ...], found: list[str]) -> None:
    assert ids(book, *words) == found


def test_a_page_is_where_the_place_is_now(book: NotedBook) -> None:
    book.change("script/01.md", "## The far room\n", "[page 2]\n[panel 1]\nThe tide turns.\n\n## The far room\n")
    for old, new in (("[page 4]\n[panel 1]\nThe tide is", "[page 5]\n[panel 1]\nThe tide is"), ("[page 3]", "[page 4]"),
                     ("[page 2]\n[panel 1]\nA door", "[page 3]\n[panel 1]\nA door")):  # fmt: skip
        book.change("script/01.md", old, new)
    assert ids(book, "--page", "3", "--from", "Marsh") == ["marsh-1/2", "marsh-1/5"]
    assert "2 notes of 8: 1 open, 1 done." in book.notes("list", "--page", "3", "--from", "Marsh").out


@pytest.mark.parametrize(
    ("words", "remedy"),
    [
        (("--state", "opne"), "did you mean open?"),
        (("--from", "Nobody"), "one of: E. Marsh, Osk"),
        (("--pass", "pencls"), "did you mean pencils?"),
        (("--page", "twelve"), "--page: 'twelve'"),
    ],
)
def test_what_is_nothing_is_refused_with_a_way_out(book: NotedBook, words: tuple[str, ...], remedy: str) -> None:
    assert remedy in book.notes("list", *words, code=2).err
    assert checked(book.notes("list", "--json", *words, code=2).out)["error"]["remedy"]


def test_carried_notes_show_up_on_the_round_they_were_carried_to(book: NotedBook) -> None:
    assert "Carried to inks\n" in book.notes("list").out
    for page in range(1, 5):
        book.draw("inks", f"{page:03}", page)
    book.ledger("enter", "inks", "-m", "all four", "--pages", "1-4")
    assert "Carried to inks, which is there by now\n" in book.notes("list").out
    assert [n["carried_to"] for n in listed(book, "--pass", "inks").values()] == ["inks"]
    book.draw("inks", "004", 17)
    book.ledger("enter", "inks", "-m", "page four again")
    assert "marsh-1/4 (p4): The tide, again. — put off to inks: when it is drawn" in (
        book.tell(book.top, "memo", "inks-1", "inks-2").out
    )


def test_the_words_around_a_place(book: NotedBook) -> None:
    book.change("script/01.md", "It's the rent.", "It's the milk.")
    out = book.notes("list").out
    assert "    then: Joren Pike: Neither. It's the rent.\n    now: Joren Pike: Neither. It's the milk.\n" in out
    assert "    there: Inside, a table laid for four. / Nell: They" in out
    note = listed(book)["marsh-1/1"]
    assert (note["words_then"], note["words_now"]) == (
        "Joren Pike: Neither. It's the rent.", "Joren Pike: Neither. It's the milk."
    )  # fmt: skip


def test_an_ambiguous_phrase_is_told_with_what_it_may_mean(book: NotedBook) -> None:
    book.write("notes/ida.md", 'on: script-1\n\n- [ ] 1 ("the") Which?\n')
    out = " ".join(book.notes("list").out.split())
    assert 'ida/1, open, ("the"): it could be several places' in out
    assert "look: this stands in 5 places, so none was taken: p1.1" in out
    assert len(listed(book)["ida/1"]["candidates"]) == 5


def test_markdown_keeps_every_note_and_acts_on_no_word(book: NotedBook) -> None:
    book.write("notes/ida.md", "from: *Ida*\non: script-1\n\n- [ ] 1 (p1) <b>#1</b> [x](y) *loud*\n")
    text = book.notes("list", "--markdown").out
    assert text.startswith("# Notes\n\n9 notes.\n\n## 2 notes to look at\n\n- **marsh-1/2**, E. Marsh, done, p2.2")
    assert text.count("\n- **") == 9
    row = next(row for row in text.splitlines() if "b>" in row)
    assert shown(row.removeprefix("  - ")) == "<b>#1</b> [x](y) *loud*"


def test_what_was_found_out_about_old_rounds_is_not_believed_of_others(book: NotedBook) -> None:
    """Asked twice it is answered from what is kept; with another round in between it is asked anew."""
    book.change("script/01.md", "KRRNK", "KRNK")
    book.ledger("enter", "script", "-m", "second")
    book.change("script/01.md", "KRNK", "KRRNK")
    book.write("notes/lo.md", "on: script-1\n\n- [x] 1 (p2.1) Too loud.\n- [x] 2 (p1.1) Whose?\n")
    for _ in range(2):
        assert [n["standing"] for n in listed(book, "--from", "lo").values()] == [
            ["done-then-undone"], ["done-but-untouched"],
        ]  # fmt: skip
    book.change("script/01.md", "It's the rent.", "It's the post.")
    book.ledger("enter", "script", "-m", "third")
    book.change("script/01.md", "It's the post.", "It's the rent.")
    assert [n["standing"] for n in listed(book, "--from", "lo").values()] == [["done-then-undone"]] * 2


def test_at_a_commit_only_the_rounds_that_it_has_count(book: NotedBook) -> None:
    """A line was changed in script-3 and put back in script-4: at the commit of script-2 nothing was done yet, at the
    first one no page was drawn."""
    book.write("notes/kit-1.md", 'on: script-1\n\n- [x] 1 (p1.1 "It\'s the rent") Joke.\n  - done: so\n')
    first = book.git("rev-list", "--max-parents=0", "HEAD").strip()
    said, door, read = "It's the rent.", "A door", {}
    for number, words in enumerate(("It's the rent.", "It's the milk.", "It's the rent."), 2):
        book.change("script/01.md", said, words)
        book.change("script/01.md", door, door := f"A door, number {number}")
        said = words
        book.ledger("enter", "script", "-m", f"draft {number}")
        read[number] = book.git("rev-parse", "HEAD").strip()
    standing = {number: listed(book, "--at", commit)["kit-1/1"]["standing"] for number, commit in read.items()}
    assert standing == {2: ["done-but-untouched"], 3: [], 4: ["done-then-undone"]}
    assert listed(book, "--at", "script-2")["kit-1/1"]["standing"] == ["done-but-untouched"]
    spot = listed(book, "--at", first)["osk-2/1"]
    assert (spot["evidence"], spot["place_now"], spot["standing"]) == ("unplaced", None, [])


REPLIES = """\
from: Osk
on: script-1

- [ ] 1 (p1) To a pass.
  - carried to inks: when it is drawn
- [ ] 2 (p1) To the round that comes next of it, and of one that has none.
  - carried to script-2: soon
  - carried to letters-1: later
- [x] 3 (p1) In capitals.
  - done in Script-1: cut
- [ ] 4 (p1) To a notes round.
  - carried to marsh-1: with hers
- [x] 5 (p1) Far ahead.
  - done in script-9: cut
- [ ] 6 (p1) Nowhere.
  - carried to nowhere: some day
- [x] 7 (p1) A slip of the keyboard.
  - stet in scirpt-1: it is who she is
"""


def test_a_reply_that_names_no_round_is_told_with_its_line(book: NotedBook) -> None:
    """`notes answer` would not take such a name; typed by hand it is kept, and said."""
    book.write("notes/osk-2.md", REPLIES)
    found = book.ledger("notes", "list", "--json").document["findings"]
    assert [(f["rule"], f["path"], f["line"]) for f in found] == [
        ("note-unread", "notes/osk-2.md", line) for line in (14, 16, 18)
    ]
    assert [f["message"] for f in found] == [
        f"a reply to osk-2/{number} names {name}, which is no pass and no round"
        for number, name in ((5, "script-9"), (6, "nowhere"), (7, "scirpt-1"))
    ]
    assert listed(book)["osk-2/5"]["state"] == "done" and listed(book)["osk-2/6"]["state"] == "carried"
