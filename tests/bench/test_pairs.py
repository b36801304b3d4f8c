"""The pairs are what they say they are, and the scorer marks down exactly what is wrong."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from ledger.read.script import read_script
from tests.bench.pairs.generate import INTENSITIES, Pair, make_pair
from tests.bench.pairs.order import EITHER, MOVED, STAYED, movers
from tests.bench.pairs.run import ours, rivals
from tests.bench.pairs.score import FIGURES, score
from tests.bench.pairs.script import Typed
from tests.bench.pairs.truth import Truth

Answer = dict[str, Any]
PAIR = make_pair(5, 24, "hard")


def scenes(typed: Typed, places: frozenset[int]) -> list[Answer]:
    return [{"index": at, "title": typed.titles[at], "line": typed.headings[at]} for at in sorted(places)]


def perfect(truth: Truth) -> Answer:
    """The truth in the shape of an answer."""
    told = [
        {
            "kind": min(g.kinds), "moved": min(g.moved), "renamed": min(g.renamed), "lines": [],
            "old": scenes(truth.old, g.old), "new": scenes(truth.new, g.new),
        }
        for g in truth.groups
    ]  # fmt: skip
    told[0]["lines"] = [
        {"kind": min(x.kinds), "old": {"line": x.old} if x.old else None, "new": {"line": x.new} if x.new else None}
        for x in truth.lines
    ]
    pages = [
        {
            "kind": min(p.kinds), "old": p.old or None, "new": p.new or None,
            "panels": [{"kind": min(x.kinds), "old": x.old or None, "new": x.new or None} for x in p.panels],
        }
        for p in truth.pages
    ]  # fmt: skip
    renamed = [{"old": a, "new": b} for a, b in truth.renames.items()]
    return {"scenes": told, "cast": {"renamed": renamed}, "pages": pages}


def lowered(change: Callable[[Answer], object], pair: Pair = PAIR) -> set[str]:
    """The figures that an error in a perfect answer lowers."""
    answer = copy.deepcopy(perfect(pair.truth))
    change(answer)
    found = score(answer, pair.truth)
    return {name for name in FIGURES if found.share(name) < 1}


def first(answer: Answer, part: str, **wanted: object) -> Answer:
    """The first scene, line, page of an answer that is as wanted."""
    listed = {"lines": answer["scenes"][0]["lines"]}.get(part) or answer[part]
    found: Answer = next(each for each in listed if all(each[name] == value for name, value in wanted.items()))
    return found


@pytest.mark.parametrize("intensity", ["none", *INTENSITIES])
def test_a_perfect_answer_scores_one(intensity: str) -> None:
    truth = make_pair(3, 30, intensity).truth
    found = score(perfect(truth), truth)
    assert {name: found.share(name) for name in FIGURES} == dict.fromkeys(FIGURES, 1.0)
    assert all(count.share == 1 for count in found.operations.values())
    assert found.wrong == []


def test_a_wrong_kind_of_scene_lowers_the_kinds_of_scenes() -> None:
    assert lowered(lambda a: first(a, "scenes", kind="cut").update(kind="new")) == {"scene kind"}


def test_a_scene_falsely_moved_or_renamed_lowers_that_alone() -> None:
    assert lowered(lambda a: first(a, "scenes", kind="cut").update(moved=True)) == {"scene moved"}
    assert lowered(lambda a: first(a, "scenes", kind="cut").update(renamed=True)) == {"scene renamed"}


GROUP = {"group exact", "scene link F1", "scene kind", "scene moved", "scene renamed"}


def test_a_part_of_a_merger_left_out_spoils_the_whole_group() -> None:
    truth = PAIR.truth
    merged = next(g for g in truth.groups if "merged" in g.kinds)
    answer = perfect(truth)
    first(answer, "scenes", kind="merged")["old"].pop()
    found = score(answer, truth)
    assert {name for name in FIGURES if found.share(name) < 1} == GROUP
    assert found.figures["group exact"].missed == len(merged.old) + len(merged.new)


def test_a_scene_listed_twice_or_wrongly_indexed_is_wrong() -> None:
    def twice(answer: Answer) -> None:
        answer["scenes"].append(copy.deepcopy(first(answer, "scenes", kind="cut")))

    def elsewhere(answer: Answer) -> None:
        first(answer, "scenes", kind="cut")["old"][0]["index"] += 1

    def nowhere(answer: Answer) -> None:
        first(answer, "scenes", kind="new")["new"][0]["index"] = 9999

    assert lowered(twice) == lowered(nowhere) == GROUP - {"scene link F1"}
    assert lowered(elsewhere) >= GROUP - {"scene link F1"}


def test_two_scenes_tied_that_have_nothing_to_do_with_each_other() -> None:
    def tie(answer: Answer) -> None:
        new = first(answer, "scenes", kind="new")
        answer["scenes"].remove(new)
        first(answer, "scenes", kind="cut").update(new=new["new"], kind="rewritten")

    assert lowered(tie) == GROUP


LINES = {"line kind", "changed line kind"}


def test_a_wrong_kind_of_line_lowers_the_kinds_of_lines() -> None:
    assert lowered(lambda a: first(a, "lines", kind="same").update(kind="reworded")) == LINES
    assert lowered(lambda a: first(a, "lines", kind="cut").update(kind="same")) == LINES


def test_a_move_overlooked_lowers_the_recall_of_moves() -> None:
    moved = next(x for x in PAIR.truth.lines if x.kinds == {"moved"})
    wanted = {"old": {"line": moved.old}}
    assert lowered(lambda a: first(a, "lines", **wanted).update(kind="same")) == LINES | {"moved-line recall"}


def test_a_line_left_out_listed_twice_or_paired_wrongly() -> None:
    def left_out(answer: Answer) -> None:
        answer["scenes"][0]["lines"].remove(first(answer, "lines", kind="same"))

    def twice(answer: Answer) -> None:
        answer["scenes"][0]["lines"].append(dict(first(answer, "lines", kind="same")))

    def crossed(answer: Answer) -> None:
        one, other = [x for x in answer["scenes"][0]["lines"] if x["kind"] == "same"][3:5]
        one["new"], other["new"] = other["new"], one["new"]

    for change in (left_out, twice, crossed):
        assert lowered(change) == LINES | {"line link F1"}


def test_a_rename_missed_or_invented_lowers_the_renames() -> None:
    assert lowered(lambda a: a["cast"]["renamed"].append({"old": "NOBODY", "new": "ANYBODY"})) == {"renames"}
    pair = next(p for p in (make_pair(seed, 12, "hard") for seed in range(1, 20)) if p.truth.renames)
    assert lowered(lambda a: a["cast"]["renamed"].pop(), pair) == {"renames"}


def test_a_page_wrongly_told_lowers_pages() -> None:
    pure = next(p for p in PAIR.truth.pages if p.kinds == {"moved"})
    assert lowered(lambda a: first(a, "pages", new=pure.new).update(kind="kept")) == {"page kind"}
    assert lowered(lambda a: first(a, "pages", kind="cut").update(kind="added")) == {"page kind"}


def test_a_panel_wrongly_told_lowers_panels() -> None:
    def wrong(answer: Answer) -> None:
        page = next(p for p in answer["pages"] if p["kind"] == "changed" and p["old"] and p["new"] and p["panels"])
        page["panels"][0]["kind"] = "cut" if page["panels"][0]["kind"] != "cut" else "added"

    assert lowered(wrong) == {"panel kind"}


def test_the_same_seed_makes_the_same_pair() -> None:
    one, other = make_pair(4, 16, "brutal"), make_pair(4, 16, "brutal")
    assert (one.old, one.new, one.truth.lines) == (other.old, other.new, other.truth.lines)
    assert make_pair(5, 16, "brutal").old != one.old


@pytest.mark.parametrize(("seed", "size"), [(1, 8), (2, 20), (3, 60)])
def test_the_reader_finds_everything_where_the_truth_has_it(seed: int, size: int) -> None:
    pair = make_pair(seed, size, "brutal")
    for text, typed in ((pair.old, pair.truth.old), (pair.new, pair.truth.new)):
        draft = read_script([("draft.md", text.encode())], [])
        assert [(s.title, s.line) for s in draft.scenes] == list(zip(typed.titles, typed.headings, strict=True))
        there = {(x.line, x.scene, x.page or "", x.panel or 0) for x in draft.lines}
        assert there == {(s.line, s.scene, s.page, s.panel) for s in typed.spots.values()}
        assert not draft.findings


def test_every_scene_stands_in_one_group() -> None:
    truth = make_pair(6, 40, "brutal").truth
    assert sorted(a for g in truth.groups for a in g.old) == list(range(40))
    assert sorted(b for g in truth.groups for b in g.new) == list(range(len(truth.new.titles)))


def test_both_answer_in_the_shape_that_is_scored() -> None:
    for answer in (ours(PAIR), rivals(PAIR)):
        assert 0.3 < score(answer, PAIR.truth).share("group exact") <= 1


def test_what_must_and_what_may_have_moved() -> None:
    assert movers([1, 2, 3]) == [STAYED] * 3
    assert movers([2, 1]) == [EITHER] * 2
    assert movers([2, 3, 4, 1]) == [STAYED] * 3 + [MOVED]
    assert movers([1, 3, 2, 4]) == [STAYED, EITHER, EITHER, STAYED]
    assert movers([2, 1], [1, 2]) == [MOVED, STAYED]
    assert movers([]) == []
