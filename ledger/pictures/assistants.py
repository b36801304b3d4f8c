"""Processes of their own that look at pictures: two at a time, and what breaks a decoder breaks its assistant alone.

Each may work for a while and hold a gigabyte; one that dies is replaced, and its job is told as not done. Where the
system can't copy a process, the jobs are done in this one.
"""

from __future__ import annotations

import os
import pickle
import select
import signal
import struct
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

#: Assistants at most; each holds two pages and what they are brought down to.
_MOST = 2
#: Seconds of the processor for a page, one more for so many pixels; bytes an assistant may ask for: with what it has
#: anyway it stays below a gigabyte.
SECONDS, PIXELS_A_SECOND, BYTES = 8, 8_000_000, (1 << 30) - (64 << 20)

#: So many times the seconds of the processor by the clock: what stands still uses no processor, and is ended as well.
_BY_THE_CLOCK = 6

#: Bytes of a block of a picture's memory, and how many an assistant keeps for the next picture. Small blocks are of one
#: size, whatever the picture's, so that each can be used again.
_BLOCK, _BLOCKS = 1 << 20, 24
#: Bytes that are taken out of a picture at once; and a piece of memory that, let go once, teaches the C library to keep
#: twice as much for the next arrays, rather than to give each back at once (mallopt(3), M_MMAP_THRESHOLD).
_PIECE, _TAUGHT = 1 << 20, 1 << 24

Job = tuple[Callable[..., Any], tuple[Any, ...]]


class Broken(NamedTuple):
    """What stands for the answer to a job whose assistant died; `why` continues "can't be read as a picture: "."""

    why: str


class _Assistant(NamedTuple):
    pid: int
    ask: int
    answers: int


class _Here:
    """What is so of this process: whether it is an assistant, and the one it keeps for single questions.

    `keeper` is the process that keeps it: a copy of that process must leave it alone.
    """

    assisting = False
    kept: _Assistant | None = None
    keeper = 0


_here = _Here()


def done(jobs: Iterable[Job]) -> Iterator[tuple[int, Any]]:
    """(number of the job from 0, its answer or Broken), in whatever order they are done. Jobs are values that can be
    pickled; the next one is made while others are at work."""
    if not hasattr(os, "fork"):
        yield from ((number, work(*facts)) for number, (work, facts) in enumerate(jobs))
        return
    free = [kept] if (kept := _kept()) else []
    busy: dict[int, tuple[_Assistant, int]] = {}
    wanted = min(_MOST, os.cpu_count() or 1)
    try:
        for number, job in enumerate(jobs):
            while not free and len(busy) >= wanted:
                yield from _collected(busy, free)
            assistant = free.pop() if free else _hired()
            busy[assistant.answers] = (assistant, number)
            _send(assistant.ask, job)
        while busy:
            yield from _collected(busy, free)
    finally:
        for assistant in [*free, *(each for each, _ in busy.values())]:
            _dismiss(assistant)


def one(work: Callable[..., Any], *facts: Any) -> Any:
    """The answer to one job, or Broken. The assistant is kept for the next one, until this process ends."""
    if _here.assisting or not hasattr(os, "fork"):
        return work(*facts)
    assistant = _kept() or _hired()
    try:
        _send(assistant.ask, (work, facts))
        answer = _received(assistant.answers)
    except BaseException:
        _dismiss(assistant)
        raise
    if answer is None:
        return Broken(_fate(assistant))
    _keep(assistant)
    if isinstance(answer[0], Exception):
        raise answer[0]
    return answer[0]


def _kept() -> _Assistant | None:
    """The assistant that waits here, if it still lives; it is kept no more."""
    assistant, _here.kept = _here.kept, None
    if assistant is None or _here.keeper != os.getpid():
        return None
    with suppress(ChildProcessError):
        if os.waitpid(assistant.pid, os.WNOHANG)[0] == 0:
            return assistant
    os.close(assistant.ask)
    os.close(assistant.answers)
    return None


def _keep(assistant: _Assistant) -> None:
    import atexit

    if _here.keeper != os.getpid():
        _here.keeper = os.getpid()
        atexit.register(_let_go)
    _here.kept = assistant


def _let_go() -> None:
    if assistant := _kept():
        _dismiss(assistant)


def _collected(busy: dict[int, tuple[_Assistant, int]], free: list[_Assistant]) -> Iterator[tuple[int, Any]]:
    """What those who are ready have to say."""
    ready, _, _ = select.select(list(busy), [], [])
    for place in ready:
        assistant, number = busy.pop(place)
        answer = _received(place)
        if answer is None:
            yield number, Broken(_fate(assistant))
            continue
        free.append(assistant)
        if isinstance(answer[0], Exception):
            raise answer[0]
        yield number, answer[0]


