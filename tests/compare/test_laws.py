"""Laws that hold for any two drafts."""

from __future__ import annotations

from collections import Counter
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from ledger.compare import compare_drafts
from ledger.model.change import DraftChange, LineChange
from ledger.model.script import Draft
from tests.compare.said import said
from tests.compare.typed import typed

WORDS = ["tide", "lamp", "rope", "bell", "gull", "salt", "oar", "quay", "fog", "net", "eel", "mast"]
NAMES = ["WREN", "TOMAS", "ORLA", "KESH"]

#: Rows of a script as a person types them; numbers are left to the reader.
words = st.lists(st.sampled_from(WORDS), min_size=1, max_size=9).map(" ".join)
saying = st.builds("{}: {}".format, st.sampled_from([*NAMES, "CAP", "SFX", "WREN & ORLA"]), words)
action = words.map(lambda said: said.capitalize() + ".")
heading = st.builds("{} {}".format, st.sampled_from(["#", "##", "##", "##"]), st.sampled_from(WORDS))
mark = st.sampled_from(["[page]", "[panel]", "[panel]"])
rows = st.lists(st.one_of(saying, saying, saying, action, heading, mark), max_size=40)


@st.composite
def two_drafts(draw: st.DrawFn) -> tuple[list[str], list[str]]:
    """A draft and what a busy writer made of it: rows cut, put in, swapped, a block carried elsewhere."""
    old = draw(rows)
    new = list(old)
    for _ in range(draw(st.integers(0, 6))):
        at = draw(st.integers(0, max(0, len(new) - 1)))
        deed = draw(st.sampled_from(["cut", "put in", "carry", "reword"]))
        if deed == "put in":
            new[at:at] = draw(rows)[:4]
        elif deed == "cut":
            del new[at : at + draw(st.integers(1, 4))]
        elif deed == "carry":
            block = new[at : at + draw(st.integers(1, 12))]
            del new[at : at + len(block)]
            there = draw(st.integers(0, len(new)))
            new[there:there] = block
        elif new:
            new[at] = new[at].replace("tide", "ebb").replace("lamp", "lantern")
    return old, new


def draft(rows: list[str]) -> Draft:
    return typed("\n\n".join(rows))


def lines(change: DraftChange) -> list[LineChange]:
    return [line for scene in change.scenes for line in scene.lines]


@given(rows)
def test_a_draft_against_itself_says_nothing(old: list[str]) -> None:
    one = draft(old)
    change = compare_drafts(one, one)
    assert said(change) == []
    assert all(line.kind == "same" for line in lines(change))
    assert len(change.scenes) == len(one.scenes)


@given(two_drafts())
@settings(max_examples=200)
def test_every_line_stands_in_the_answer_once(pair: tuple[list[str], list[str]]) -> None:
    old, new = map(draft, pair)
    found = lines(compare_drafts(old, new))
    assert sorted(line.old.line for line in found if line.old) == [line.line for line in old.lines]
    assert sorted(line.new.line for line in found if line.new) == [line.line for line in new.lines]


@given(two_drafts())
@settings(max_examples=200)
def test_every_scene_page_and_panel_stands_in_the_answer_once(pair: tuple[list[str], list[str]]) -> None:
    old, new = map(draft, pair)
    change = compare_drafts(old, new)
    assert sorted(s.index for c in change.scenes for s in c.old) == [s.index for s in old.scenes]
    assert sorted(s.index for c in change.scenes for s in c.new) == [s.index for s in new.scenes]
    assert Counter(p.old for p in change.pages if p.old) == Counter(p.label for p in old.pages)
    assert [p.new for p in change.pages if p.new] == [p.label for p in new.pages]
    for page in change.pages:
        assert [p.new for p in page.panels if p.new] == sorted(p.new for p in page.panels if p.new)
        assert len({p.old for p in page.panels if p.old}) == len([p for p in page.panels if p.old])


@given(two_drafts())
@settings(max_examples=200)
def test_the_kind_of_a_scene_says_how_many_there_are(pair: tuple[list[str], list[str]]) -> None:
    many = {"cut": "10", "new": "01", "split": "1+", "merged": "+1"}
    for scene in compare_drafts(*map(draft, pair)).scenes:
        counts = "".join(str(len(side)) if len(side) < 2 else "+" for side in (scene.old, scene.new))
        assert counts == many.get(scene.kind, "11")
        assert not scene.moved or (scene.old and scene.new)
        assert (scene.kind == "kept") <= (scene.similarity == 1.0)


BACKWARDS = {"split": "merged", "merged": "split", "cut": "new", "new": "cut"}


def report(change: DraftChange) -> list[list[str]]:
    """Everything a comparison says, in no order."""
    scenes = [
        (s.kind, s.moved, s.renamed, s.similarity, [x.index for x in s.old], [x.index for x in s.new])
        for s in change.scenes
    ]
    told = [(x.kind, x.old and x.old.line, x.new and x.new.line) for x in lines(change)]
    pages = [(p.kind, p.old, p.new, sorted(map(str, p.panels))) for p in change.pages]
    return [sorted(map(str, rows)) for rows in (scenes, told, pages)]


def turned(change: DraftChange) -> DraftChange:
    """A comparison with old and new exchanged."""
    other = {"added": "cut", "cut": "added"}

    def back(each: Any) -> Any:
        return each._replace(kind=other.get(each.kind, each.kind), old=each.new, new=each.old)

    scenes = tuple(
        s._replace(kind=BACKWARDS.get(s.kind, s.kind), old=s.new, new=s.old, lines=tuple(map(back, s.lines)))
        for s in change.scenes
    )
    pages = tuple(back(p)._replace(panels=tuple(map(back, p.panels))) for p in change.pages)
    return change._replace(scenes=scenes, pages=pages)


#: A line that left its page for another, on which its scene meets the next one in one draft only.
GONE_FROM_A_SHARED_PAGE = (
    ["WREN: lamp", "WREN: tide", "# tide", "[page]", "WREN: tide", "[page]", "WREN: tide", "# tide", "WREN: lamp"],
    ["# tide", "[page]", "WREN: tide", "WREN: tide", "[page]", "WREN: tide", "# tide", "WREN: lamp"],
)


@given(two_drafts())
@example(GONE_FROM_A_SHARED_PAGE)
@settings(max_examples=200)
def test_read_backwards_it_says_the_same(pair: tuple[list[str], list[str]]) -> None:
    old, new = map(draft, pair)
    assert report(compare_drafts(old, new)) == report(turned(compare_drafts(new, old)))


@given(rows, st.sampled_from(NAMES))
def test_renaming_a_character_throughout_reassigns_nothing(old: list[str], name: str) -> None:
    one = draft(old)
    other = renamed(one, name, "ISOLDE")
    change = compare_drafts(one, other)
    assert change.cast.renamed == (((name, "ISOLDE"),) if any(name in line.speaker for line in one.lines) else ())
    assert {line.kind for line in lines(change)} <= {"same"}


def renamed(one: Draft, old: str, new: str) -> Draft:
    scenes = tuple(
        s._replace(lines=tuple(x._replace(speaker=x.speaker.replace(old, new)) for x in s.lines)) for s in one.scenes
    )
    return one._replace(scenes=scenes)
