"""inkledger: a git-backed revision ledger for the script and art passes of a long comic."""

__version__ = "0.1.0"
