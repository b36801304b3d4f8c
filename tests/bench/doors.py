"""`python -m tests.bench doors`: every probe, with the command installed from the wheel, and a table of them by group.

A refused probe names the rule, leaves everything else as it was, and has its control: our hooks taken away, the same
act goes through.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from pathlib import Path

import pytest

PROBES = Path(__file__).parent.parent / "probes"
#: What it means that a probe of a kind fails.
WRONG = {"refused": "through", "allowed": "wrongly blocked", "kept": "lost"}


class Table:
    """Counts the probes of a run by their group and kind."""

    def __init__(self) -> None:
        self.of: dict[str, tuple[str, str]] = {}
        self.counted: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0, 0])

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        for item in items:
            marker = item.get_closest_marker("group")
            self.of[item.nodeid] = marker.args if marker else (item.path.stem.removeprefix("test_"), "kept")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        counts = self.counted[self.of[report.nodeid]]
        counts[0] += report.when == "call"
        counts[1] += report.failed

    def lines(self) -> list[str]:
        """The table, and below it what went wrong."""
        told = [f"{'group':28} {'kind':8} {'probes':>6} {'wrong':>6}"]
        wrong = dict.fromkeys(WRONG.values(), 0)
        for (group, kind), (probes, failed) in sorted(self.counted.items(), key=lambda item: (item[0][1], item[0][0])):
            told.append(f"{group:28} {kind:8} {probes:6} {failed:6}")
            wrong[WRONG[kind]] += failed
        refused = sum(probes for (_, kind), (probes, _) in self.counted.items() if kind == "refused")
        total = sum(probes for probes, _ in self.counted.values())
        told.append(f"{total} probes, {refused} of them refused with their controls: "
                    + ", ".join(f"{count} {what}" for what, count in wrong.items()))  # fmt: skip
        return told


def doors(arguments: list[str]) -> None:
    """Runs the probes (further arguments go to pytest) and prints the table; ends as pytest does."""
    table = Table()
    code = pytest.main([str(PROBES), "-q", "-p", "no:cacheprovider", *arguments], plugins=[table])
    print("\n".join(table.lines()))
    sys.exit(int(code))
