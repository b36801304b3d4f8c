"""`inkledger init`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ledger.cli.answer import at_a_terminal
from ledger.cli.frame import DONE, Answer, verb
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from ledger.desk.upkeep.setting_up import Plan, Question


@click.argument("place", metavar="[DIR]", required=False, type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Ask nothing, take what is usual.")
@click.option("--lfs", is_flag=True, help="Keep the art in git-lfs.")
@click.option("--title", help="The book's title.")
@click.option("--pages", type=click.IntRange(1, 10_000), help="Story pages.")
@click.option("--reading", type=click.Choice(["ltr", "rtl"]), help="Reading direction.")
@click.option("--like", metavar="BOOK", type=click.Path(path_type=Path),
              help="Take page, limits, cast and passes of the book in this folder.")  # fmt: skip
@click.option("--from", "copy", metavar="BACKUP", type=click.Path(path_type=Path),
              help="Make the book again from a copy that backup made.")  # fmt: skip
def _init(here: Path, place: Path | None, yes: bool, like: Path | None, copy: Path | None, **wish: Any) -> Answer:
    """Lay out a book: folders, book.toml, a git repository if there is none, and the hooks."""
    from ledger.desk.upkeep.setting_up import Plan, questions, set_up_book
    from ledger.render.outcome import outcome_document, outcome_text

    top = here / place if place else here
    plan = Plan(**wish, like=here / like if like else None, copy=here / copy if copy else None)
    if at_a_terminal(sys.stdin) and at_a_terminal(sys.stdout) and not yes:
        for question in questions(top, plan):
            plan = _asked(question, plan)
    outcome = set_up_book(top, plan)
    return Answer(outcome_text(outcome), outcome_document(outcome), DONE)


def _asked(question: Question, plan: Plan) -> Plan:
    """Asks until the answer can be meant."""

    def taken(answer: str) -> Plan:
        try:
            return question.answered(plan, answer)
        except Refusal as reason:
            raise click.UsageError(f"{reason.message}: {reason.remedy}") from None

    answered: Plan = click.prompt(question.words, default=question.usual, value_proc=taken)
    return answered


command = verb("init", "inkledger init ../my-book --yes")(_init)
