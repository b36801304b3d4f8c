"""How many pages a draft will come to before any page is marked: from its scenes and the words a page holds.

Only lettered words are counted. The range runs from all words set closely to every scene beginning a page of its own.
"""

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from ledger.model.script import Draft
from ledger.model.words import count_words


class Rate(NamedTuple):
    """Lettered words a page, from few to many; `source` says where that comes from, such as "stated"."""

    few: float
    many: float
    source: str


class Guess(NamedTuple):
    """What a draft comes to: its lettered words and scenes, and from how many to how many pages."""

    words: int
    scenes: int
    least: int
    most: int
    rate: Rate


def guess(draft: Draft, rate: Rate) -> Guess:
    """The range of a draft; a scene without a lettered word still takes a page at most."""
    by_scene = [
        sum(count_words(line.text) for line in scene.lines if line.lettered) for scene in draft.scenes if scene.lines
    ]
    most = sum(max(ceil(words / rate.few), 1) for words in by_scene)
    least = ceil(sum(by_scene) / rate.many)
    return Guess(sum(by_scene), len(by_scene), max(least, int(bool(by_scene))), max(most, least), rate)


def measured_rate(draft: Draft, name: str) -> Rate | None:
    """The words a page of a draft that has page marks: its middle half; None where hardly any page has words."""
    pages = {page.label: 0 for page in draft.pages if page.holds and not page.omitted}
    for line in draft.lines:
        if line.lettered and line.page in pages:
            pages[line.page] += count_words(line.text)
    counts = sorted(words for words in pages.values() if words)
    if len(counts) < 5:
        return None
    return Rate(_quantile(counts, 0.25), _quantile(counts, 0.75), f"measured on {len(counts)} pages of {name}")


def _quantile(ordered: Sequence[int], share: float) -> float:
    """Linear between the two nearest, as numpy.quantile does unasked."""
    at = share * (len(ordered) - 1)
    low = int(at)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (at - low) * (ordered[high] - ordered[low])
