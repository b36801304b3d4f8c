"""What every verb shares: `-C`, `--json`, exit codes, and one way to say what went wrong."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import click

from ledger.cli.answer import BLOCKED, DONE, REFUSED, Answer, as_refusal, guarded, pour_away, say, verb_of, write
from ledger.cli.answer import folder as folder_of
from ledger.cli.verbs import VERBS
from ledger.model.errors import Refusal

__all__ = ["BLOCKED", "DONE", "Answer", "root", "run", "verb", "verb_of_two"]


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

        write(f"inkledger {__version__}")
        ctx.exit()


def verb(
    name: str, example: str, *, group: str = "", does: str | None = None
) -> Callable[[Callable[..., Answer]], click.Command]:
    """Makes a command of a function that takes `here` (a folder) and its own options and gives an Answer.

    `example` is a command line that runs in the example book; `group` is the first word of a verb of two, `does` what
    its help says of it in one line.
    """

    def make(work: Callable[..., Answer]) -> click.Command:
        def callback(folder: str | None, as_json: bool, **options: Any) -> None:
            chosen = folder or click.get_current_context().find_root().obj
            answer = work(here=folder_of(chosen), **options)
            click.get_current_context().exit(say(answer, group or name, as_json))

        callback.__doc__ = work.__doc__
        params = list(reversed(getattr(work, "__click_params__", [])))
        params += [
            _elsewhere(),
            click.Option(["--json", "as_json"], is_flag=True, help="One JSON document on standard output."),
        ]
        return click.Command(
            name, callback=callback, params=params, help=work.__doc__, short_help=does,
            epilog=f"\b\nExample:\n  {example}", context_settings={"help_option_names": ["-h", "--help"]},
        )  # fmt: skip

    return make


def verb_of_two(name: str, does: str) -> click.Group:
    """The first word of verbs of two, such as `notes`; `-C` may stand between the two words as well."""

    def callback(folder: str | None) -> None:
        if folder is not None:
            click.get_current_context().find_root().obj = folder

    return click.Group(name, help=does, callback=callback, params=[_elsewhere()])


def _elsewhere() -> click.Option:
    return click.Option(["-C", "folder"], metavar="DIR", default=None, help="Work in this folder's book.")


#: What the library raises where no verb is named, from 8.2 on; its message is the help.
_BARE: Any = getattr(click.exceptions, "NoArgsIsHelpError", ())


def run(arguments: Sequence[str]) -> int:
    """Runs the command line; returns the exit code. No traceback reaches the user."""
    as_json = "--json" in arguments
    return guarded(partial(_main, list(arguments)), verb_of(arguments), as_json=as_json, fault_of=_refusal)


def _main(arguments: list[str]) -> int:
    out = sys.stdout
    try:
        code = root.main(arguments, prog_name="inkledger", standalone_mode=False)
    except click.exceptions.Exit as done:
        return done.exit_code
    except _BARE as bare:
        click.echo(bare.format_message(), err=True)
        return REFUSED
    except click.Abort:
        raise KeyboardInterrupt from None
    except SystemExit:
        if sys.stdout is out:
            raise
        pour_away()  # a reader of the help went away, for which the library puts another stream in its place
        return DONE
    return code if isinstance(code, int) else DONE


def _refusal(fault: Exception) -> Refusal:
    """What went wrong in a sentence, the library's own complaints too."""
    if isinstance(fault, click.UsageError):
        ctx = fault.ctx
        usage = f"see: {ctx.command_path} --help" if ctx else "see: inkledger --help"
        return Refusal(fault.format_message(), remedy=usage)
    if isinstance(fault, click.ClickException):
        return Refusal(fault.format_message())
    return as_refusal(fault)
