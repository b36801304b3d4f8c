"""One table of `book.toml`, or of a list like it: every key is taken once, what is left over is unknown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, ClassVar, NoReturn

from ledger.model.errors import Refusal
from ledger.read.config_keys import STANDS_IN
from ledger.read.toml_text import KeyPath, line_of_key


class Table:
    """A table with the place it stands at; `known` are the keys it may hold. Every complaint is a Refusal."""

    file = "book.toml"
    #: Key -> the table of the file in which it stands.
    elsewhere: ClassVar[Mapping[str, str]] = STANDS_IN

    def __init__(self, values: Mapping[str, Any], at: KeyPath, text: str, path: str, known: Iterable[str]) -> None:
        self.values, self.at, self.text, self.path = values, at, text, path
        for key in values:
            if key not in (names := list(known)):
                self.wrong(f"{self.called(key)} is no key of {self.file}", key, remedy=self.meant(key, names))

    def meant(self, key: str, known: Iterable[str]) -> str:
        """A remedy for an unknown key: the nearest known one, here or in another table."""
        here = list(known)
        other = None if nearest_name(key, here) else nearest_name(key, self.elsewhere)
        return f"did you mean {other!r} in {self.elsewhere[other]}?" if other else nearest(key, here)

    def wrong(self, message: str, *keys: str | int, remedy: str | None = None) -> NoReturn:
        """Raises Refusal at the line of a key of this table."""
        raise Refusal(message, path=self.path, line=line_of_key(self.text, (*self.at, *keys)) or 1, remedy=remedy)

    def called(self, key: str) -> str:
        """How a message names a key: `trim_mm` in [page], `inks` in [[pass]]."""
        table = ".".join(str(part) for part in self.at if isinstance(part, str))
        return f"{key!r}" + (f" in [{table}]" if table else "")

    def table(self, key: str, known: Iterable[str]) -> Table:
        """An inner table, empty where it is not there."""
        value = self.values.get(key, {})
        if not isinstance(value, dict):
            self.wrong(f"{self.called(key)} must be a table", key, remedy=f"write [{key}] on a line of its own")
        return Table(value, (*self.at, key), self.text, self.path, known)

    def word(self, key: str, default: str | None = None, allowed: tuple[str, ...] = ()) -> str | None:
        """A string that is not empty, one of `allowed` where given."""
        value = self.values.get(key, default)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip():
            self.wrong(f"{self.called(key)} must be words in quotes", key, remedy=f'{key} = "..."')
        if allowed and value not in allowed:
            self.wrong(f"{self.called(key)} is {value!r}; it can be {_listed(allowed)}", key,
                       remedy=_near(value, allowed) or f'such as {key} = "{allowed[0]}"')  # fmt: skip
        return value

    def needed(self, key: str) -> str:
        """A string that must be there."""
        value = self.word(key)
        if value is None:
            self.wrong(f"{self.called(key)} is missing", remedy=f'add {key} = "..."')
        return value

    def count(self, key: str, default: int | None = None, least: int = 0, most: int = 1_000_000) -> int | None:
        """A whole number."""
        value = self.values.get(key, default)
        if value is not None and (not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most):
            said = f"{self.called(key)} must be a whole number from {least} to {most}"
            self.wrong(said, key, remedy=f"such as {key} = {default or least}")
        return value

    def number(self, key: str, default: float | None = None, *, above_zero: bool = False) -> float | None:
        """A number that is not negative; whole or with a point."""
        value = self.values.get(key, default)
        if value is None:
            return None
        if not is_number(value) or value < 0 or (above_zero and value == 0):
            self.wrong(f"{self.called(key)} must be a number{' above 0' if above_zero else ', 0 or more'}", key)
        return float(value)

    def day(self, key: str) -> date | None:
        """A date without quotes."""
        value = self.values.get(key)
        if value is not None and type(value) is not date:
            self.wrong(f"{self.called(key)} must be a date", key, remedy=f"without quotes: {key} = 2027-03-01")
        return value

    def words(self, key: str, *, one_will_do: bool = False) -> tuple[str, ...]:
        """A list of strings; with `one_will_do` a single string too."""
        value = self.values.get(key, [])
        if one_will_do and isinstance(value, str):
            value = [value]
        if not isinstance(value, list) or not all(isinstance(item, str) and item.strip() for item in value):
            self.wrong(f"{self.called(key)} must be a list of words in quotes", key, remedy=f'{key} = ["..."]')
        return tuple(value)


def is_number(value: object) -> bool:
    """Whether a value is a finite number, true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool) and value - value == 0


def nearest(word: str, known: Iterable[str]) -> str:
    """A remedy for an unknown name: the nearest known one, else all of them."""
    names = list(known)
    return _near(word, names) or (f"known here: {', '.join(names)}" if names else "take it out")


def _near(word: str, names: Iterable[str]) -> str | None:
    found = nearest_name(word, names)
    return f"did you mean {found!r}?" if found else None


def nearest_name(word: str, names: Iterable[str]) -> str | None:
    """The name most like a word, whatever the case; None where none is like it."""
    import difflib

    folded = {name.casefold(): name for name in names}
    near = difflib.get_close_matches(word.casefold(), list(folded), 1, 0.6)
    return folded[near[0]] if near else None


def _listed(words: tuple[str, ...]) -> str:
    quoted = [f'"{word}"' for word in words]
    return " or ".join([", ".join(quoted[:-1]), quoted[-1]]) if len(quoted) > 1 else quoted[0]
