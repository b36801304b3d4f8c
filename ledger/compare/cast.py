"""Who was renamed, who came and who went. Renames come first: they hide everything else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from operator import itemgetter, ne

from ledger.model.change import CastChange
from ledger.model.script import Draft, Line

#: A character is renamed when this share of the lines found again on both sides changed to the new name.
THROUGHOUT = 0.8
#: The lines found again must be this share of what the quieter of the two says.
ENOUGH = 0.25
#: A name that was somebody else's before needs more than one line as evidence.
EXCHANGED = 2
_MOUTH = itemgetter(Line._fields.index("speaker"))
_WORDS_AND_MOUTH = itemgetter(Line._fields.index("text"), Line._fields.index("speaker"))
EVERYBODY = frozenset({"ALL", "EVERYBODY", "BOTH"})


def names_of(speaker: str) -> list[str]:
    """The names in a speaker ("Wren & Tomas" are two); nobody for ALL."""
    return [name for name in speaker.split(" & ") if name and name not in EVERYBODY]


def _cast(draft: Draft) -> dict[str, int]:
    cast: dict[str, int] = {}
    for speaker, times in Counter(map(_MOUTH, draft.lines)).items():
        for name in names_of(speaker):
            cast[name] = cast.get(name, 0) + times
    return cast


def _other_mouths(old: Sequence[Line], new: Sequence[Line]) -> bool:
    """Whether any words may have gone to another mouth; without such words nobody was renamed."""
    said, says = (dict(map(_WORDS_AND_MOUTH, filter(_MOUTH, lines))) for lines in (old, new))
    return any(map(ne, said.values(), map(says.get, said, said.values())))


def _said_alone(lines: Iterable[Line]) -> tuple[dict[str, str], Mapping[str, int]]:
    """Words only one name says in a draft, as they are typed -> the name; and how often those that are said again."""
    spoken = [(text, speaker) for _, _, _, role, speaker, text, *_ in lines if speaker and role != "action"]
    by = dict(spoken)
    if len(by) == len(spoken):
        return by, {}
    for text, speaker in spoken:
        if by[text] != speaker:
            by[text] = ""
    return by, {text: times for text, times in Counter([text for text, _ in spoken]).items() if times > 1}


def renames_by_words(old: Draft, new: Draft, known: Mapping[str, str]) -> dict[str, str]:
    """Characters renamed throughout (old name -> new name), by what one name alone says in either draft.

    `known` are renames the caller can vouch for; they come first.
    """
    before, after = _cast(old), _cast(new)
    vouched = {a: b for a, b in known.items() if a in before and b in after and a != b}
    if not _other_mouths(old.lines, new.lines):
        return vouched
    (said, times), (says, times_now) = _said_alone(old.lines), _said_alone(new.lines)
    mouths = Counter([(name, says[words]) for words, name in said.items() if words in says])
    for words in times.keys() & times_now.keys():
        mouths[said[words], says[words]] += min(times[words], times_now[words]) - 1
    meet: Counter[tuple[str, str]] = Counter()
    for (name, other), count in mouths.items():
        for pair in _one_by_one(name, other):
            meet[pair] += count
    return vouched | _renames(meet, before, after, vouched)


def renames_by_lines(
    old: Draft, new: Draft, pairs: Iterable[tuple[Line, Line]], found: Mapping[str, str]
) -> dict[str, str]:
    """The same by lines that were paired, reworded ones too, where the words alone did not show it."""
    meet = Counter(pair for a, b in pairs if a.lettered for pair in _one_by_one(a.speaker, b.speaker))
    return dict(found) | _renames(meet, _cast(old), _cast(new), found)


def compare_cast(old: Draft, new: Draft, renamed: Mapping[str, str]) -> CastChange:
    """Who was renamed, who speaks for the first time, who does not speak any more; by name."""
    before, after = _cast(old), _cast(new)
    return CastChange(
        tuple(sorted(renamed.items())),
        tuple(sorted(name for name in after if name not in before and name not in renamed.values())),
        tuple(sorted(name for name in before if name not in after and name not in renamed)),
    )


def _renames(
    meet: Counter[tuple[str, str]], before: Mapping[str, int], after: Mapping[str, int], taken: Mapping[str, str]
) -> dict[str, str]:
    meet = Counter({(a, b): n for (a, b), n in meet.items() if a not in taken and b not in taken.values()})
    of_old, of_new = _sums(meet, 0), _sums(meet, 1)
    found = {
        a: b for (a, b), n in meet.items() if a != b and n >= THROUGHOUT * of_old[a] and n >= THROUGHOUT * of_new[b]
    }
    return _consistent(found, meet, before, after)


def _one_by_one(speaker: str, other: str) -> list[tuple[str, str]]:
    """The names of two speakers side by side; several at once only where they are as many."""
    names, others = names_of(speaker), names_of(other)
    return list(zip(names, others, strict=True)) if len(names) == len(others) else []


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
