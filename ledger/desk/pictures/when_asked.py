"""What was found out about pictures before, read from the git folder only where somebody asks: the hooks pass here."""

from __future__ import annotations

from collections.abc import Callable, Iterator, MutableMapping
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

Asked = Callable[[], MutableMapping[str, str]]


@contextmanager
def looked_at_when_asked(repo: Repository) -> Iterator[Asked]:
    """Gives what is kept, with what is added meanwhile, to whoever calls it; what is new is kept in the end."""
    with ExitStack() as stack:
        kept: list[MutableMapping[str, str]] = []

        def asked() -> MutableMapping[str, str]:
            if not kept:
                from ledger.desk.pictures.looked_at import looked_at

                kept.append(stack.enter_context(looked_at(repo)))
            return kept[0]

        yield asked
