"""Which paths of a history are the ledger's. Nothing heavy is imported: a walk begins while other rooms are loaded."""

from __future__ import annotations

from collections.abc import Callable

from ledger.read.entries import entry_name

BOOK = "book.toml"
#: So many paths are remembered with what is known of them.
_ASKED = 1 << 16


class Known(dict[str, bool]):
    """Path -> what is to be known of it, asked once: a history names the same paths again and again."""

    def __init__(self, ask: Callable[[str], bool]) -> None:
        self._ask = ask

    def __missing__(self, path: str) -> bool:
        if len(self) >= _ASKED:
            self.clear()
        self[path] = known = self._ask(path)
        return known


def _concerns(path: str) -> bool:
    return (path.startswith("ledger/") and entry_name(path) is not None) or path == BOOK


_CONCERNING = Known(_concerns)
#: Whether a path is `book.toml` or an entry.
concerns: Callable[[str], bool] = _CONCERNING.__getitem__
