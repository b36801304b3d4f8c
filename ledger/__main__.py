"""`python -m ledger` is the command."""

from ledger.cli.start import main

main()
