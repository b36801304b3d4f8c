"""`status` on the example book, told in units of `python -c pass`."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.ratio import clean_environment, ratios

#: The most units it may take.
MOST = 12.0
LEDGER = [sys.executable, "-m", "ledger"]


def status(times: int) -> None:
    """Builds the example book with its whole history and asks where it stands."""
    with tempfile.TemporaryDirectory() as folder:
        top = Path(folder) / "example"
        subprocess.run([*LEDGER, "demo", str(top)], env=clean_environment(), check=True, capture_output=True)
        found = ratios({"status": [*LEDGER, "status"]}, cwd=top, times=times)["status"]
    print(f"inkledger status on the example book: {found:.1f} x python -c pass (at most {MOST:.0f})")


if __name__ == "__main__":
    status(25)
