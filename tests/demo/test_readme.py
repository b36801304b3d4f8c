"""The tour of the README is true: typed from top to bottom in the example book, every command does what it says."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

from ledger.cli.verbs import VERBS
from tests.typed_book import TypedBook

README = Path(__file__).parent.parent.parent / "README.md"
#: What other people send, as the tour names it.
MAIL = "From: Erin Marsh <em@example.org>\nDate: Tue, 3 Mar 2026 10:12:00 +0100\n\np1.2 is he bored or tired?\n"
FROM_A_PRINTER = "receive ../proofs.pdf --proofs"


def tour() -> list[tuple[str, str]]:
    """Command -> what the README says beside it, of every line that is typed in the example book."""
    told = README.read_text("utf-8").partition("From here on the commands are typed in the example book")[2]
    rows = re.findall(r"^\$ (.+)$", told, re.MULTILINE)
    return [(row.partition("  #")[0].strip(), row.partition("  #")[2].strip()) for row in rows]


def test_the_tour_runs_as_it_stands(demo_book: TypedBook) -> None:
    demo_book.write("mail.eml", MAIL)
    typed = tour()
    assert len(typed) > 20
    for command, said in typed:
        program, *words = shlex.split(command)
        if program == "$EDITOR":
            demo_book.change(words[0], "M: Count again.", "M: Count again.\n\nV: Again?")
        elif program == "git":
            refused = said.startswith("refused: ")
            told = demo_book.git(*words, code=1 if refused else 0)
            assert not refused or (said.split()[1] in told and "page 25" in told)
        elif command == f"inkledger {FROM_A_PRINTER}":
            continue
        else:
            if words[0] == "receive":
                out = demo_book.top.parent / "for-odd"
                for page in (out / "inks").iterdir():
                    page.rename(out / "letters" / page.name)
            assert program == "inkledger"
            demo_book.ledger(*words)


def test_every_verb_of_the_readme_is_there() -> None:
    named = set(re.findall(r"(?:`|^\$ )inkledger ([a-z]+)\b", README.read_text("utf-8"), re.MULTILINE))
    assert len(named) > 20 and named <= set(VERBS)
