"""A command of ours in hard times: killed on its way, on a full disk, and beside another one like it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

from tests.typed_book import SOMEBODY, Ran, TypedBook

_LEDGER = (sys.executable, "-m", "ledger")
#: No file may grow beyond 200 bytes: the system refuses more, as a full disk would (POSIX, RLIMIT_FSIZE).
_FULL = (
    "import resource,signal,os,sys; signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
    "resource.setrlimit(resource.RLIMIT_FSIZE, (200, 200));os.execv(sys.argv[1],sys.argv[1:])"
)


def killed_after(seconds: float, book: TypedBook, *words: str) -> None:
    """Runs a command and kills it after so many seconds, if it has not ended by then."""
    child = subprocess.Popen(
        [*_LEDGER, *words], cwd=book.top, env={**os.environ, **SOMEBODY}, stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        child.wait(seconds)
    except subprocess.TimeoutExpired:
        child.send_signal(signal.SIGKILL)
        child.wait()
    time.sleep(0.05)


def on_a_full_disk(book: TypedBook, *words: str) -> Ran:
    """Runs a command where nothing larger than a few words can be written."""
    return book.run(sys.executable, "-c", _FULL, *_LEDGER, *words)


def two_at_once(book: TypedBook, *words: str) -> list[Ran]:
    """Runs a command twice at the same time; what each said on both streams is in `out`."""
    both = [
        subprocess.Popen(
            [*_LEDGER, *words], cwd=book.top, env={**os.environ, **SOMEBODY}, stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT, text=True,
        )
        for _ in range(2)
    ]  # fmt: skip
    said = [each.communicate()[0] for each in both]
    return [Ran(out, "", each.returncode) for out, each in zip(said, both, strict=True)]
