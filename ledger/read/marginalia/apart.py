"""Work on a file that may be a trap, in a process of its own with bounds: what it takes there can't hurt here."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from ledger.model.errors import Refusal

#: Seconds of the processor and bytes of memory beyond what this process has (own choice: a marked book of 300 pages
#: takes a few seconds and 200 MB).
SECONDS, BYTES = 60, 1 << 30


def apart(work: Callable[[], Any], path: str, *, seconds: int = SECONDS) -> Any:
    """What `work` gives (plain values that JSON holds), done in a child. Raises Refusal where it does, or where the
    child takes too long, too much memory, or dies."""
    ours, theirs = os.pipe()
    pid = os.fork()
    if pid == 0:
        _live(work, ours, theirs, seconds)
    os.close(theirs)
    try:
        with os.fdopen(ours, "rb") as pipe:
            told = pipe.read()
    except BaseException:
        with suppress(OSError):
            os.kill(pid, signal.SIGKILL)
        raise
    finally:
        os.waitpid(pid, 0)
    if not told.endswith(b"\n"):
        raise Refusal("it can't be read in good time or memory, so nothing of it was taken in", path=path,
                      remedy="open it where it was marked and save it again, or send fewer pages")  # fmt: skip
    answer = json.loads(told)
    if "refused" in answer:
        message, remedy = answer["refused"]
        raise Refusal(message, path=path, remedy=remedy)
    return answer["found"]


def _live(work: Callable[[], Any], ours: int, theirs: int, seconds: int) -> None:
    """The child's whole life."""
    try:
        os.close(ours)
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nowhere, stream)
        _bounded(seconds)
        try:
            answer: dict[str, Any] = {"found": work()}
        except Refusal as refused:
            answer = {"refused": [refused.message, refused.remedy]}
        with os.fdopen(theirs, "wb") as pipe:
            pipe.write(json.dumps(answer).encode() + b"\n")
    finally:
        os._exit(0)


def _bounded(seconds: int) -> None:
    import resource

    signal.signal(signal.SIGINT, signal.SIG_DFL)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    with suppress(OSError, ValueError, IndexError):
        with open("/proc/self/statm", "rb") as file:  # noqa: PTH123  (nothing else is needed of a path)
            pages = int(file.read().split()[0])
        most = pages * resource.getpagesize() + BYTES
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
