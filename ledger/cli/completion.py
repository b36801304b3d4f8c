"""`inkledger completion`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ledger.cli.frame import Answer, verb


@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def _completion(here: Path, shell: str) -> Answer:
    """Print what makes a shell complete inkledger's verbs and options.

    bash: eval "$(inkledger completion bash)"; zsh the same with zsh; fish: inkledger completion fish | source
    """
    from click.shell_completion import get_completion_class

    found = get_completion_class(shell)
    root = click.get_current_context().find_root().command
    text = found(root, {}, "inkledger", "_INKLEDGER_COMPLETE").source() if found else ""
    nothing: dict[str, Any] = {"done": False, "entry": None, "commit": None, "tag": None, "paths": [], "findings": []}
    return Answer(text, {**nothing, "text": text})


command = verb("completion", "inkledger completion bash")(_completion)
