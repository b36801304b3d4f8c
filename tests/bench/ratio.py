"""Times commands against each other in one run; only ratios leave this module, since absolute times are not stable."""

from __future__ import annotations

import math
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import NamedTuple

#: The unit everything is told in: a Python that starts and stops.
UNIT = [sys.executable, "-I", "-c", "pass"]


def clean_environment() -> dict[str, str]:
    """The environment without anything of git's; modules are compiled once, as they are when installed."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    kept.pop("PYTHONDONTWRITEBYTECODE", None)
    return kept


class Run(NamedTuple):
    """One run of a command: wall-clock seconds, the most memory it held, in MiB, and its seconds of processor time.

    What it started and waited for counts as its work too. The memory is never told as less than that of the process
    that started it, which is small.
    """

    seconds: float
    mebibytes: float
    work: float


def run(command: Sequence[str], cwd: Path | None = None, *, most: int | None = None) -> Run:
    """Runs a command, which must succeed or refuse (exit 0 or 1); what it prints goes nowhere.

    With `most` it is stopped after so many seconds of work, or when it asks for more than 3 GiB; then it took for ever.
    """
    with tempfile.TemporaryFile() as complaint:
        start = time.perf_counter()
        child = subprocess.Popen(
            command, cwd=cwd, env=clean_environment(), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
            stderr=complaint, preexec_fn=partial(_bounded, most) if most else None,
        )  # fmt: skip
        _, status, used = os.wait4(child.pid, 0)
        took = time.perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        if most and child.returncode not in (0, 1):
            took = math.inf
        elif child.returncode not in (0, 1):
            complaint.seek(0)
            said = complaint.read().decode(errors="replace")[-300:]
            raise SystemExit(f"{' '.join(command[:3])}: exit {child.returncode}: {said}")
    held = used.ru_maxrss / (1024 if sys.platform != "darwin" else 1024 * 1024)
    return Run(took, held, used.ru_utime + used.ru_stime)


def _bounded(most: int) -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (most, most))
    resource.setrlimit(resource.RLIMIT_AS, (3 << 30, 3 << 30))


def held_together(command: Sequence[str], cwd: Path | None = None, every: float = 0.01) -> float:
    """The most memory, in MiB, that a command and all it started held at one time, looked at every so many seconds.

    What several processes share is counted once (the proportional set size of Linux, proc_pid_smaps(5)).
    """
    child = subprocess.Popen(command, cwd=cwd, env=clean_environment(), stdin=subprocess.DEVNULL,
                             stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)  # fmt: skip
    most = 0
    while child.poll() is None:
        most = max(most, sum(map(_kilobytes, _with_children(child.pid))))
        time.sleep(every)
    return most / 1024


def _with_children(pid: int) -> list[int]:
    """A process and all that descend from it, by what Linux tells of every thread (CONFIG_PROC_CHILDREN)."""
    found = [pid]
    for each in found:
        for place in Path(f"/proc/{each}/task").glob("*/children"):
            with suppress(OSError):
                found += map(int, place.read_text().split())
    return found


def _kilobytes(pid: int) -> int:
    with suppress(OSError):
        for row in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
            if row.startswith("Pss:"):
                return int(row.split()[1])
    return 0


def seconds(command: Sequence[str], cwd: Path | None = None) -> float:
    """Wall-clock seconds of one run of a command, which must succeed or refuse (exit 0 or 1)."""
    return run(command, cwd).seconds


def within(figure: float, most: float, unit: str) -> str:
    """A figure beside its limit: `9.8 x (at most 12 x)`; one that is over says so."""
    return f"{figure:.1f} {unit} (at most {most:g}{', OVER' if figure > most else ''})"


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
