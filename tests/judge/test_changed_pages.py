"""A script set side by side on its changed pages alone says what the whole one says, word for word and in order."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.judge.agreed.baseline import _of_scopes
from ledger.judge.pairing.changed_pages import on_changed_pages
from ledger.judge.pairing.collation import Collation, collate
from ledger.judge.pairing.people import name_in
from ledger.judge.pairing.script_pages import in_pages
from ledger.model.book import Person
from ledger.read.script import read_script

CAST = (Person("W", "Wren"), Person("T", "Tomas Arde", ("Tom", "TOMAS")), Person("M", "Mara"))
#: Sounds as much like another person's name as a cast lets it: then names are looked at line by line.
UNSURE = (*CAST, Person("B", "tom"))
SCOPES = (("structure",), ("structure", "drawing"), ("wording",), ("structure", "wording"))

Files = tuple[tuple[str, bytes], ...]
Page = list[str]

SAID = [
    "W: You said the map was here.", "T: It was, I swear. {whisper}", "M: Ask the tide, the tide knows.",
    "W: Then who took it?", "T: Nobody took it.", "M: The sea did.", "CAP: Three hours to high water.", "SFX: KRRK",
    "W: No.", "T: No.", "W & T: Run!", "CAP (Wren): I should have stayed.", "TOM: It was, I swear.",
    "W: You said the map was here, all of it.", "M: You said the map was here.", "B: Hush.", "tom: Hush now, Wren.",
]  # fmt: skip
SHOWN = ["Wren shoulders the door open.", "The lamp goes out.", "The water rises.", "Rain."]
MARKS = ["[panel]", "[panel 1]", "[panel 2]"]
PLAIN = [*SAID, *SAID, *SHOWN, *MARKS, "", ""]
ODD = [
    "## The long pier", "## The office", "# Two", "- a list", "1. a beat", "> quoted", "---", "***", "WREN", "Wren",
    "(aside) W: So?", "*W:* No.", "[reveal]", "[note]", "[note]: here", "Panel 2", "PANEL TWO", "<!-- why? -->",
    "It is so \\", "\u201cSo it is.\u201d", "W:No.", "W:", "12: no", "PAGE TWO", "[page 2]", "[omitted]",
    "===", "\u00a0W: No.", "W: No. ", "N: Who is that?", "Nora: Who is that?", "### Lower", "W: one: two", "Wren: No.",
    "T\u200b: no",
]  # fmt: skip


def typed(pages: Sequence[Page], fronts: Sequence[Page], breaks: Sequence[int], tight: Sequence[bool]) -> Files:
    """Pages as the text of a file or several: `breaks` are the pages with which another one begins."""
    texts: list[list[str]] = [[*fronts[0], ""]]
    for number, page in enumerate(pages, 1):
        if number - 1 in breaks:
            texts.append([*fronts[1 + sorted(breaks).index(number - 1)], ""])
        texts[-1] += [f"[page {number}]", ""]
        for line in page:
            texts[-1] += [line] if tight[number % len(tight)] else [line, ""]
        texts[-1] += [""]
    return tuple((f"script/{n:02d}.md", "\n".join(text).encode()) for n, text in enumerate(texts, 1))


def differences(collation: Collation) -> list[object]:
    """What the rules say of a collation, under every scope, and the labels of its pages."""
    labels = sorted(collation.labels, key=str)
    return [*(tuple(_of_scopes(collation, scopes, 0.15)) for scopes in SCOPES), labels]


def told(old: Files, new: Files, cast: Sequence[Person]) -> bool:
    """Whether the changed pages alone can tell; what they tell is held against the whole."""
    before, after = in_pages(old, cast), in_pages(new, cast)
    found = on_changed_pages(before, after, cast) if before and after else None
    if found is None:
        return False
    whole = collate(read_script(old, cast), read_script(new, cast), name_in(cast))
    labels = [pair for pair in whole.labels if pair != (None, None)]
    assert differences(found) == differences(whole._replace(labels=frozenset(labels)))
    return True


def one_edit(pages: Sequence[Page], dice: random.Random, lines: Sequence[str]) -> None:
    """One of the edits that a script sees."""
    page, other = dice.choice(pages), dice.choice(pages)
    at = dice.randrange(len(page) or 1)
    deeds = [
        lambda: page.insert(at, dice.choice(lines)),
        lambda: page.insert(at, "<!-- mind the tide -->"),
        lambda: page.pop(at),
        lambda: page.__setitem__(at, dice.choice(lines)),
        lambda: page.__setitem__(at, page[at] + dice.choice((" Now.", " and it is not so, nor was it ever", "!"))),
        lambda: page.__setitem__(at, f"{dice.choice('WTMB')}: {page[at].partition(': ')[2]}"),
        lambda: other.insert(dice.randrange(len(other) + 1), page.pop(at)),
        lambda: dice.shuffle(page),
        lambda: (page.append(dice.choice(other or [""])), other.insert(0, dice.choice(page))),
    ]
    panels = [n for n, line in enumerate(page) if line.startswith("[panel")]
    if len(panels) > 1 and dice.random() < 0.3:
        # A panel goes elsewhere with all that is in it.
        first, last = panels[0], panels[1]
        moved = page[first:last]
        del page[first:last]
        other[len(other) :] = moved
        return
    dice.choice(deeds if page else deeds[:2])()


def edited(pages: Sequence[Page], dice: random.Random, lines: Sequence[str]) -> list[Page]:
    """The pages after a few edits."""
    new = [list(page) for page in pages]
    for _ in range(dice.choice((1, 1, 2, 3, 5, 8))):
        one_edit(new, dice, lines)
    if dice.random() < 0.1:
        dice.shuffle(new)
    return new


@pytest.mark.parametrize("seed", range(12))
def test_changed_pages_say_what_the_whole_says(seed: int) -> None:
    dice, times, ways = random.Random(seed), 250, 0
    for _ in range(times):
        lines = PLAIN if dice.random() < 0.8 else [*PLAIN, *ODD]
        count, long = dice.randint(1, 9), dice.choice((4, 8, 12, 16))
        pages = [[f"W: This is step {n}.", *dice.choices(lines, k=dice.randint(0, long))] for n in range(count)]
        pages = [page if dice.random() < 0.9 else [] for page in pages]
        breaks = sorted(set(dice.choices(range(count), k=dice.choice((0, 0, 1, 2)))))
        fronts = [dice.choice((["# One", "", "## Harbour"], ["# One"], [], ["Wren waits."])) for _ in range(4)]
        tight = [dice.random() < 0.3 for _ in range(3)]
        cast = dice.choice((CAST, CAST, CAST, (), UNSURE))
        new = edited(pages, dice, lines)
        ways += told(typed(pages, fronts, breaks, tight), typed(new, fronts, breaks, tight), cast)
    assert times // 8 < ways < times


LINES = st.sampled_from([*PLAIN, *ODD])


@settings(max_examples=400, deadline=None)
@given(st.lists(st.lists(LINES, max_size=7), min_size=1, max_size=5), st.randoms(use_true_random=False),
       st.sets(st.integers(0, 4), max_size=2), st.lists(st.booleans(), min_size=1, max_size=3),
       st.sampled_from([CAST, (), UNSURE]))  # fmt: skip
def test_any_lines_at_all(
    pages: list[Page], dice: random.Random, breaks: set[int], tight: list[bool], cast: Sequence[Person]
) -> None:
    within = [at for at in breaks if at < len(pages)]
    fronts = [["# One", "", "## Harbour"], ["## Pier"], []]
    told(typed(pages, fronts, within, tight), typed(edited(pages, dice, [*PLAIN, *ODD]), fronts, within, tight), cast)


@settings(max_examples=600, deadline=None)
@given(
    st.lists(st.lists(LINES, max_size=8), min_size=1, max_size=4),
    st.sets(st.integers(0, 3), max_size=2),
    st.lists(st.booleans(), min_size=1, max_size=3),
    st.sampled_from([CAST, (), UNSURE]),
    st.lists(LINES, max_size=3),
)
def test_a_script_is_its_pages(
    pages: list[Page], breaks: set[int], tight: list[bool], cast: Sequence[Person], front: Page
) -> None:
    within = [at for at in breaks if at < len(pages)]
    files = typed(pages, [front, ["## Pier"], []], within, tight)
    apart = in_pages(files, cast)
    if apart is None:
        return
    draft = read_script(files, cast)
    lines, shown = [], []
    for one, scenes in zip(apart.files, apart.scenes, strict=True):
        lines += one.front.leaf.lines
        for text, place in one.pages:
            leaf = text.leaf.at(place.first, place.scene + scenes)
            lines += leaf.lines
            shown.append(leaf.page)
    assert tuple(lines) == draft.lines
    assert tuple(shown) == draft.pages
    assert apart.titles == tuple(scene.title for scene in draft.scenes)
    assert not any(scene.omitted for scene in draft.scenes)
