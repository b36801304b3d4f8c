"""Every example that help shows runs in the example book as it stands there."""

from __future__ import annotations

import shlex
from importlib import import_module

import click
import pytest

from ledger.cli.verbs import VERBS
from tests.typed_book import TypedBook


def examples() -> dict[str, str]:
    """Command -> the example of its help."""
    found: dict[str, str] = {}
    for name, verb in VERBS.items():
        command = import_module(f"ledger.cli.{verb.module}").command
        each = command.commands if isinstance(command, click.Group) else {"": command}
        found |= {
            f"{name} {sub}".strip(): (one.epilog or "").split("Example:")[-1].strip() for sub, one in each.items()
        }
    return found


EXAMPLES = examples()


@pytest.mark.parametrize("name", [name for name in EXAMPLES if name != "demo"])
def test_the_example_runs(demo_book: TypedBook, name: str) -> None:
    if name == "alter":
        draft = next((demo_book.top / "script").glob("03-*.md"))
        demo_book.change(str(draft.relative_to(demo_book.top)), "M: Count again.", "V: Count again.")
        demo_book.git("add", "-A")
    if name == "receive":
        out = demo_book.top.parent / "for-odd"
        demo_book.ledger("handoff", "letters", "--pages", "1-2", "--to", str(out))
        for page in (out / "inks").iterdir():
            page.rename(out / "letters" / page.name)
    words = shlex.split(EXAMPLES[name])
    assert words[0] == "inkledger"
    demo_book.ledger(*words[1:])


def test_every_command_has_one() -> None:
    assert all(example.startswith("inkledger ") for example in EXAMPLES.values()), EXAMPLES
