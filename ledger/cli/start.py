"""The way in. Answers `--version` before anything heavy is imported."""

from __future__ import annotations

import sys


def main() -> None:
    """Runs the command line and exits with the contract's codes."""
    arguments = sys.argv[1:]
    if arguments == ["--version"]:
        from ledger import __version__

        sys.stdout.write(f"inkledger {__version__}\n")
        return
    from ledger.cli.frame import run

    sys.exit(run(arguments))
