"""Two printings of one play against each other: a real pair of drafts, with nearly every word respelled.

How scenes correspond was counted in both texts (runs of four words in common) and, where named, is published.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from ledger.compare import compare_drafts
from ledger.model.change import DraftChange, LineChange, SceneChange
from ledger.model.script import Draft
from tests.compare.typed import typed
from tests.outside.plays import folio_script, modern_script, text_of

pytestmark = pytest.mark.plays

#: Scenes before and after, merged groups, scenes split in how many, cut scenes.
UNEVEN = {
    # 4.3 is absent: British Library, "Shakespeare in Quarto: King Lear"; the merger of 2.2-2.4 by own count.
    "lear": (26, 23, [3], [], 1),
    # The Folio's act 2 has two scenes: a published scene and line table of Othello following the Folio.
    "othello": (15, 14, [2], [], 0),
    # 3.4-3.7, 4.2+4.3 and 5.2-5.5: a published scene and line table of Richard III following the Folio.
    "richard_iii": (25, 18, [4, 2, 4], [], 0),
    # Editors divide acts 2 and 5 otherwise than the Folio: Macbeth, New Cambridge Shakespeare, p. 249.
    "macbeth": (26, 27, [2], [3], 0),
    # By own count; the Induction is the Folio's "Scoena Prima".
    "henry_iv_part_2": (21, 18, [3, 2], [], 0),
}
#: Plays whose scenes are the same in both printings, by own count. An epilogue stands apart in some.
EVEN = {
    "merry_wives_of_windsor": 23,
    "tempest": 10,
    "two_gentlemen_of_verona": 20,
    "winters_tale": 15,
}


@cache
def drafts(archive: Path, play: str) -> tuple[Draft, Draft]:
    modern, folio = text_of(archive, f"{play}_gut"), text_of(archive, f"{play}_gut_f")
    return typed(modern_script(modern)), typed(folio_script(folio))


@cache
def change(archive: Path, play: str) -> DraftChange:
    return compare_drafts(*drafts(archive, play))


def of_kind(found: DraftChange, kind: str) -> list[SceneChange]:
    return [scene for scene in found.scenes if scene.kind == kind]


@pytest.mark.parametrize("play", UNEVEN)
def test_scenes_that_were_divided_otherwise(plays: Path, play: str) -> None:
    before, after, merged, split, cut = UNEVEN[play]
    old, new = drafts(plays, play)
    assert (len(old.scenes), len(new.scenes)) == (before, after)
    found = change(plays, play)
    assert [len(scene.old) for scene in of_kind(found, "merged")] == merged
    assert [len(scene.new) for scene in of_kind(found, "split")] == split
    assert len(of_kind(found, "cut")) == cut
    assert not of_kind(found, "new")
    assert not [scene for scene in found.scenes if scene.moved]


@pytest.mark.parametrize("play", UNEVEN)
def test_read_backwards_merged_and_split_change_places(plays: Path, play: str) -> None:
    _, _, merged, split, cut = UNEVEN[play]
    old, new = drafts(plays, play)
    found = compare_drafts(new, old)
    assert [len(scene.new) for scene in of_kind(found, "split")] == merged
    assert [len(scene.old) for scene in of_kind(found, "merged")] == split
    assert len(of_kind(found, "new")) == cut
    assert not of_kind(found, "cut")


@pytest.mark.parametrize("play", EVEN)
def test_scenes_that_are_the_same(plays: Path, play: str) -> None:
    found = change(plays, play)
    assert len(found.scenes) == EVEN[play]
    assert {scene.kind for scene in found.scenes} <= {"kept", "polished", "rewritten"}
    assert [scene.new[0].index for scene in found.scenes] == [scene.old[0].index for scene in found.scenes]
    assert not [scene for scene in found.scenes if scene.moved]


def test_an_epilogue_that_got_no_heading_joins_the_last_scene(plays: Path) -> None:
    """As You Like It: 22 scenes in both, the modern text heads the epilogue (by own count)."""
    found = change(plays, "as_you_like_it")
    assert [[s.title for s in scene.old][-1] for scene in of_kind(found, "merged")] == ["EPILOGUE"]
    assert len(found.scenes) == 22


def lines_with(found: DraftChange, words: str) -> list[LineChange]:
    return [
        line
        for scene in found.scenes
        for line in scene.lines
        if any(words in side.text for side in (line.old, line.new) if side)
    ]


def test_lears_last_speech_went_to_another_mouth(plays: Path) -> None:
    """Albany's in one printing, Edgar's in the other: Warren 1978, "Quarto and Folio King Lear"."""
    (speech,) = lines_with(change(plays, "lear"), "of this sad time")
    assert speech.kind == "reassigned"
    assert speech.old and speech.old.speaker == "ALB"
    assert speech.new and speech.new.speaker == "EDG"


def test_the_mock_trial_is_cut(plays: Path) -> None:
    """Lear 3.6: absent from the Folio (Warren 1978)."""
    (arraign,) = lines_with(change(plays, "lear"), "I will arraign them straight")
    assert arraign.kind == "cut"


def test_hamlets_soliloquy_is_cut_and_the_start_of_its_scene_kept(plays: Path) -> None:
    """Hamlet 4.4: the Folio keeps nine spoken lines, to "Go safely on" (Arden Shakespeare 1899, p. xx)."""
    found = change(plays, "hamlet")
    (soliloquy,) = lines_with(found, "How all occasions do inform against me")
    assert soliloquy.kind == "cut"
    (kept,) = lines_with(found, "Go softly on")
    assert kept.kind == "moved"
    assert kept.new and kept.new.text.startswith("Go safely on")


def test_every_line_of_both_printings_stands_in_the_answer_once(plays: Path) -> None:
    old, new = drafts(plays, "lear")
    found = change(plays, "lear")
    lines = [line for scene in found.scenes for line in scene.lines]
    assert sorted(line.old.line for line in lines if line.old) == [line.line for line in old.lines]
    assert sorted(line.new.line for line in lines if line.new) == [line.line for line in new.lines]
