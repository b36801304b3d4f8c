"""`inkledger notes list / add / answer / import / agenda`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from ledger.cli.frame import Answer, verb, verb_of_two
from ledger.cli.looking import list_notes
from ledger.cli.note_import import import_notes


@click.option("--at", metavar="REF", help="The content to look at, such as script-4; your files now if left out.")
@click.option("--from", "reader", metavar="NAME", help="Only this reader's notes.")
@click.option(
    "--state",
    "states",
    multiple=True,
    metavar="STATE",
    help="Only notes that are open, query, done, stet, declined or carried; may be repeated.",
)
@click.option("--pass", "pass_name", metavar="PASS", help="Only notes that were made on this pass or carried to it.")
@click.option("--page", "pages", metavar="PAGES", help="Only notes whose place is on these pages now: 12, 1-24.")
@click.option("--markdown", is_flag=True, help="As Markdown, to print or to mail.")
def _list(
    here: Path, at: str | None, reader: str | None, states: tuple[str, ...], pass_name: str | None, pages: str | None,
    markdown: bool,
) -> Answer:  # fmt: skip
    """Every note, the words around its place then and now, and what became of it. What needs a person comes first, then
    what is open, carried, done."""
    return list_notes(here, at=at, reader=reader, states=states, pass_name=pass_name, pages=pages, markdown=markdown)


@click.argument("round_", metavar="ROUND")
@click.argument("text", metavar="TEXT")
@click.option("--at", metavar="PLACE", help='Where: p12, p12.3, p24-25, "ch 2", \'scene "..."\', \'p12.3 "words"\'.')
@click.option("--from", "reader", metavar="NAME", help="Whose notes these are, for a new round.")
@click.option("--on", metavar="ENTRY", help="The round that was read, such as script-3, for a new round.")
def _add(here: Path, round_: str, text: str, at: str | None, reader: str | None, on: str | None) -> Answer:
    """Put a note into a round. A round is a file under notes/; it is begun if it is not there."""
    from ledger.desk.notes.writing import add
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = add(here, round_, text, at=at, reader=reader, on=on)
    return Answer(outcome_text(outcome), outcome_document(outcome))


@click.argument("note_id", metavar="ID")
@click.argument("state", metavar="done|query|stet|declined|seen|answer|carried")
@click.argument("words", nargs=-1, metavar="[ROUND-OR-PASS] [TEXT]")
@click.option("--in", "in_", metavar="ROUND", help="The round in which it was done, seen or let stand.")
@click.option("--at", metavar="PLACE", help="Where to look for what was done.")
def _answer(here: Path, note_id: str, state: str, words: tuple[str, ...], in_: str | None, at: str | None) -> Answer:
    """Put a reply under a note. The tick follows. `carried` takes the pass or round it is carried to."""
    from ledger.desk.notes.writing import answer
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = answer(here, note_id, state, words, in_=in_, at=at)
    return Answer(outcome_text(outcome), outcome_document(outcome))


def _agenda(here: Path) -> Answer:
    """What is open among the notes, by scene and page in reading order, as Markdown to print or to tick."""
    from ledger.desk.notes.agenda import agenda
    from ledger.render.notes.agenda import agenda_document, agenda_markdown

    found = agenda(here)
    return Answer(partial(agenda_markdown, found), partial(agenda_document, found))


command = verb_of_two("notes", "Readers' notes and what became of them.")
for _name, _does, _example, _work in (
    ("list", "Every note and what became of it.", "inkledger notes list", _list),
    ("add", "Put a note into a round.",
     'inkledger notes add marsh-1 "The door should open inward." --at p12.3', _add),
    ("answer", "Put a reply under a note.", 'inkledger notes answer lorn/5 done "said once" --in script-4', _answer),
    ("agenda", "What is open, in working order, to print or tick.", "inkledger notes agenda", _agenda),
    ("import", "Take in mails, texts, packets, PDFs and documents.", "inkledger notes import notes/osk.md",
     import_notes),
):  # fmt: skip
    command.add_command(verb(_name, _example, group="notes", does=_does)(_work))
