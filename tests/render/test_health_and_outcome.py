"""What the doctor, a recording verb and the example book have to say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ledger.model.finding import Finding
from ledger.model.health import Health
from ledger.model.outcome import Outcome
from ledger.model.story import Shown, Story
from ledger.render.health import health_document, health_text, renumbered_document, renumbered_text
from ledger.render.like_findings import drawn_together, for_pages
from ledger.render.outcome import outcome_document, outcome_text
from ledger.render.story import NEXT, story_text

MOVED = Finding("tag-moved", "block", "pass/inks/1 names another commit", "ledger/inks-1.toml")


def test_all_is_well() -> None:
    assert health_text(Health()) == "Everything that the entries name is here."
    assert not Health().ill


def test_what_is_missing_and_what_was_mended() -> None:
    found = Health((("art/inks/p001.png", "inks-1"),), ("pass/inks/1", "lock/inks/1"), (MOVED,))
    assert health_text(found) == (
        "missing: art/inks/p001.png, named by inks-1\n"
        "Bring it back: git fetch --all, git lfs fetch --all, or from a backup.\n"
        "Made again 2 tags: pass/inks/1, lock/inks/1.\n"
        "block: tag-moved ledger/inks-1.toml\n  pass/inks/1 names another commit\n1 finding blocks."
    )
    assert found.ill and not Health(tags_made=("pass/inks/1",)).ill
    assert not Health(findings=(MOVED.at_level("query"),)).ill
    document = health_document(found)
    assert document["missing"] == [{"path": "art/inks/p001.png", "entry": "inks-1"}]
    assert document["tags_made"] == ["pass/inks/1", "lock/inks/1"] and document["findings"][0]["rule"] == "tag-moved"


def test_entries_under_another_number() -> None:
    found = Health(renumbered=(("inks-3", "inks-4"),))
    assert renumbered_text(found).startswith("inks-3 of the other side stands as inks-4 now; ours keeps its number.\n")
    assert renumbered_document(found)["renumbered"] == [{"old": "inks-3", "new": "inks-4"}]
    assert renumbered_text(Health()) == "Nothing to do: the two sides of this merge took no number twice."


def test_an_outcome_says_its_sentences_then_what_was_found() -> None:
    found = Outcome(
        True, ("Entered inks-3.", "x " * 60), "inks-3", "c" * 40, "pass/inks/3", ("ledger/inks-3.toml",), (MOVED,)
    )
    rows = outcome_text(found).split("\n")
    assert rows[0] == "Entered inks-3." and rows[1].startswith("x x") and rows[-1] == "1 finding blocks."
    document = outcome_document(found)
    assert {key: document[key] for key in ("done", "entry", "commit", "tag", "paths")} == {
        "done": True,
        "entry": "inks-3",
        "commit": "c" * 40,
        "tag": "pass/inks/3",
        "paths": ["ledger/inks-3.toml"],
    }
    assert outcome_text(Outcome(False)) == "" and outcome_document(Outcome(False))["entry"] is None


# -- findings that say the same of many pages


def size(page: str, **more: str | int | None) -> Finding:
    fields: dict[str, object] = {"path": f"art/inks/p{page}.png", "page": page, **more}
    return Finding("export-size", "query", f"page {page} is too small")._replace(**fields)  # type: ignore[arg-type]


def lengths(findings: list[Finding]) -> list[int]:
    return [len(group) for group in drawn_together(findings)]


@pytest.mark.parametrize(
    ("last", "groups"),
    [
        (size("3"), [3]),
        (size("3", message="page 3 is too large"), [1, 1, 1]),
        (size("3", level="block"), [1, 1, 1]),
        (size("3", path="art/flats/p3.png"), [1, 1, 1]),
        (size("3", commit="c" * 40), [1, 1, 1]),
        (size("3", line=4), [1, 1, 1]),
        (size("3", panel=1), [1, 1, 1]),
        (size("3")._replace(page=None), [1, 1, 1]),
        (size("24-25", message="the spread 24-25 is too small"), [3]),
        (size("3", message="page 33 is too small"), [1, 1, 1]),
    ],
)
def test_what_makes_findings_alike(last: Finding, groups: list[int]) -> None:
    assert lengths([size("1"), size("2"), last]) == groups


def test_a_longer_number_that_begins_alike_is_another_page() -> None:
    assert lengths([size(page, message=f"it is the picture of page {page}2") for page in ("1", "2", "3")]) == [1, 1, 1]


def test_every_finding_is_told_once_and_in_order() -> None:
    other = Finding("tag-moved", "query", "x")
    findings = [other, size("1"), other, size("2"), size("3"), other]
    groups = drawn_together(findings)
    assert groups == [(other,), (size("1"), size("2"), size("3")), (other,), (other,)]
    assert drawn_together([]) == []


def test_a_remedy_for_all_of_the_pages() -> None:
    assert for_pages("inkledger enter inks --pages 1", "1", "1-9") == "inkledger enter inks --pages 1-9"
    assert for_pages("inkledger enter inks --pages 12", "1", "1-9") == "inkledger enter inks --pages 12"
    assert for_pages("--pages 1-2", "1", "1-9") == "--pages 1-2"


# -- the example book

STORY = Story(
    "/books/lantern", True, "The Upper Stair",
    (Shown("where it stands", "inkledger status", ("one  ", "two"), 3, 0),
     Shown("", "git commit -m late", ("block",), 0, 1)),
    refused=True, clean=True,
)  # fmt: skip


def test_the_story_of_the_example_book() -> None:
    told = story_text(STORY)
    assert told.startswith(
        "The example book, 'The Upper Stair', was built with its whole history.\n\n-- where it stands\n\n"
    )
    assert "$ inkledger status\none\ntwo\n... 3 more lines\n\n$ git commit -m late\nblock\n" in told
    assert (
        "The late edit was refused, and the book is as it was.\n\nThe book lies here:\n\n/books/lantern\n\nTry next"
        in told
    )
    assert all(f"  {command} " in told for command, _ in NEXT)


@pytest.mark.parametrize(
    ("story", "said"),
    [
        (replace(STORY, refused=False), "the late edit was not refused"),
        (replace(STORY, clean=False), "the working tree is not clean"),
        (
            replace(STORY, shown=(Shown("", "inkledger audit", (), 0, 2),)),
            "inkledger audit failed; its words stand above",
        ),
    ],
)
def test_a_story_that_went_wrong_says_so(story: Story, said: str) -> None:
    told = story_text(story)
    assert f"This went wrong: {said}" in told and "Try next" not in told


def test_a_book_from_before_is_told_as_such() -> None:
    assert "is there from before and is shown again." in story_text(replace(STORY, built=False))


def test_prose_is_wrapped_and_commands_stay_whole() -> None:
    long = "word " * 30
    told = story_text(replace(STORY, shown=(Shown("", "x", (long, f"    {long}"), 0, 0),)))
    assert f"    {long}".rstrip() in told and f"\n{long}".rstrip() not in told
