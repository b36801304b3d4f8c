"""The way in. Answers `--version`, and plain questions, before anything heavy is imported."""

from __future__ import annotations

import gc
import os
import sys


def main() -> None:
    """Runs the command line and exits with the contract's codes."""
    _in_utf8()
    arguments = sys.argv[1:]
    if arguments == ["--version"]:
        from ledger import __version__
        from ledger.cli.answer import Answer, as_refusal, guarded, say

        version = Answer(f"inkledger {__version__}")
        sys.exit(guarded(lambda: say(version, "inkledger", False), "inkledger", as_json=False, fault_of=as_refusal))
    sys.exit(_run(arguments))


def _in_utf8() -> None:
    """Begins again in Python's UTF-8 mode (PEP 540) where the locale has another encoding.

    Books, git and this program's words are UTF-8 whatever the locale says; without it words of the command line and
    names of files would be taken for other ones.
    """
    if sys.getfilesystemencoding() != "utf-8" and sys.executable:
        os.execv(sys.executable, [sys.executable, "-X", "utf8", *sys.orig_argv[1:]])


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
