"""The way in. Answers `--version`, and plain questions, before anything heavy is imported."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from functools import partial


def main() -> None:
    """Runs the command line and exits with the contract's codes."""
    arguments = sys.argv[1:]
    if arguments == ["--version"]:
        from ledger import __version__

        sys.stdout.write(f"inkledger {__version__}\n")
        return
    sys.exit(_run(arguments))


def _undisturbed(work: Callable[[], int]) -> int:
    """Works without looking for garbage: a question lives shortly and leaves next to none, and looking takes a tenth.

    The threshold is a net for a run that goes on for long; at the end what is left is not searched once more.
    """
    gc.set_threshold(1_000_000)
    code = work()
    gc.freeze()
    return code


def _run(arguments: list[str]) -> int:
    from ledger.cli.short_way import answer, understood

    asked = understood(arguments)
    if asked is not None:
        return _undisturbed(partial(answer, asked))
    from ledger.cli.frame import run

    return run(arguments)
