"""Values with named fields, without what a dataclass costs to define."""

from __future__ import annotations

from typing import Any, ClassVar, Self, dataclass_transform


@dataclass_transform(kw_only_default=True, frozen_default=True)
class Written:
    """A value with named fields that are given by name and never change: what a frozen dataclass is to its users.

    Hooks read entries, and to define these as dataclasses takes longer than to read and judge what they say. Values
    are equal where their kind and all fields are. Raises TypeError where a field is missing or there is none of a name.
    """

    _fields: ClassVar[tuple[str, ...]] = ()
    _usual: ClassVar[dict[str, Any]] = {}

    def __init_subclass__(cls) -> None:
        own = tuple(cls.__annotations__)
        cls._usual = {**cls._usual, **{name: cls.__dict__[name] for name in own if name in cls.__dict__}}
        cls._fields = (*cls._fields, *own)

    def __init__(self, **said: Any) -> None:
        held = {**self._usual, **said}
        if len(held) != len(self._fields) or not held.keys() >= set(self._fields):
            named = sorted(held.keys() ^ set(self._fields))
            raise TypeError(f"{type(self).__name__}: missing or unknown: {', '.join(named)}")
        self.__dict__.update(held)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{name!r} of {type(self).__name__} never changes")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"{name!r} of {type(self).__name__} never changes")

    def __eq__(self, other: object) -> bool:
        return self.__dict__ == other.__dict__ if type(other) is type(self) else NotImplemented

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return f"{type(self).__name__}({', '.join(f'{name}={getattr(self, name)!r}' for name in self._fields)})"

    def _replace(self, **changed: Any) -> Self:
        """The same with other values of these fields."""
        return type(self)(**{**self.__dict__, **changed})
