"""What a verb has to say and how it is said: standard output, one JSON document, one sentence where it failed."""

import errno
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.model.errors import ContentMissing, Refusal
from ledger.render.plain import visible

if TYPE_CHECKING:
    from pathlib import Path
    from typing import TextIO

DONE, BLOCKED, REFUSED, FAULT = 0, 1, 2, 3

Document = dict[str, Any]


class Answer(NamedTuple):
    """What a verb has to say: words for a terminal, a document for `--json`, the exit code.

    Words and document may be functions: only the one that is asked for is made.
    """

    text: str | Callable[[], str] = ""
    document: Document | Callable[[], Document] | None = None
    code: int = DONE


def say(answer: Answer, name: str, as_json: bool) -> int:
    """Prints an answer of the verb of this name in the form that was asked for; gives the exit code."""
    if as_json:
        document = answer.document() if callable(answer.document) else answer.document
        write(document_text({"schema": schema_name(name), **(document or {})}))
    else:
        text = answer.text if isinstance(answer.text, str) else answer.text()
        if text:
            write(visible(text).rstrip("\n"))
    return answer.code


def schema_name(command: str) -> str:
    """`inkledger/<command>/1`."""
    return f"inkledger/{command}/1"


def document_text(document: Document) -> str:
    """A JSON document as it is printed: ASCII only, so that no locale and no terminal can spoil it."""
    from ledger.render.json_text import json_text

    return json_text(document)


def guarded(work: Callable[[], int], verb: str, *, as_json: bool, fault_of: Callable[[Exception], Refusal]) -> int:
    """Runs the work of a verb; gives the exit code. No traceback reaches the user."""
    try:
        return work()
    except KeyboardInterrupt:
        complain("stopped")
        return 130
    except Exception as fault:
        if os.environ.get("INKLEDGER_DEBUG"):
            raise
        refusal = fault_of(fault)
        _refuse(refusal, verb if as_json else None)
        return FAULT if isinstance(refusal, Fault) else refusal.exit_code


class Fault(Refusal):
    """A fault of inkledger's own, as a sentence."""


def _refuse(refusal: Refusal, verb: str | None) -> None:
    """One sentence with place and remedy; with a verb's name the same as its JSON document."""
    place = ":".join(str(part) for part in (refusal.path, refusal.line) if part is not None)
    complain(f"{place}: {refusal.message}" if place else refusal.message, refusal.remedy)
    if verb is not None:
        error = {"message": refusal.message, "path": refusal.path, "line": refusal.line, "remedy": refusal.remedy}
        with suppress(Unsaid):  # the sentence is on standard error
            write(document_text({"schema": schema_name(verb), "error": error}))


def as_refusal(fault: Exception) -> Refusal:
    """What went wrong in a sentence; a Fault where it is the tool's own."""
    if isinstance(fault, Refusal):
        return fault
    if isinstance(fault, ContentMissing):
        return Refusal(f"{fault.name} can't be read ({fault.why})", remedy="see what is missing: inkledger doctor")
    if isinstance(fault, OSError) and fault.strerror:
        name = os.fsdecode(fault.filename) if isinstance(fault.filename, (str, bytes)) else ""
        return Refusal(f"{name}: {fault.strerror}" if name else fault.strerror)
    return Fault(
        f"a fault of inkledger's own ({type(fault).__name__}); what it was to record is there whole or not at all",
        remedy="to see the details, run it again with INKLEDGER_DEBUG=1 in the environment",
    )


def folder(chosen: str | None) -> "Path":
    """The folder to work in. Raises Refusal where it is none."""
    from pathlib import Path

    here = Path(chosen) if chosen else Path.cwd()
    if not here.is_dir():
        raise Refusal(f"{here}: no such folder", remedy="name a folder of the book with -C")
    return here


def at_a_terminal(stream: "TextIO | None") -> bool:
    """Whether a person sits at it; one that was closed before this process began is none."""
    return stream is not None and stream.isatty()


def complain(sentence: str, remedy: str | None = None) -> None:
    """A sentence on standard error, the way out below it; where that can't be written there is nobody to tell."""
    if sys.stderr is None:
        return
    way = f"  {visible(remedy)}\n" if remedy else ""
    with suppress(OSError):
        sys.stderr.buffer.write(f"inkledger: {visible(sentence)}\n{way}".encode("utf-8", "replace"))
        sys.stderr.flush()


class Unsaid(Refusal):
    """What there is to say can't be written."""


def write(text: str) -> None:
    """UTF-8 whatever the locale says. A reader who has seen enough and went away is no fault.

    Raises Unsaid where standard output takes nothing: the disk is full, or it is closed.
    """
    try:
        if sys.stdout is None:  # closed before this process began
            raise OSError(errno.EBADF, os.strerror(errno.EBADF))
        sys.stdout.buffer.write(text.encode("utf-8", "replace") + b"\n")
        sys.stdout.flush()
    except BrokenPipeError:
        pour_away()
    except OSError as fault:
        pour_away()
        raise Unsaid(
            f"standard output can't be written: {fault.strerror}",
            remedy="the work itself is done; only what there was to say of it is lost",
        ) from None


def pour_away() -> None:
    """Lets go of what standard output did not take, or Python would try once more at the end, and fail aloud."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def verb_of(arguments: Sequence[str]) -> str:
    """The verb that a command line names."""
    from ledger.cli.verbs import VERBS

    return next((word for word in arguments if word in VERBS), "inkledger")
