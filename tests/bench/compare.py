"""How long the comparison of a long draft takes: as a process, against an empty Python and git's own word diff."""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from tests.bench.ratio import ratios

#: Words of the long draft; a script of a graphic novel has about as many.
WORDS = 21_000

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


def compare_drafts(times: int) -> None:
    """Two drafts of 21,000 words as a process."""
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        scenes = long_draft()
        (place / "old.md").write_text(text(scenes), "utf-8")
        (place / "new.md").write_text(text(revised(scenes)), "utf-8")
        took = ratios(
            {
                "compare": [sys.executable, "-m", "ledger", "compare", "old.md", "new.md", "--json"],
                "git": ["git", "diff", "--no-index", "--word-diff", "--no-color", "old.md", "new.md"],
            },
            cwd=place,
            times=times,
        )
    print(
        f"compare, 21,000 words: {took['compare']:.1f} x python -c pass, {took['compare'] / took['git']:.1f} x git diff"
    )
