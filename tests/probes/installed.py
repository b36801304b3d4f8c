"""inkledger as a user has it: built as a wheel, installed into an environment of its own."""

from __future__ import annotations

import subprocess
import sys
import sysconfig
from pathlib import Path

SOURCE = Path(__file__).parent.parent.parent


def installed(home: Path) -> Path:
    """Builds the wheel and installs it into a new environment in `home`; gives the command.

    What it depends on is lent by the environment that the tests run in, so that nothing is fetched.
    """
    _run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(home / "wheel"))
    (wheel,) = (home / "wheel").glob("inkledger-*.whl")
    _run(sys.executable, "-m", "venv", "--without-pip", str(home / "venv"))
    python = home / "venv/bin/python"
    _run(
        sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet", "--disable-pip-version-check",
        "--no-deps", "--no-index", str(wheel),
    )  # fmt: skip
    (packages,) = (home / "venv/lib").glob("python3*/site-packages")
    lent = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (packages / "lent.pth").write_text("".join(f"{place}\n" for place in sorted(lent)))
    return home / "venv/bin/inkledger"


def _run(*words: str) -> None:
    done = subprocess.run(words, cwd=SOURCE, capture_output=True, text=True)
    assert done.returncode == 0, f"{' '.join(words)}\n{done.stdout}{done.stderr}"
