"""The way in. Answers `--version`, and plain questions, before anything heavy is imported."""

from __future__ import annotations

import gc
import sys


def main() -> None:
    """Runs the command line and exits with the contract's codes."""
    arguments = sys.argv[1:]
    if arguments == ["--version"]:
        from ledger import __version__
        from ledger.cli.answer import Answer, as_refusal, guarded, say

        version = Answer(f"inkledger {__version__}")
        sys.exit(guarded(lambda: say(version, "inkledger", False), "inkledger", as_json=False, fault_of=as_refusal))
    sys.exit(_run(arguments))


def _run(arguments: list[str]) -> int:
    """A plain question is answered without looking for garbage: it lives shortly and leaves next to none.

    Looking takes a tenth of its time. The threshold is a net for a run that goes on for long; at the end what is left
    is not searched once more.
    """
    usual = gc.get_threshold()
    gc.set_threshold(1_000_000)
    from ledger.cli.short_way import answer, understood

    asked = understood(arguments)
    if asked is not None:
        code = answer(asked)
        gc.freeze()
        return code
    gc.set_threshold(*usual)
    from ledger.cli.frame import run

    return run(arguments)
