"""How long the comparison of long drafts takes: as a process, against an empty Python and git's own word diff.

Every figure is of the whole command `inkledger compare old.md new.md --json`, start and end of the process included.
"""

from __future__ import annotations

import random
import resource
import statistics
import sys
import tempfile
from pathlib import Path

from tests.bench.pairs.generate import make_pair
from tests.bench.ratio import UNIT, run, within

#: Words of the long draft; a script of a graphic novel has about as many.
WORDS = 21_000
#: Words of the longest one; four sizes show how the time grows.
MOST_WORDS = 197_000
SIZES = (WORDS, 50_000, 100_000, MOST_WORDS)
#: Scenes of the pairs that went through a hard round of work (tests/bench/pairs): about as many words.
SCENES = {WORDS: 90, MOST_WORDS: 840}
#: The limits: units of `python -c pass` and MiB for the long draft, times of git's word diff and MiB for the longest.
UNITS, MEMORY, TIMES_GIT, MOST_MEMORY = 12.0, 90.0, 10.0, 250.0
#: Seconds that a draft may take on which a careless method takes for ever.
HOSTILE_SECONDS = 10.0
COMPARE = [sys.executable, "-m", "ledger", "compare", "old.md", "new.md", "--json"]
GIT = ["git", "diff", "--no-index", "--word-diff=porcelain", "--no-color", "old.md", "new.md"]

_THINGS = ["tide", "lamp", "rope", "bell", "gull", "salt", "oar", "quay", "fog", "net", "eel", "mast", "chart", "bar",
           "coat", "drawer", "ferry", "herring", "ladder", "wick", "stair", "harbour", "lantern", "kettle"]  # fmt: skip
_DEEDS = ["took", "left", "kept", "broke", "carried", "found", "hid", "counted", "mended", "burned", "heard", "drew"]
_PEOPLE = ["W", "T", "O", "K"]


def sentence(chance: random.Random) -> str:
    """A sentence of our own, of seven to sixteen words."""
    parts = [
        f"the {chance.choice(_THINGS)} {chance.choice(_DEEDS)} {chance.choice(_THINGS)} number {chance.randrange(999)}"
    ]
    parts += [f"and {chance.choice(_DEEDS)} a {chance.choice(_THINGS)}" for _ in range(chance.randrange(3))]
    return " ".join(parts).capitalize() + "."


def long_draft(words: int = WORDS, seed: int = 7) -> list[list[str]]:
    """A draft as scenes, each a list of paragraphs, the first one its heading."""
    chance = random.Random(seed)
    scenes: list[list[str]] = []
    count = page = 0
    while count < words:
        scene = [f"## {chance.choice(_THINGS)} and {chance.choice(_THINGS)}, {len(scenes)}"]
        for _ in range(chance.randrange(12, 40)):
            page += 1
            scene += [f"[page {page}]"] if chance.random() < 0.12 or page == 1 else []
            page -= scene[-1] != f"[page {page}]"
            said = sentence(chance)
            count += len(said.split())
            scene.append(said if chance.random() < 0.3 else f"{chance.choice(_PEOPLE)}: {said}")
        scenes.append(scene)
    return scenes


def revised(scenes: list[list[str]], seed: int = 8) -> list[list[str]]:
    """What a round of work makes of it: lines reworded, cut and written, scenes cut, joined and moved."""
    chance = random.Random(seed)
    new = [
        [_reworded(row, chance) for row in scene if chance.random() > 0.03 or row.startswith(("#", "["))]
        for scene in scenes
    ]
    for _ in range(3):
        new.insert(chance.randrange(len(new)), new.pop(chance.randrange(len(new))))
        new.pop(chance.randrange(len(new)))
        at = chance.randrange(len(new) - 1)
        new[at] += new.pop(at + 1)[1:]
    return new


def _reworded(row: str, chance: random.Random) -> str:
    if row.startswith(("#", "[")) or chance.random() > 0.2:
        return row
    words = row.split()
    words[chance.randrange(1, len(words))] = chance.choice(_THINGS)
    return " ".join(words)


def text(scenes: list[list[str]]) -> str:
    """The draft as a file."""
    return "\n\n".join(row for scene in scenes for row in scene) + "\n"


def pasted(scenes: list[list[str]]) -> tuple[str, str]:
    """A chapter pasted fifty times, and once more with a word changed in each copy."""
    chapter = scenes[:6]
    other = [[*chapter[0], "W: Not this again."], *chapter[1:]]
    return text(chapter * 50), text([scene for n in range(50) for scene in (other if n % 7 == 3 else chapter)])


