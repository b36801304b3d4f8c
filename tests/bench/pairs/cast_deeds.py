"""What a writer does to characters: rename, exchange, pass a name on, let one take over another's lines."""

from __future__ import annotations

from collections import Counter

from tests.bench.pairs.revision import Revision

#: Lines a character must have on both sides before a new name can be believed.
LINES = 6


def _speakers(rev: Revision) -> list[int]:
    """Characters who say enough and whose names and lines are still their own, most talkative first."""
    said = Counter(row.who for row in rev.story.rows() if row.who >= 0)
    return [who for who, n in said.most_common() if n >= LINES and who not in rev.busy]


def _fresh_name(rev: Revision) -> str:
    return rev.chance.choice([name for name in rev.story.bank.people if name not in rev.story.names])


def rename(rev: Revision) -> None:
    """A character has another name throughout."""
    people = _speakers(rev)
    if people and len(rev.story.names) < len(rev.story.bank.people):
        who = rev.chance.choice(people)
        rev.note("rename", "name", name=rev.story.names[who])
        rev.story.names[who] = _fresh_name(rev)
        rev.busy.add(who)


def exchange(rev: Revision) -> None:
    """Two characters exchange their names."""
    people = _speakers(rev)
    if len(people) >= 2:
        a, b = rev.chance.sample(people, 2)
        names = rev.story.names
        for who in (a, b):
            rev.note("exchange names", "name", name=names[who])
        names[a], names[b] = names[b], names[a]
        rev.busy |= {a, b}


def pass_on(rev: Revision) -> None:
    """One gets a new name, another gets the old one."""
    people = _speakers(rev)
    if len(people) >= 2 and len(rev.story.names) < len(rev.story.bank.people):
        a, b = rev.chance.sample(people, 2)
        names = rev.story.names
        for who in (a, b):
            rev.note("pass name on", "name", name=names[who])
        names[a], names[b] = _fresh_name(rev), names[a]
        rev.busy |= {a, b}


def take_over(rev: Revision) -> None:
    """All or most of what one says goes to another who was there before: nobody is renamed."""
    said = Counter(row.who for row in rev.story.rows() if row.who >= 0)
    people = [who for who in said if who not in rev.busy]
    if len(people) < 3:
        return
    quiet = min(people, key=lambda who: (said[who], who))
    other = rev.chance.choice([who for who in people if who != quiet])
    whole = rev.chance.random() < 0.5
    taken = []
    for scene in rev.story.scenes:
        here = {row.text for row in scene.rows if row.who == other}
        for row in scene.rows:
            if row.who == quiet and row.text not in here and (whole or rev.chance.random() < 0.6):
                row.who = other
                taken.append(row.id)
    rev.busy |= {quiet, other}
    rev.note("take over", "row", taken)
