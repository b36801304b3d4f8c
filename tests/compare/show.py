"""`python -m tests.compare.show CASE`: what the comparison says of a case file, to read before it is written down."""

from __future__ import annotations

import sys
from pathlib import Path

from ledger.compare import compare_drafts
from tests.compare.said import said
from tests.compare.test_cases import CASES, drafts_of


def main() -> None:
    wanted = [Path(name).stem for name in sys.argv[1:]]
    for path in CASES:
        if not wanted or path.stem in wanted:
            print(f"--- {path.stem}", *said(compare_drafts(*drafts_of(path))), sep="\n")


if __name__ == "__main__":
    main()
