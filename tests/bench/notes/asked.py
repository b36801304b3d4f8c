"""Notes of every kind in every state, each with what is true of it."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from tests.bench.notes import drawn
from tests.bench.notes.fate import OPEN, Between, Fate, fate
from tests.bench.notes.moments import At

#: A place told by page, panel and title.
Spot = tuple[str, int, str] | None
#: What became of a note's place between two rounds (from 0; the last is now).
Became = Callable[[int, int], Fate]


@dataclass
class Note:
    """A note as it is typed, and the truth.

    `then` is its place on its own round, None where there is none; `now` what became of it. `standing` is what asks for
    a person, None where that can be seen either way; `beside` whether another reader's note is on the same spot, None
    where that can be seen either way.
    """

    kind: str
    state: str
    typed: str
    then: Spot
    now: Fate
    standing: frozenset[str] | None
    candidates: int = 0
    beside: bool | None = False
    row: int = 0
    quote: str = ""
    whole: bool = False
    waits: bool = False
    round: str = ""
    at: frozenset[str] = field(default_factory=frozenset)


UNPLACED = fate("unplaced", spots=[None])


@dataclass
class Book:
    """The rounds of a script, the last being your files now, and those of its pictures."""

    script: list[At]
    inks: list[drawn.Round]
    ways: dict[tuple[int, int], Between] = field(default_factory=dict)

    def way(self, a: int, b: int) -> Between:
        """From one round of the script to another."""
        if (a, b) not in self.ways:
            self.ways[a, b] = Between(self.script[a], self.script[b])
        return self.ways[a, b]

    @cached_property
    def undone(self) -> list[int]:
        """Rows that were said otherwise in a round between and say the first words again now."""
        first, *between, now = self.script
        return [
            each
            for each, at in now.rows.items()
            if each in first.rows and first.rows[each].said == at.said
            and any(each not in one.rows or one.rows[each].said != at.said for one in between)
        ]  # fmt: skip


def notes_on_script(book: Book, chance: random.Random, count: int) -> list[Note]:
    """Notes on script-1, every kind of place in turn."""
    made = [_KINDS[n % len(_KINDS)](book, chance) for n in range(count)]
    return [_stated(book, chance, each, "script", len(book.script)) for each in made if each]


def notes_on_inks(book: Book, chance: random.Random, count: int) -> list[Note]:
    """Notes on inks-1."""
    made = []
    for mark, typed in drawn.marks(chance, book.inks[0], count):
        became = _mark_became(book, mark)
        label = drawn.labels(book.inks[0])[mark.id]
        kind = "spot" if mark.spot else "drawn panel" if mark.panel else "drawn page"
        made.append(_Made(kind, typed, (label, 0 if mark.spot else mark.panel or 0, ""), became))
    return [_stated(book, chance, each, "inks", len(book.inks)) for each in made]


def _mark_became(book: Book, mark: drawn.Mark) -> Became:
    def became(a: int, b: int) -> Fate:
        if mark.id not in drawn.labels(book.inks[a]):
            return fate("cut", "untouched", "redrawn", spots=[None])
        return drawn.what_became(mark, book.inks[a : b + 1])

    return became


# -- places


@dataclass
class _Made:
    """A place: its kind, its anchor as typed, where it is on its own round, what becomes of it."""

    kind: str
    typed: str
    then: Spot
    became: Became | None = None
    candidates: int = 0
    row: int = 0
    quote: str = ""


def _row_with_words(book: Book, chance: random.Random) -> tuple[int, str]:
    """A row and three to six of its words in a row."""
    first = book.script[0]
    able = [each for each, at in first.rows.items() if len(at.words.split()) >= 3]
    undone = [each for each in book.undone if each in able]
    row = chance.choice(undone if undone and chance.random() < 0.2 else able)
    words = first.rows[row].words.split()
    size = min(len(words), chance.randint(3, 6))
    at = chance.randint(0, len(words) - size)
    return row, " ".join(words[at : at + size]).strip('.,:;!?"-')


def _phrase(book: Book, chance: random.Random, *, paged: bool) -> _Made | None:
    row, quote = _row_with_words(book, chance)
    if '"' in quote or "\u201c" in quote:
        return None
    stand = book.script[0].rows[row]
    places = book.script[0].holding(quote, stand.page if paged else None)
    typed = f'{f"p{stand.page} " if paged else ""}"{quote}"'
    if len(places) > 1 and len(book.script[0].holding(quote, stand.page if paged else None, signs=True)) == 1:
        return None  # By its signs alone it is one place, by its words several: either may be said.
    if len(places) != 1:
        return _Made("ambiguous phrase", typed, None, candidates=len(places))
    then = (stand.page, stand.panel, "")
    return _Made("phrase", typed, then, lambda a, b: book.way(a, b).phrase(row, quote), row=row, quote=quote)


def _gag(book: Book, chance: random.Random) -> _Made | None:
    """A running gag, which stands in several scenes."""
    first = book.script[0]
    said = [text for _, text in first.story.gags if len(first.holding(text)) > 1 and '"' not in text]
    if not said:
        return None
    quote = chance.choice(said).strip(".,!?")
    return _Made("ambiguous phrase", f'"{quote}"', None, candidates=len(first.holding(quote)))


def _panel(book: Book, chance: random.Random) -> _Made:
    first = book.script[0]
    stand = first.rows[chance.choice(list(first.rows))]
    rows = first.panel(stand.page, stand.panel)
    became = _area(book, rows, panel=True)
    return _Made("panel", f"p{stand.page}.{stand.panel}", (stand.page, stand.panel, ""), became)


def _page(book: Book, chance: random.Random) -> _Made:
    first = book.script[0]
    page = first.rows[chance.choice(list(first.rows))].page
    return _Made("page", f"p{page}", (page, 0, ""), _area(book, first.page(page), panel=False))


def _area(book: Book, rows: list[int], *, panel: bool) -> Became:
    def became(a: int, b: int) -> Fate:
        there = [row for row in rows if row in book.script[a].rows]
        return book.way(a, b).area(there, panel=panel) if a == 0 else _later(book, there, a, b, panel=panel)

    return became


def _later(book: Book, rows: list[int], a: int, b: int, *, panel: bool) -> Fate:
    """The same from a later round: the area is where most words of its rows stand there, if that can be told."""
    at = book.script[a]
    words: Counter[tuple[str, int]] = Counter()
    for row in rows:
        words[at.rows[row].page, at.rows[row].panel if panel else 0] += len(at.rows[row].words.split())
    best = words.most_common(2)
    if not best or (len(best) > 1 and best[1][1] * 2 >= best[0][1]):
        return fate("cut", "reworded", "untouched", spots=[None])
    page, number = best[0][0]
    return book.way(a, b).area(at.panel(page, number) if panel else at.page(page), panel=panel)


def _scene(book: Book, chance: random.Random) -> _Made | None:
    first = book.script[0]
    number = chance.randrange(len(first.scenes))
    title = first.typed.titles[number]
    if not title or '"' in title:
        return None
    twins = [n for n, other in enumerate(first.typed.titles) if other.lower() == title.lower()]
    if len(twins) > 1:
        return _Made("ambiguous scene", f'scene "{title}"', None, candidates=len(twins))
    rows = first.scene(number)
    head = first.rows[rows[0]]
    then = (head.page, head.panel, title)

    def became(a: int, b: int) -> Fate:
        if a == 0:
            return book.way(a, b).scene(rows)
        homes = {book.script[a].rows[row].scene for row in rows if row in book.script[a].rows}
        there = book.script[a].scene(homes.pop()) if len(homes) == 1 else []
        others = [row for row in there if row in first.rows and row not in rows]
        return book.way(a, b).scene(there) if there and not others else OPEN

    return _Made("scene", f'scene "{title}"', then, became)


def _chapter(book: Book, chance: random.Random) -> _Made:
    first = book.script[0]
    number = chance.randrange(len(first.story.chapters))
    rows = [row for row, at in first.rows.items() if at.chapter == number]
    return _Made("chapter", f"ch {number + 1}", ("", 0, ""), lambda a, b: book.way(a, b).chapter(rows))


def _whole(book: Book, chance: random.Random) -> _Made:
    return _Made("book", "", None, lambda a, b: fate("untouched", spots=[None]))


def _nowhere(book: Book, chance: random.Random) -> _Made:
    typed = chance.choice([f"p{len(book.script[0].rows) + 40}", '"such words were never written"', "ch 99", "p1.88"])
    return _Made("nowhere", typed, None)


_KINDS: tuple[Callable[[Book, random.Random], _Made | None], ...] = (
    lambda b, c: _phrase(b, c, paged=False), _panel, lambda b, c: _phrase(b, c, paged=True), _page, _scene, _panel,
    lambda b, c: _phrase(b, c, paged=False), _gag, _scene, _panel, lambda b, c: _phrase(b, c, paged=False), _page,
    _whole, _nowhere, _chapter,
)  # fmt: skip


# -- states


def _stated(book: Book, chance: random.Random, made: _Made, pass_name: str, rounds: int) -> Note:
    """The place with words, a state and replies, and what then asks for a person."""
    state, replies, standing = _state(chance, made, pass_name, rounds - 1)
    tick = "x" if state in ("done", "stet", "declined") else " "
    anchor = f"({made.typed}) " if made.typed else ""
    typed = "\n".join([f"- [{tick}] NUMBER {anchor}Hm.", *(f"  - {reply}" for reply in replies)])
    now = made.became(0, rounds - 1) if made.became else UNPLACED
    waits = state in ("open", "query")
    return Note(made.kind, state, typed, made.then, now, standing, made.candidates, row=made.row, quote=made.quote,
                whole=made.kind == "book", waits=waits)  # fmt: skip


def _state(
    chance: random.Random, made: _Made, pass_name: str, now: int
) -> tuple[str, list[str], frozenset[str] | None]:
    """State, replies, and what asks for a person, which follows from what became of the place round by round."""
    which = chance.choice(["open", "open", "answered", "query", "done", "done", "done in", "stet", "stet", "stet in",
                           "declined", "carried", "seen open", "seen done", "seen stet"])  # fmt: skip
    named = chance.randint(2, now)
    name = f"{pass_name}-{named}"

    def touched(a: int, b: int) -> bool | None:
        return made.became(a, b).touched if made.became else False

    placed = made.became is not None and made.kind != "book"
    since = [touched(0, n) for n in range(1, now)]
    changed = touched(0, now)
    again = touched(named - 1, now)
    opened, stood = (_if(placed, changed, f"{each}-but-changed") for each in ("open", "stet"))
    done = _done(placed, changed, since)
    seen = f"seen in {name}: fine"
    found: dict[str, tuple[str, list[str], frozenset[str] | None]] = {
        "query": ("query", ["query: why?"], frozenset({"query-unanswered"})),
        "declined": ("declined", ["declined: no"], frozenset()),
        "carried": ("carried", ["carried to letters: later"], frozenset()),
        "open": ("open", [], opened),
        "answered": ("open", ["query: why?", "answer: because"], opened),
        "done": ("done", [], done),
        "done in": ("done", [f"done in {name}: so"], _done(placed, changed, [touched(0, named - 1)])),
        "stet": ("stet", ["stet: it stays"], stood),
        "stet in": ("stet", [f"stet in {name}: it stays"], _if(placed, again, "stet-but-changed")),
        "seen open": ("open", [seen], _rested(opened, again)),
        "seen done": ("done", ["done: so", seen], _rested(done, again)),
        "seen stet": ("stet", ["stet: it stays", seen], _rested(stood, again)),
    }
    return found[which]


def _if(placed: bool, changed: bool | None, word: str) -> frozenset[str] | None:
    if not placed:
        return frozenset()
    return None if changed is None else frozenset({word} if changed else ())


def _done(placed: bool, changed: bool | None, since: list[bool | None]) -> frozenset[str] | None:
    if not placed:
        return frozenset()
    if changed is None or (not changed and None in since and True not in since):
        return None
    if changed:
        return frozenset()
    return frozenset({"done-then-undone" if True in since else "done-but-untouched"})


def _rested(standing: frozenset[str] | None, again: bool | None) -> frozenset[str] | None:
    """What somebody has seen rests, until the place changes again."""
    if standing == frozenset() or again is False:
        return frozenset()
    return None if again is None else standing
