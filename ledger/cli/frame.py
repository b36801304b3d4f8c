"""What every verb shares: `-C`, `--json`, exit codes, and one way to say what went wrong."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import click

from ledger.cli.verbs import VERBS
from ledger.model.errors import ContentMissing, Refusal
from ledger.render.plain import visible

DONE, BLOCKED, REFUSED, FAULT = 0, 1, 2, 3


@dataclass(frozen=True)
class Answer:
    """What a verb has to say: words for a terminal, a document for `--json`, the exit code."""

    text: str = ""
    document: dict[str, Any] = field(default_factory=dict)
    code: int = DONE


class Verbs(click.Group):
    """The verbs, each imported only when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in VERBS:
            return None
        from importlib import import_module

        command: click.Command = import_module(f"ledger.cli.{VERBS[cmd_name].module}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, entry.does) for name, entry in VERBS.items()])


@click.group(
    cls=Verbs,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog="Try it: inkledger demo",
)
@click.option("-C", "folder", metavar="DIR", default=None, help="Work in this folder's book.")
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=lambda c, p, v: _version(c, v),
              help="Show the version.")  # fmt: skip
@click.pass_context
def root(ctx: click.Context, folder: str | None) -> None:
    """Keep the rounds of a long comic in git, see what changed, stop late edits."""
    ctx.obj = folder


def _version(ctx: click.Context, wanted: bool) -> None:
    if wanted:
        from ledger import __version__

        _write(f"inkledger {__version__}")
        ctx.exit()


def verb(name: str, example: str, *, group: str = "") -> Callable[[Callable[..., Answer]], click.Command]:
    """Makes a command of a function that takes `here` (a folder) and its own options and gives an Answer.

    `example` is a command line that runs in the example book; `group` is the first word of a verb of two.
    """

    def make(work: Callable[..., Answer]) -> click.Command:
        def callback(folder: str | None, as_json: bool, **options: Any) -> None:
            chosen = folder or click.get_current_context().find_root().obj
            answer = work(here=_folder(chosen), **options)
            if as_json:
                _write(document_text({"schema": schema_name(group or name), **answer.document}))
            elif answer.text:
                _write(visible(answer.text).rstrip("\n"))
            click.get_current_context().exit(answer.code)

        callback.__doc__ = work.__doc__
        params = list(reversed(getattr(work, "__click_params__", [])))
        params += [
            click.Option(["-C", "folder"], metavar="DIR", default=None, help="Work in this folder's book."),
            click.Option(["--json", "as_json"], is_flag=True, help="One JSON document on standard output."),
        ]
        return click.Command(
            name, callback=callback, params=params, help=work.__doc__, epilog=f"\b\nExample:\n  {example}",
            context_settings={"help_option_names": ["-h", "--help"]},
        )  # fmt: skip

    return make


def schema_name(command: str) -> str:
    """`inkledger/<command>/1`."""
    return f"inkledger/{command}/1"


def document_text(document: dict[str, Any]) -> str:
    """A JSON document as it is printed: ASCII only, so that no locale and no terminal can spoil it."""
    import json

    return json.dumps(document, indent=2)


def run(arguments: Sequence[str]) -> int:
    """Runs the command line; returns the exit code. No traceback reaches the user."""
    try:
        code = root.main(list(arguments), prog_name="inkledger", standalone_mode=False)
        return code if isinstance(code, int) else DONE
    except click.exceptions.Exit as done:
        return done.exit_code
    except (KeyboardInterrupt, click.Abort):
        _complain("stopped")
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as fault:
        return _fail(fault, arguments)


def _fail(fault: Exception, arguments: Sequence[str]) -> int:
    """One sentence, and the exit code that fits."""
    if os.environ.get("INKLEDGER_DEBUG"):
        raise fault
    refusal, code = as_refusal(fault)
    place = ":".join(str(part) for part in (refusal.path, refusal.line) if part is not None)
    _complain(f"{place}: {refusal.message}" if place else refusal.message)
    if refusal.remedy:
        sys.stderr.write(visible(f"  {refusal.remedy}") + "\n")
    if "--json" in arguments:
        error = {"message": refusal.message, "path": refusal.path, "line": refusal.line, "remedy": refusal.remedy}
        _write(document_text({"schema": schema_name(_verb_of(arguments)), "error": error}))
    return code


def as_refusal(fault: Exception) -> tuple[Refusal, int]:
    """What went wrong in a sentence, and whether the user, the machine or the tool is at fault."""
    if isinstance(fault, Refusal):
        return fault, fault.exit_code
    if isinstance(fault, click.UsageError):
        ctx = fault.ctx
        usage = f"see: {ctx.command_path} --help" if ctx else "see: inkledger --help"
        return Refusal(fault.format_message(), remedy=usage), REFUSED
    if isinstance(fault, click.ClickException):
        return Refusal(fault.format_message()), REFUSED
    if isinstance(fault, ContentMissing):
        return Refusal(
            f"{fault.name} is not here ({fault.why})", remedy="see what is missing: inkledger doctor"
        ), REFUSED
    if isinstance(fault, OSError) and fault.strerror:
        name = os.fsdecode(fault.filename) if isinstance(fault.filename, (str, bytes)) else ""
        return Refusal(f"{name}: {fault.strerror}" if name else fault.strerror), REFUSED
    return Refusal(
        f"a fault of inkledger's own ({type(fault).__name__}); nothing was recorded by this command",
        remedy="to see the details, run it again with INKLEDGER_DEBUG=1 in the environment",
    ), FAULT


def _verb_of(arguments: Sequence[str]) -> str:
    return next((word for word in arguments if word in VERBS), "inkledger")


def _folder(chosen: str | None) -> Path:
    here = Path(chosen) if chosen else Path.cwd()
    if not here.is_dir():
        raise Refusal(f"{here}: no such folder", remedy="name a folder of the book with -C")
    return here


def _complain(sentence: str) -> None:
    sys.stderr.buffer.write(f"inkledger: {visible(sentence)}\n".encode("utf-8", "replace"))
    sys.stderr.flush()


def _write(text: str) -> None:
    """UTF-8 whatever the locale says."""
    sys.stdout.buffer.write(text.encode("utf-8", "replace") + b"\n")
    sys.stdout.flush()
