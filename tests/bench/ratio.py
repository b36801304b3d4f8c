"""Times commands against each other in one run; only ratios leave this module, since absolute times are not stable."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

#: The unit everything is told in: a Python that starts and stops.
UNIT = [sys.executable, "-I", "-c", "pass"]


def clean_environment() -> dict[str, str]:
    """The environment without anything of git's."""
    return {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}


def seconds(command: Sequence[str], cwd: Path | None = None) -> float:
    """Wall-clock seconds of one run of a command, which must succeed or refuse (exit 0 or 1)."""
    start = time.perf_counter()
    done = subprocess.run(command, cwd=cwd, env=clean_environment(), capture_output=True, stdin=subprocess.DEVNULL)
    took = time.perf_counter() - start
    if done.returncode not in (0, 1):
        raise SystemExit(
            f"{' '.join(command[:3])}: exit {done.returncode}: {done.stderr.decode(errors='replace')[-300:]}"
        )
    return took


def ratios(commands: Mapping[str, Sequence[str]], *, cwd: Path | None = None, times: int = 15) -> dict[str, float]:
    """Each command's median time divided by the unit's, all runs interleaved."""
    took: dict[str, list[float]] = {name: [] for name in commands}
    unit: list[float] = []
    for _ in range(times):
        unit.append(seconds(UNIT))
        for name, command in commands.items():
            took[name].append(seconds(command, cwd))
    base = statistics.median(unit)
    return {name: statistics.median(runs) / base for name, runs in took.items()}
