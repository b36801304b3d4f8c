"""The way in. Answers `--version`, and plain questions, before anything heavy is imported."""

from __future__ import annotations

import sys


def main() -> None:
    """Runs the command line and exits with the contract's codes."""
    arguments = sys.argv[1:]
    if arguments == ["--version"]:
        from ledger import __version__

        sys.stdout.write(f"inkledger {__version__}\n")
        return
    sys.exit(_run(arguments))


def _run(arguments: list[str]) -> int:
    from ledger.cli.short_way import answer, understood

    asked = understood(arguments)
    if asked is not None:
        return answer(asked)
    from ledger.cli.frame import run

    return run(arguments)
