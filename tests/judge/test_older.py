"""Pictures entered later than they were made: the script had a new round in between."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.judge.resting.older import older_pictures
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt
from tests.judge.rounds import Book
from tests.judge.test_stale import LINES, SCRIPT, TOML, rewritten
from tests.pictures.drawn import inked, saved


class Story:
    """A book with the files of every commit that entered a round."""

    def __init__(self) -> None:
        self.book = Book(TOML).put({"script/01.md": SCRIPT})
        self.then: dict[str, Mapping[str, FileAt]] = {}

    def enter(self, name: str) -> None:
        entered = self.book.enter(name)
        self.then[entered] = dict(self.book.state().snapshot.files)

    def told(self, name: str, *pages: str) -> list[Finding]:
        state = self.book.state()
        pass_ = state.book.pass_named(name)
        assert pass_ is not None
        return list(older_pictures(state, pass_, pages, self.then))


def drawn_before_the_second_script() -> Story:
    story = Story()
    story.enter("script")
    story.book.put({"art/pencils/p001.png": LINES[1], "art/pencils/p002.png": LINES[2]})
    rewritten(story.book, "Rain on tin.", "Snow on tin.")
    story.enter("script")
    return story


def test_a_page_that_was_here_before_the_round_that_changed_it() -> None:
    (finding,) = drawn_before_the_second_script().told("pencils", "1", "2")
    assert (finding.rule, finding.level, finding.page) == ("page-stale", "query", "1")
    assert finding.message == (
        "page 1 of pencils was here before script-2, which changed what it is made from: "
        "the action of panel 1 is rewritten"
    )
    assert finding.remedy == (
        "if it was made from script-1, say so: inkledger enter pencils --pages 1 --made-from script-1; "
        'if it holds as it is: inkledger enter pencils --pages 1 --stands -m "why"'
    )


def test_a_page_drawn_after_it_is_no_query() -> None:
    story = drawn_before_the_second_script()
    story.book.put({"art/pencils/p001.png": LINES[3]})
    assert story.told("pencils", "1", "2") == []


def test_reworded_balloons_matter_to_letters_alone() -> None:
    story = Story()
    story.enter("script")
    story.book.put({"art/pencils/p001.png": LINES[1], "art/letters/p001.png": LINES[2]})
    rewritten(story.book, "Is that you?", "Who is it?")
    story.enter("script")
    assert story.told("pencils", "1") == []
    (finding,) = story.told("letters", "1")
    assert finding.message.endswith("words of page 1, nothing else")


def test_a_picture_older_than_the_picture_it_is_made_from() -> None:
    story = Story()
    story.book.put({"art/pencils/p001.png": LINES[1]})
    story.enter("pencils")
    story.book.put({"art/inks/p001.png": LINES[2], "art/pencils/p001.png": LINES[3]})
    story.enter("pencils")
    (finding,) = story.told("inks", "1")
    assert finding.message == (
        "page 1 of inks was here before pencils-2, which changed what it is made from: "
        "another picture of page 1 in pencils"
    )


def test_the_same_picture_saved_again_changes_nothing() -> None:
    story = Story()
    story.book.put({"art/pencils/p001.png": LINES[1]})
    story.enter("pencils")
    story.book.put({"art/inks/p001.png": LINES[2], "art/pencils/p001.png": saved(inked(1).convert("L"))})
    story.enter("pencils")
    assert story.told("inks", "1") == []


def test_a_page_taken_out_of_the_script() -> None:
    story = drawn_before_the_second_script()
    rewritten(story.book, "[page 2]\n[panel 1]\nThe slipway, empty.\n\nN: Gone.\n", "")
    story.enter("script")
    (_, finding) = story.told("pencils", "1", "2")
    assert finding.message.endswith("it took page 2 out of script")


def test_rounds_whose_commit_is_not_known_say_nothing() -> None:
    story = drawn_before_the_second_script()
    story.then.clear()
    assert story.told("pencils", "1", "2") == []
