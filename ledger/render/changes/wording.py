"""Two wordings of one line: which words differ, and whether the difference is no more than polish."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from difflib import SequenceMatcher
from functools import lru_cache

from ledger.model.change import LineChange
from ledger.model.words import normal_words, normalise
from ledger.render.changes.word_runs import word_runs

#: Words that turn a sentence round; a change of one is never polish (English; common practice, no source).
_TURNING = frozenset(
    ("not", "no", "never", "none", "nobody", "nothing", "nowhere", "neither", "nor", "without", "cannot")
)
#: A line in which less than this share of the words changed, and each only in its spelling or ending, is polish.
_NEAR_SHARE = 0.25
#: Likeness of two words of which one is the other in another spelling or ending (share of signs kept).
_NEAR_WORD = 0.6
#: Signs of two runs of words that are no longer one word in two spellings.
_LONG = 2000
#: So many lines are remembered with what changed in them: it is asked whether that is polish, whether it can be marked
#: and what the marks are, scene by scene.
_LINES = 512
#: Below this share a line is polish whatever the words are, turning words, names and numbers apart.
_SMALL_SHARE = 0.125

Run = tuple[list[str], list[str]]


@lru_cache(maxsize=_LINES)
def runs(old: str, new: str) -> Sequence[tuple[bool, list[str], list[str]]]:
    """The two texts as runs of words in order: (whether they are the same, old words, new words)."""
    before, after = old.split(), new.split()
    found = word_runs(normal_words(old), normal_words(new))
    return [(same, before[a:b], after[c:d]) for same, a, b, c, d in found]


def marked(old: str, new: str) -> str:
    """The new text with what changed in it: `You said the <map → chart> was <+ still> here.`"""
    return " ".join(_mark(same, before, after) for same, before, after in runs(old, new))


def marks_read_well(old: str, new: str) -> bool:
    """Whether marks inside the line are easier to read than the two wordings one under the other.

    They are while at most two places differ and half of the words stayed.
    """
    every = runs(old, new)
    stayed = sum(len(after) for same, _, after in every if same)
    return sum(not same for same, _, _ in every) <= 2 and 2 * stayed >= max(len(old.split()), len(new.split()))


def _mark(same: bool, before: list[str], after: list[str]) -> str:
    if same:
        return " ".join(after)
    if not before:
        return f"<+ {' '.join(after)}>"
    if not after:
        return f"<- {' '.join(before)}>"
    return f"<{' '.join(before)} → {' '.join(after)}>"


def is_polish(change: LineChange) -> bool:
    """Whether a reworded line says the same in slightly other words.

    Polish is a change of signs alone, of spelling or endings in less than a quarter of the words, or of
    less than an eighth of them; never of a name, a number, or a word that turns the sentence round.
    """
    if change.kind != "reworded" or change.old is None or change.new is None:
        return False
    every = runs(change.old.text, change.new.text)
    changed: list[Run] = [
        (before, after) for same, before, after in every if not same and _bare(before) != _bare(after)
    ]
    if any(_weighty(words) for run in changed for words in run):
        return False
    size = max(len(change.old.text.split()), len(change.new.text.split()), 1)
    share = sum(max(len(before), len(after)) for before, after in changed) / size
    return share < _SMALL_SHARE or (share < _NEAR_SHARE and all(_near(before, after) for before, after in changed))


def is_small(change: LineChange, renamed: Iterable[tuple[str, str]] = ()) -> bool:
    """Whether a reworded line is polish, or only carries the new name of somebody renamed throughout."""
    return is_polish(change) or _only_renamed(change, renamed)


def _only_renamed(change: LineChange, renamed: Iterable[tuple[str, str]]) -> bool:
    if change.kind != "reworded" or change.old is None or change.new is None:
        return False
    text = change.old.text
    for old, new in renamed:
        for before, after in dict(_name_parts(old, new)).items():
            text = after.join(re.split(rf"(?<!\w){re.escape(before)}(?!\w)", text))
    return text != change.old.text and normalise(text) == normalise(change.new.text)


def _name_parts(old: str, new: str) -> Iterator[tuple[str, str]]:
    """A name as a whole, then its first and its last word, each with what it became."""
    yield old, new
    for at in (0, -1):
        if old.split() and new.split():
            yield old.split()[at], new.split()[at]


def _bare(words: list[str]) -> str:
    """The letters and digits of words, nothing else."""
    return "".join(sign for sign in normalise(" ".join(words)) if sign.isalnum())


def _weighty(words: list[str]) -> bool:
    """Whether a name, a number or a turning word is among them."""
    for word in words:
        plain = normalise(word).strip(".,;:!?\"'()-")
        if plain in _TURNING or plain.endswith("n't") or any(sign.isdigit() for sign in word):
            return True
        if word[:1].isupper() and not word.isupper() and word not in ("I", "A"):
            return True
    return False


def _near(before: list[str], after: list[str]) -> bool:
    old, new = _bare(before), _bare(after)
    if len(old) + len(new) > _LONG:
        return False
    return bool(old and new) and SequenceMatcher(None, old, new, autojunk=False).ratio() >= _NEAR_WORD
