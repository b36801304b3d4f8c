"""`notes agenda`: what is open, in the order of the book."""

from __future__ import annotations

import re

from markdown_it import MarkdownIt

from tests.cli.conftest import Tell
from tests.schema_check import checked
from tests.typed_book import TypedBook

MARSH = """\
# Marsh on script-1
from: E. Marsh
on: script-1

- [ ] 1 (p4) Who listens?
- [x] 2 (p2.2) Too dark.
- [ ] 3 (p1.2 "Found it in the bilge") Which bilge?
- [ ] 4 All in all good.
- [ ] 5 (scene "The far room") Colder.
  - query: how cold?
- [ ] 6 (p9) Where is page nine?
- [ ] 7 (p2.1) Later?
  - carried to inks: when the door is drawn
- [ ] 8 (p1.1 "It's the rent") <b>Old</b> [joke](x) *really*
  - mark: 2026-02-11, E. Marsh, a-1
- [ ] 9 (p2.1) And the hinge?
"""

SAID = """\
# To do: The Ninth Supper

DAY. 7 notes open, 1 asked back, 1 put off.

## The whole book

- [ ] All in all good. (E. Marsh, marsh-1/4)

## Chapter 1: The slipway

### The boat shed

**Page 1**

- [ ] p1.1 "It's the rent": \\<b>Old\\</b> \\[joke\\](x) \\*really\\* (E. Marsh, marsh-1/8)
- [ ] p1.2 "Found it in the bilge": Which bilge? (E. Marsh, marsh-1/3)

### The far room

**Page 2**

- [ ] p2.1 scene "The far room": Colder. (E. Marsh, marsh-1/5) — asked back: how cold?
- [ ] p2.1: And the hinge? (E. Marsh, marsh-1/9)

**Page 4**

- [ ] p4: Who listens? (Bede, bede-1/1)
- [ ] p4: Who listens? (E. Marsh, marsh-1/1)

## Their places are cut or could not be found

- [ ] p9: Where is page nine? (E. Marsh, marsh-1/6)

## Put off

- [ ] p2.1: Later? (E. Marsh, marsh-1/7) — carried to inks; when the door is drawn
"""


def test_open_notes_stand_in_the_order_of_the_book(entered: TypedBook, tell: Tell) -> None:
    entered.write("notes/marsh-1.md", MARSH)
    entered.write("notes/bede-1.md", "from: Bede\non: script-1\n\n- [ ] 1 (p4) Who listens?\n")
    said = tell(entered.top, "notes", "agenda").out
    assert re.sub(r"\n\d+ \w+ \d{4}\. ", "\nDAY. ", said, count=1) == SAID
    document = checked(tell(entered.top, "notes", "agenda", "--json").out)
    nothing = {"done": False, "entry": None, "commit": None, "tag": None, "paths": [], "findings": []}
    assert document | nothing == document and document["text"] == said
    listed = document["notes"]
    assert {note["state"] for note in listed} == {"open", "query", "carried"} and len(listed) == 9


def test_every_note_is_a_box_of_its_own_as_markdown(entered: TypedBook, tell: Tell) -> None:
    entered.write("notes/marsh-1.md", MARSH)
    tokens = MarkdownIt().parse(tell(entered.top, "notes", "agenda").out)
    items = [tokens[at + 2].content for at, token in enumerate(tokens) if token.type == "list_item_open"]
    assert len(items) == 8 and all(item.startswith("[ ] ") for item in items)


def test_notes_follow_their_pages(entered: TypedBook, tell: Tell) -> None:
    entered.write("notes/marsh-1.md", MARSH)
    entered.change("script/01.md", "## The far room\n", "[page 2]\n[panel 1]\nThe tide turns.\n\n## The far room\n")
    for old, new in (
        ("[page 4]", "[page 5]"),
        ("[page 3]", "[page 4]"),
        ("[page 2]\n[panel 1]\nA door", "[page 3]\n[panel 1]\nA door"),
    ):
        entered.change("script/01.md", old, new)
    said = tell(entered.top, "notes", "agenda").out
    assert "**Page 5**\n\n- [ ] p5: Who listens?" in said and "**Page 3**" in said


def test_what_is_put_off_is_one_list_and_says_what_is_there(entered: TypedBook, tell: Tell) -> None:
    """The pencils are entered, the inks are not; a note of several paragraphs is one line."""
    entered.write("notes/a.md", "from: Bede\non: script-1\n\n- [ ] 1 (p2.1) Hinge?\n  - carried to inks: later\n"
                  "- [ ] 2 (p3) Wet\n\n  and cold.\n  - carried to pencils: see there\n"
                  "- [ ] 3 (p9) Gone?\n- [ ] 4 (p12) Gone too?\n")  # fmt: skip
    said = tell(entered.top, "notes", "agenda").out
    assert said.endswith("""
## Their places are cut or could not be found

- [ ] p9: Gone? (Bede, a/3)
- [ ] p12: Gone too? (Bede, a/4)

## Put off

- [ ] p2.1: Hinge? (Bede, a/1) — carried to inks; later
- [ ] p3: Wet and cold. (Bede, a/2) — carried to pencils, which is there by now; see there
""")


def test_nothing_open(entered: TypedBook, tell: Tell) -> None:
    assert "No note is open." in tell(entered.top, "notes", "agenda").out