def _hired() -> _Assistant:
    import PIL.Image  # noqa: F401  (once for all of them)

    theirs, ask = os.pipe()
    answers, mine = os.pipe()
    pid = os.fork()
    if pid == 0:
        try:
            os.close(ask)
            os.close(answers)
            _work(theirs, mine)
        finally:
            os._exit(0)
    os.close(theirs)
    os.close(mine)
    return _Assistant(pid, ask, answers)


def _work(asked: int, answers: int) -> None:
    """An assistant's whole life: answers one job after the other until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    _close_all_but(asked, answers)
    if "faulthandler" in sys.modules:
        sys.modules["faulthandler"].disable()
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    _here.assisting = True
    _bounded()
    _keep_blocks()
    while (job := _received(asked)) is not None:
        work, facts = job
        allow_for(0)
        try:
            answer = work(*facts)
        except Exception as fault:  # told to whoever asked
            answer = fault
        signal.alarm(0)
        _send(answers, (answer,))


def _close_all_but(*mine: int) -> None:
    """What else the process that copied itself had open, pipes to git among it, would stay open as long as the copy."""
    first = 3
    for place in sorted(mine):
        os.closerange(first, place)
        first = place + 1
    os.closerange(first, 1 << 16)


def _bounded() -> None:
    """No more memory than `BYTES` beyond what this process has anyway, and no picture of its death on the disk."""
    import resource

    resource.setrlimit(resource.RLIMIT_CORE, (0, resource.getrlimit(resource.RLIMIT_CORE)[1]))
    if sys.platform == "linux":
        had = int(Path("/proc/self/statm").read_bytes().split()[0]) * resource.getpagesize()
        with suppress(ValueError, OSError):
            resource.setrlimit(resource.RLIMIT_AS, (had + BYTES, resource.getrlimit(resource.RLIMIT_AS)[1]))


def _keep_blocks() -> None:
    """Memory of one picture is used again for the next: to ask the system for it anew takes longer than to compare."""
    from PIL import Image, ImageFile

    vars(Image)["core"].set_block_size(_BLOCK)
    vars(Image)["core"].set_blocks_max(_BLOCKS)
    ImageFile.MAXBLOCK = _PIECE
    bytearray(_TAUGHT)


def allow_for(pixels: int) -> None:
    """The processor from now on for as long as a picture of so many pixels may take."""
    allow(SECONDS + pixels // PIXELS_A_SECOND)


def allow(seconds: int) -> None:
    """So many seconds of the processor from now on; does nothing outside of an assistant."""
    import resource

    if not _here.assisting:
        return
    used = resource.getrusage(resource.RUSAGE_SELF)
    most = resource.getrlimit(resource.RLIMIT_CPU)[1]
    signal.alarm(_BY_THE_CLOCK * (seconds + 1))
    resource.setrlimit(resource.RLIMIT_CPU, (int(used.ru_utime + used.ru_stime) + 1 + seconds, most))


def _fate(assistant: _Assistant) -> str:
    """Why an assistant gave no answer."""
    os.close(assistant.ask)
    os.close(assistant.answers)
    _, status = os.waitpid(assistant.pid, 0)
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGALRM):
        return "it takes too long to unpack"
    return "it breaks the program that unpacks it"


def _dismiss(assistant: _Assistant) -> None:
    os.close(assistant.ask)
    os.close(assistant.answers)
    with suppress(ProcessLookupError):
        os.kill(assistant.pid, signal.SIGKILL)
    with suppress(ChildProcessError):
        os.waitpid(assistant.pid, 0)


def _send(place: int, what: object) -> None:
    """Writes a value; a reader that is dead will be noticed when it is asked for its answer."""
    data = pickle.dumps(what, protocol=pickle.HIGHEST_PROTOCOL)
    rest = memoryview(struct.pack("<Q", len(data)) + data)
    with suppress(BrokenPipeError):
        while rest:
            rest = rest[os.write(place, rest) :]


def _received(place: int) -> Any:
    """A value; None where the other side is gone."""
    head = _exactly(place, 8)
    if head is None:
        return None
    data = _exactly(place, struct.unpack("<Q", head)[0])
    return None if data is None else pickle.loads(data)


def _exactly(place: int, size: int) -> bytes | None:
    parts = []
    while size:
        part = os.read(place, min(size, 1 << 20))
        if not part:
            return None
        parts.append(part)
        size -= len(part)
    return b"".join(parts)
