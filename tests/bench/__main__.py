"""`python -m tests.bench [--slice]`: prints the ratios; `--slice` is the short form that CI runs.

`python -m tests.bench pairs [--slice] [--seeds 1-40] [--sizes 90 160] [--intensity hard]`: how right the comparison is.
`python -m tests.bench pages [--slice] [--seeds 0-239] [--wrong]`: how right panels and their changes are told.
`python -m tests.bench doors`: every probe against a late change, and a table of them.
`python -m tests.bench fuzz [--slice] [--inputs 20000] [--seed 1]`: damaged files through the readers and the command.
`python -m tests.bench long [--slice]`: the audit, the hooks and the push on a book of 5,000 commits.
`python -m tests.bench notes [--slice] [--seeds 0-23] [--wrong]`: how right the fate of readers' notes is told; with
`--speed` only what the list of 600 notes costs.
`python -m tests.bench packets [--slice]`: what a reading packet costs, weighs, and how soon it opens.
`python -m tests.bench lending [--slice]`: what handing pages out costs beside decoding them once, and its memory.
`python -m tests.bench returns [--slice] [--seeds 0-239] [--wrong]`: how right pages that come back are judged.
`python -m tests.bench proofs [--slice] [--seeds 0-5] [--wrong]`: how right a printer's sheets are told.
`python -m tests.bench rounds [--slice]`: what comparing two rounds of pages costs beside decoding them, and holds.
`python -m tests.bench kills [--slice] [--random 20] [--only enter]`: what is left of a book when a command is killed.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping

from tests.bench.compare import compare_drafts
from tests.bench.door import door
from tests.bench.doors import doors
from tests.bench.entering import entering
from tests.bench.fuzz import fuzz
from tests.bench.kills import kills
from tests.bench.lending import lending
from tests.bench.long.run import long
from tests.bench.notes.run import notes
from tests.bench.packets import packets
from tests.bench.pages.run import pages
from tests.bench.pairs.run import pairs
from tests.bench.pictures import pictures
from tests.bench.proofs import proofs
from tests.bench.ratio import ratios
from tests.bench.returns.run import returns
from tests.bench.rounds import rounds
from tests.bench.status import status


def start_up(times: int) -> None:
    """How long the command needs to say its version."""
    command = [sys.executable, "-m", "ledger", "--version"]
    print(f"inkledger --version: {ratios({'version': command}, times=times)['version']:.1f} x python -c pass")


def rounds_alone(words: list[str]) -> None:
    """What comparing two rounds of pages costs, alone."""
    rounds(7 if "--slice" in words else 25)


#: Measures with options of their own.
AREAS: Mapping[str, Callable[[list[str]], None]] = {
    "pairs": pairs, "pages": pages, "doors": doors, "fuzz": fuzz, "long": long, "kills": kills, "lending": lending,
    "notes": notes, "packets": packets, "proofs": proofs, "returns": returns, "rounds": rounds_alone,
}  # fmt: skip


def main() -> None:
    area = AREAS.get(sys.argv[1]) if len(sys.argv) > 1 else None
    if area:
        area(sys.argv[2:])
        return
    times = 7 if "--slice" in sys.argv else 25
    start_up(times)
    compare_drafts(times)
    entering(times)
    door(times)
    pictures(times)
    rounds(times)
    status(times)
    proofs(["--slice"])
    long(["--slice"] if "--slice" in sys.argv else [])


if __name__ == "__main__":
    main()
