"""What one run has read and set side by side already: a history meets the same drafts again and again."""

from collections.abc import Callable, Hashable, MutableMapping
from typing import Any, TypeVar

T = TypeVar("T")
#: Gives what was found out about pictures before, by their object ids.
PicturesSeen = Callable[[], MutableMapping[str, str]]

#: So many values are kept; those asked for longest ago are let go.
_KEPT = 256


class Remembered:
    """Values by what they were made from. Made from the same, a value is made once; nothing outlives the run.

    But for `pictures`, which gives what looking at them found out, by their object ids, to be kept for the next run.
    """

    __slots__ = ("_kept", "pictures")

    def __init__(self, pictures: PicturesSeen | None = None) -> None:
        self._kept: dict[Hashable, tuple[Any, tuple[Any, ...]]] = {}
        found: dict[str, str] = {}
        self.pictures: PicturesSeen = pictures or (lambda: found)

    def value(self, kind: str, key: Hashable, made_from: tuple[Any, ...], make: Callable[[], T]) -> T:
        """The value of a kind for a key, made where it is not kept.

        What goes into the key by its place in memory (`id`) stands in `made_from`, so that it is not let go before.
        """
        full = (kind, key)
        found = self._kept.pop(full, None)
        if found is None:
            found = make(), made_from
            while len(self._kept) >= _KEPT:
                del self._kept[next(iter(self._kept))]
        self._kept[full] = found
        value: T = found[0]
        return value

    def clear(self) -> None:
        """Lets everything go: what is kept may refer to where it was read from, and that to this."""
        self._kept.clear()

    def known(self, kind: str, key: Hashable) -> Any:
        """The value of a kind for a key; None where none is kept."""
        found = self._kept.get((kind, key))
        return found[0] if found else None
