"""Runs the command and kills it with SIGKILL just before its n-th step: `python stepped.py N TOP WORDS...`.

A step is whatever changes the disk or starts a program, as Python tells of it before it happens. It runs by itself, in
whatever environment inkledger is installed.
"""

from __future__ import annotations

import os
import signal
import sys

STEPS = {
    "open", "os.rename", "os.remove", "os.link", "os.mkdir", "os.rmdir", "os.truncate", "os.chmod", "fcntl.flock",
    "shutil.rmtree", "subprocess.Popen",
}  # fmt: skip


def main(last: int, top: str, words: list[str]) -> None:
    """Runs the command; it ends before its step of this number, if it has so many."""
    from ledger.cli.start import main as command

    seen = 0

    def watch(event: str, args: tuple[object, ...]) -> None:
        nonlocal seen
        if event not in STEPS:
            return
        if event == "open":
            name = os.fsdecode(args[0]) if isinstance(args[0], (str, bytes)) else ""
            writing = isinstance(args[2], int) and args[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
            if not writing or not name.startswith(top):
                return
        seen += 1
        if seen == last:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.argv = ["inkledger", *words]
    sys.addaudithook(watch)
    command()


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2], sys.argv[3:])