def one_line(scenes: list[list[str]]) -> tuple[str, str]:
    """A megabyte on one line, and the same with words changed throughout."""
    rows = [row.partition(": ")[2] for scene in scenes for row in scene if ": " in row]
    chance = random.Random(9)
    old = " ".join(rows * (1_000_000 // sum(len(row) + 1 for row in rows) + 1))
    new = " ".join(chance.choice(_THINGS) if chance.random() < 0.1 else word for word in old.split())
    return f"W: {old}\n", f"W: {new}\n"


def one_word_lines(_: list[list[str]]) -> tuple[str, str]:
    """A hundred thousand lines of one word each, of a few dozen words, and the same with a tenth of them changed."""
    chance = random.Random(10)
    old = [chance.choice(_THINGS) for _ in range(100_000)]
    new = [chance.choice(_THINGS) if chance.random() < 0.1 else word for word in old]
    return "\n\n".join(old) + "\n", "\n\n".join(new) + "\n"


def one_title(_: list[list[str]]) -> tuple[str, str]:
    """Ten thousand scenes under one title, a fifth of them changed, one cut and some in another order."""
    chance = random.Random(11)
    old = [["## Night", *(f"W: {sentence(chance)}" for _ in range(4))] for _ in range(10_000)]
    new = [[*scene[:-1], f"W: {sentence(chance)}"] if chance.random() < 0.2 else scene for scene in old]
    del new[300]
    new[4000:4050] = reversed(new[4000:4050])
    return text(old), text(new)


def a_million_words(_: list[list[str]]) -> tuple[str, str]:
    """A draft of a million words that went through a light round."""
    scenes = long_draft(1_000_000)
    return text(scenes), text(revised(scenes))


HOSTILE = {
    "a chapter pasted 50 times": pasted,
    "one line of a megabyte": one_line,
    "100,000 lines of one word": one_word_lines,
    "10,000 scenes under one title": one_title,
    "a million words": a_million_words,
}


def _typed(place: Path, old: str, new: str) -> None:
    (place / "old.md").write_text(old, "utf-8")
    (place / "new.md").write_text(new, "utf-8")


def compare_drafts(times: int) -> None:
    """Four sizes in units, the longest against git, memory; two much revised; then the drafts that are hostile."""
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        for words in SIZES:
            scenes = long_draft(words)
            _typed(place, text(scenes), text(revised(scenes)))
            _size(place, f"{words:,} words", words, max(times * WORDS // words, 3))
        for words, many in SCENES.items():
            pair = make_pair(20_001, many, "hard")
            _typed(place, pair.old, pair.new)
            _size(place, f"{words:,} words much revised", words, max(times * WORDS // words, 3))
        for said, made in HOSTILE.items():
            _typed(place, *made(long_draft()))
            one = run(COMPARE, place, most=int(2 * HOSTILE_SECONDS))
            print(f"compare, {said}: {within(one.seconds, HOSTILE_SECONDS, 's')}, {one.mebibytes:.0f} MiB")


def _size(place: Path, said: str, words: int, times: int) -> None:
    """One pair: all runs interleaved; medians of the time on the clock, then the least time of the processor."""
    commands = {"unit": UNIT, "git": GIT, "ours": COMPARE}
    clock: dict[str, list[float]] = {name: [] for name in commands}
    worked: dict[str, list[float]] = {name: [] for name in commands}
    held = 0.0
    for _ in range(times):
        for name, command in commands.items():
            before = _processor()
            one = run(command, place)
            clock[name].append(one.seconds)
            worked[name].append(_processor() - before)
        held = max(held, one.mebibytes)
    base, against, took = (statistics.median(runs) for runs in clock.values())
    units, of_git, memory = f"{took / base:.1f} x python -c pass", f"{took / against:.1f} x git diff", f"{held:.0f} MiB"
    if words == WORDS:
        units, memory = within(took / base, UNITS, "x python -c pass"), within(held, MEMORY, "MiB")
    if words == MOST_WORDS:
        of_git, memory = within(took / against, TIMES_GIT, "x git diff"), within(held, MOST_MEMORY, "MiB")
    each = (took / base - 1) * 10_000 / words
    print(f"compare, {said}: {units}, {of_git}, {memory}; {each:.1f} units for 10,000 words")
    base, against, took = map(min, worked.values())
    print(f"  by the processor, least of {times}: {took / base:.1f} x python -c pass, {took / against:.1f} x git diff")


def _processor() -> float:
    """Seconds of processor time that the processes started so far have used."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    compare_drafts(7 if "--slice" in sys.argv else 25)
