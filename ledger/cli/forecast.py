"""`inkledger forecast`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.option(
    "--as-of", metavar="DATE", help="The day it is asked, today unless named; that day is no longer worked on."
)
def _forecast(here: Path, as_of: str | None) -> Answer:
    """When it will be done, as a range, and what that was computed from.

    A pace is measured over the last 20 working days where they hold at least five entries, else it is the one stated
    in book.toml (per_day), and marked so. Working days and days off are those of [calendar].

    A pace describes what was, it is no target. Drawing is screen work: a break of 5 to 10 minutes after 50 to 60
    minutes is better than 15 after two hours.
    """
    from ledger.desk.arithmetic.forecasting import forecast
    from ledger.render.arithmetic.forecast import forecast_document, forecast_text

    found = forecast(here, as_of)
    blocked = any(finding.blocks for finding in found.findings)
    return Answer(partial(forecast_text, found), partial(forecast_document, found), BLOCKED if blocked else DONE)


command = verb("forecast", "inkledger forecast --as-of 2026-03-27")(_forecast)
