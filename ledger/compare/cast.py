"""Who was renamed, who came and who went. Renames come first: they hide everything else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from ledger.model.change import CastChange
from ledger.model.script import Draft, Line
from ledger.model.words import normalise

#: A character is renamed when this share of the lines found again on both sides changed to the new name.
THROUGHOUT = 0.8
#: The lines found again must be this share of what the quieter of the two says.
ENOUGH = 0.25
#: A name that was somebody else's before needs more than one line as evidence.
EXCHANGED = 2
EVERYBODY = frozenset({"ALL", "EVERYBODY", "BOTH"})


def names_of(speaker: str) -> list[str]:
    """The names in a speaker ("Wren & Tomas" are two); nobody for ALL."""
    return [name for name in speaker.split(" & ") if name and name not in EVERYBODY]


def _cast(draft: Draft) -> dict[str, int]:
    cast: dict[str, int] = {}
    for line in draft.lines:
        for name in names_of(line.speaker):
            cast[name] = cast.get(name, 0) + 1
    return cast


def _said_once(lines: Iterable[Line]) -> dict[tuple[str, int], str]:
    """What one name alone says, the n-th time these words stand in the draft -> the name."""
    said: dict[tuple[str, int], str] = {}
    times: Counter[str] = Counter()
    for line in lines:
        if line.speaker and line.lettered:
            words = normalise(line.text)
            said[words, times[words]] = line.speaker
            times[words] += 1
    return {(words, n): name for (words, n), name in said.items() if times[words] == 1}


def compare_cast(old: Draft, new: Draft, known: Mapping[str, str]) -> CastChange:
    """Sets the casts of two drafts against each other.

    `known` are renames the caller can vouch for (old name -> new name).
    """
    before, after = _cast(old), _cast(new)
    renamed = {a: b for a, b in known.items() if a in before and b in after and a != b}
    if list(before) != list(after) or _mouths(old) != _mouths(new):
        renamed.update(_renames(old, new, renamed))
    return CastChange(
        tuple(sorted(renamed.items())),
        tuple(sorted(name for name in after if name not in before and name not in renamed.values())),
        tuple(sorted(name for name in before if name not in after and name not in renamed)),
    )


def _mouths(draft: Draft) -> list[tuple[str, str]]:
    return [(line.speaker, line.text) for line in draft.lines if line.speaker]


def _renames(old: Draft, new: Draft, taken: Mapping[str, str]) -> dict[str, str]:
    said, says = _said_once(old.lines), _said_once(new.lines)
    meet = Counter((said[words], says[words]) for words in said if words in says)
    meet = Counter({pair: n for pair, n in meet.items() if _may_be_one(pair, taken)})
    of_old, of_new = _sums(meet, 0), _sums(meet, 1)
    found = {
        a: b for (a, b), n in meet.items() if a != b and n >= THROUGHOUT * of_old[a] and n >= THROUGHOUT * of_new[b]
    }
    before, after = _cast(old), _cast(new)
    return _consistent(found, meet, before, after)


def _may_be_one(pair: tuple[str, str], taken: Mapping[str, str]) -> bool:
    a, b = pair
    return " & " not in a and " & " not in b and a not in taken and b not in taken.values()


def _sums(meet: Mapping[tuple[str, str], int], side: int) -> Counter[str]:
    sums: Counter[str] = Counter()
    for pair, n in meet.items():
        sums[pair[side]] += n
    return sums


def _consistent(
    found: dict[str, str], meet: Mapping[tuple[str, str], int], before: Mapping[str, int], after: Mapping[str, int]
) -> dict[str, str]:
    """Leaves out what rests on too little, and a rename into or out of a name that somebody kept."""

    def holds(a: str, b: str) -> bool:
        fresh = b not in before and a not in after
        closed = (b not in before or b in found) and (a not in after or a in found.values())
        enough = meet[a, b] >= ENOUGH * min(before[a], after[b])
        return closed and enough and (fresh or meet[a, b] >= EXCHANGED)

    while wrong := [a for a, b in found.items() if not holds(a, b)]:
        for name in wrong:
            del found[name]
    return found
