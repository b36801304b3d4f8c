"""Laws of the structure rules: words are free, mouths, order and number of lines are not."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.judge.agreed.doors import charged
from ledger.judge.agreed.structure import structure_differences
from ledger.judge.agreed.wording import wording_differences
from ledger.judge.pairing.collation import collate
from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.read.script import read_script
from tests.judge.shelf import Shelf, lock, slip

CAST = (Person("W", "Wren"), Person("T", "Tomas Arde"), Person("M", "Mara"))
WORDS = ["map", "tide", "it", "was", "here", "no", "lamp", "who", "three", "hours", "gone", "again", "never"]
SPEECH = st.lists(st.sampled_from(WORDS), min_size=1, max_size=7).map(" ".join)
BALLOON = st.tuples(st.sampled_from(["W", "T", "M", "CAP", "SFX"]), SPEECH).map(lambda b: f"{b[0]}: {b[1]}")
ACTION = SPEECH.map(lambda words: f"Seen: {words}".replace("Seen: ", "Seen "))
MARK = st.sampled_from(["[panel]", "[panel]", "[page]", "## A scene"])
SCRIPT = st.lists(st.one_of(BALLOON, BALLOON, ACTION, MARK), min_size=1, max_size=24)


def draft(lines: list[str]) -> Draft:
    return read_script([("script/01.md", ("\n\n".join(lines) + "\n").encode())], CAST)


def said(lines: list[str]) -> list[int]:
    """Places of the balloons."""
    return [n for n, line in enumerate(lines) if ":" in line]


def rules(old: list[str], new: list[str]) -> list[str]:
    return [difference.rule for difference in structure_differences(collate(draft(old), draft(new)))]


@settings(max_examples=150, deadline=None)
@given(SCRIPT)
def test_a_draft_does_not_differ_from_itself(lines: list[str]) -> None:
    collation = collate(draft(lines), draft(lines))
    assert structure_differences(collation) == []
    assert wording_differences(collation, 0.15) == []


@settings(max_examples=150, deadline=None)
@given(SCRIPT, SCRIPT)
def test_every_line_of_both_sides_stands_once(old: list[str], new: list[str]) -> None:
    before, after = draft(old), draft(new)
    collation = collate(before, after)
    lines = [told.line for pair in (*collation.texts, *collation.actions) for told in pair.olds]
    lines_now = [told.line for pair in (*collation.texts, *collation.actions) for told in pair.news]
    assert sorted(lines, key=lambda line: line.line) == list(before.lines)
    assert sorted(lines_now, key=lambda line: line.line) == list(after.lines)


@settings(max_examples=200, deadline=None)
@given(SCRIPT)
def test_words_are_free_whatever_they_are(lines: list[str]) -> None:
    fresh = [f"{line.partition(':')[0]}: fresh{n} words{n} of{n} ours{n}" if ":" in line else line
             for n, line in enumerate(lines)]  # fmt: skip
    assert rules(lines, fresh) == []


@settings(max_examples=200, deadline=None)
@given(SCRIPT, st.data())
def test_a_line_in_another_mouth_is_seen(lines: list[str], data: st.DataObject) -> None:
    places = said(lines)
    if not places:
        return
    place = data.draw(st.sampled_from(places))
    key, _, words = lines[place].partition(":")
    other = data.draw(st.sampled_from([k for k in ("W", "T", "M") if k != key]))
    assert rules(lines, [*lines[:place], f"{other}:{words}", *lines[place + 1 :]])


@settings(max_examples=200, deadline=None)
@given(SCRIPT, st.data())
def test_a_line_cut_or_put_in_is_seen(lines: list[str], data: st.DataObject) -> None:
    places = said(lines)
    if not places:
        return
    place = data.draw(st.sampled_from(places))
    cut = [*lines[:place], *lines[place + 1 :]]
    assert rules(lines, cut)
    assert rules(cut or ["Nothing."], lines)


@settings(max_examples=150, deadline=None)
@given(SCRIPT, SCRIPT, st.sampled_from([None, "1", "1-2"]), st.booleans())
def test_any_two_drafts_can_be_judged(old: list[str], new: list[str], pages: str | None, agreed: bool) -> None:
    shelf = Shelf()
    before: dict[str, str | bytes] = {"script/01.md": "\n\n".join(old)}
    after: dict[str, str | bytes] = {"script/01.md": "\n\n".join(new)}
    closed = lock(shelf, "inks", ["structure", "wording", "drawing"], before, pages=pages)
    base = shelf.state(before, [closed])
    entries = [closed, slip(shelf, after, pages=None, scopes=["structure", "wording"])] if agreed else [closed]
    found = charged([base], shelf.state(after, entries), shelf)
    assert all(finding.message and finding.rule for finding in found)
    assert not (agreed and found)


@settings(max_examples=150, deadline=None)
@given(SCRIPT, st.data())
def test_a_page_mark_put_in_is_seen(lines: list[str], data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(lines)))
    assert rules(lines, [*lines[:place], "[page]", "Seen again", *lines[place:]])


@settings(max_examples=100, deadline=None)
@given(SCRIPT)
def test_action_is_free_for_structure(lines: list[str]) -> None:
    fresh = [line if ":" in line or line[0] in "[#" else f"Other{n} things{n}" for n, line in enumerate(lines)]
    assert rules(lines, fresh) == []
