"""The page fingerprint, computed a second time by hand from the words of docs/fingerprint.md."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest

from ledger.judge.resting.fingerprint import page_fingerprint
from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.read.script import read_script

DOCUMENT = (Path(__file__).parents[2] / "docs" / "fingerprint.md").read_text("utf-8")
CAST = (Person("N", "Nell"), Person("J", "Joren Pike", ("Jo",)))


def draft(text: str) -> Draft:
    return read_script([("script/01.md", text.encode())], CAST)


def printed(text: str, page: str = "1") -> tuple[str, str]:
    """The two digests of a page."""
    found = page_fingerprint(draft(text), page)
    assert found is not None
    first, _, second = found.partition("-")
    return first, second


def block(after: str, kind: str) -> str:
    """The code block of this kind that follows these words in the document."""
    found = re.search(rf"{re.escape(after)}.*?```{kind}\n(.*?)```", DOCUMENT, re.DOTALL)
    assert found, after
    return found[1]


def test_the_worked_page_of_the_document() -> None:
    records = block("gives these records", "text").replace("→", "\t")
    lettered = re.compile(r"^((?:dialogue|caption|sfx)\t[^\t\n]*\t).*$", re.MULTILINE)
    first = hashlib.sha256(lettered.sub(r"\1", records).encode()).hexdigest()
    second = hashlib.sha256(records.encode()).hexdigest()
    assert block("and the fingerprint", "text") == f"{first}-\n{second}\n"
    assert printed(block("A worked page", "markdown"), "3") == (first, second)


PAGE = """\
[page 1]
[panel 1]
Nell sorts nets by feel.

N: Is that you?
J: It's the rent.

[panel 2]
CAP: Later.
"""

SAME = {
    "case and emphasis": PAGE.replace("Is that you?", "IS *that* you?"),
    "the way a mark is written": PAGE.replace("[page 1]", "PAGE ONE").replace("[panel 2]", "Panel 2."),
    "a name for a key": PAGE.replace("J:", "Jo:"),
    "a comment": PAGE.replace("N:", "<!-- too blunt? -->\n\nN:"),
    "a scene title": "## The boat shed\n\n" + PAGE,
    "line ends": PAGE.replace("\n", "\r\n"),
}


@pytest.mark.parametrize("what", SAME)
def test_what_plays_no_part(what: str) -> None:
    assert printed(SAME[what]) == printed(PAGE)


def test_reworded_balloons_change_the_second_digest_alone() -> None:
    first, second = printed(PAGE)
    for old, new in (("Is that you?", "Who is it?"), ("Later.", "An hour later."), ("rent.", "rent!")):
        reworded = printed(PAGE.replace(old, new))
        assert reworded[0] == first
        assert reworded[1] != second


MATERIAL = {
    "a panel added": PAGE + "[panel 3]\n",
    "a panel cut": PAGE.replace("[panel 2]\n", ""),
    "action": PAGE.replace("by feel", "by lamplight"),
    "a line added": PAGE.replace("CAP:", "N: Come in.\n\nCAP:"),
    "a line cut": PAGE.replace("J: It's the rent.\n", ""),
    "another mouth": PAGE.replace("J: It's", "N: It's"),
    "a caption for a balloon": PAGE.replace("CAP: Later.", "N: Later."),
    "another panel": PAGE.replace("J: It's the rent.\n\n[panel 2]\n", "[panel 2]\nJ: It's the rent.\n\n"),
    "another order": PAGE.replace("N: Is that you?\nJ: It's the rent.", "J: It's the rent.\nN: Is that you?"),
}


@pytest.mark.parametrize("what", MATERIAL)
def test_everything_else_changes_both(what: str) -> None:
    first, second = printed(PAGE)
    other = printed(MATERIAL[what])
    assert other[0] != first
    assert other[1] != second


def test_a_page_without_panel_marks_is_one_panel() -> None:
    assert printed("[page 1]\nRain.\n\nN: Yes.\n") == printed("[page 1]\n[panel 1]\nRain.\n\nN: Yes.\n")


def test_a_page_that_is_not_there_or_omitted_has_none() -> None:
    assert page_fingerprint(draft(PAGE), "2") is None
    assert page_fingerprint(draft(PAGE), "f1") is None
    assert page_fingerprint(draft(PAGE + "\n[page 2]\n[omitted]\n"), "2") is None
    assert page_fingerprint(draft("N: A draft without pages.\n"), "1") is None


def test_a_spread_holds_both_its_pages() -> None:
    single = draft("[page 1]\nRain.\n\n[page 2]\nSun.\n")
    both = page_fingerprint(single, "1-2")
    assert both not in (None, page_fingerprint(single, "1"), page_fingerprint(single, "2"))
    spread = draft("[page 1]\nFog.\n\n[pages 2-3]\nRain.\n")
    assert page_fingerprint(spread, "2") == page_fingerprint(spread, "3") == page_fingerprint(spread, "2-3")
