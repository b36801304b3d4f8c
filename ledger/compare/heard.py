"""Some words of a line, and how near a line comes to them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from ledger.model.words import normalise

#: The nearness of a line in which the words stand whole and in a row.
IN_A_ROW = 1


@dataclass(frozen=True)
class Heard:
    """Words as somebody remembers them: case, emphasis, quotes and dashes make no difference, as in a comparison."""

    words: str

    @cached_property
    def _phrase(self) -> str:
        return normalise(self.words.replace("*", "").replace("_", ""))

    @cached_property
    def _bare(self) -> list[str]:
        return bare_words(self._phrase)

    @property
    def empty(self) -> bool:
        """Whether there is no letter and no digit in it."""
        return not self._bare

    def nearness(self, text: str) -> int | None:
        """0: these are all its words; 1: they stand in it in a row; 2: inside longer words; 3: in another order.

        None where a word is missing. Signs between words make no difference.
        """
        normal = normalise(text)
        bare = bare_words(normal)
        if bare == self._bare:
            return 0
        if _in_a_row(self._bare, bare):
            return 1
        if self._phrase in normal:
            return 2
        return 3 if set(self._bare) <= set(bare) else None

    def shared(self, text: str) -> float:
        """The share of the words that a line has, 0 to 1."""
        mine = set(self._bare)
        return len(mine & set(bare_words(normalise(text)))) / len(mine) if mine else 0.0


def bare_words(normal: str) -> list[str]:
    """The words of a normalised text without the signs around and inside them."""
    return [bare for word in normal.split() if (bare := "".join(sign for sign in word if sign.isalnum()))]


def _in_a_row(words: list[str], among: list[str]) -> bool:
    size = len(words)
    return any(among[at : at + size] == words for at in range(len(among) - size + 1))
