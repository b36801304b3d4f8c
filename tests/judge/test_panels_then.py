"""A script page then and now, panel by panel; drafts are typed as a cartoonist would."""

from __future__ import annotations

import pytest

from ledger.judge.resting.fingerprint import Fingerprints
from ledger.judge.resting.panels_then import panels_reworded, panels_told, together, written_panels
from ledger.model.book import Person
from ledger.read.script import read_script

CAST = (Person("N", "Nell"), Person("J", "Joren Pike"))
PAGE = """\
[page 1]
[panel 1]
Rain on tin.

N: Is that you?
J: It's the rent.

[panel 2]
Her hand on the bolt.

CAP: Later.

[panel 3]
The slipway, empty.

N: Gone.
"""
RAIN, BOLT, SLIP = PAGE.split("[panel ")[1:]


def prints(text: str) -> Fingerprints:
    return Fingerprints(read_script([("script/01.md", text.encode())], CAST))


def told(new: str, old: str = PAGE, label: str = "1") -> list[str]:
    return panels_told(written_panels(prints(old), label), written_panels(prints(new), label))


def panels(*texts: str) -> str:
    return "[page 1]\n" + "".join(f"[panel]{text[2:]}" for text in texts)


CHANGES = {
    "nothing": (PAGE, []),
    "a new speaker": (PAGE.replace("N: Gone", "J: Gone"), ["panel 3 has a new speaker (Joren Pike)"]),
    "a caption for a balloon": (PAGE.replace("CAP: Later", "N: Later"), ["panel 2 has a new speaker (Nell)"]),
    "a sound for a caption": (PAGE.replace("CAP: Later", "SFX: Later"), ["a line of panel 2 is a sound now"]),
    "lines exchanged": (
        PAGE.replace("N: Is that you?\nJ: It's the rent.", "J: It's the rent.\nN: Is that you?"),
        ["lines of panel 1 changed places"],
    ),
    "a line carried on": (
        PAGE.replace("J: It's the rent.\n", "").replace("CAP: Later.", "CAP: Later.\nJ: It's the rent."),
        ["panel 1 has a line fewer", "panel 2 has a line more"],
    ),
    "two lines more": (PAGE.replace("N: Gone.", "N: Gone.\nN: All of it.\nJ: So."), ["panel 3 has 2 lines more"]),
    "action rewritten": (PAGE.replace("empty", "flooded"), ["the action of panel 3 is rewritten"]),
    "action taken out": (PAGE.replace("Her hand on the bolt.\n", ""), ["the action of panel 2 is gone"]),
    "action put in": (PAGE.replace("N: Gone", "Foam.\n\nN: Gone"), ["the action of panel 3 is rewritten"]),
    "the first panel cut": (panels(BOLT, SLIP), ["panel 1 of the old count was cut"]),
    "a middle panel cut": (panels(RAIN, SLIP), ["panel 2 of the old count was cut"]),
    "the last panel cut": (panels(RAIN, BOLT), ["panel 3 of the old count was cut"]),
    "a panel put in": (panels(RAIN, "2]\nA gull.\n\n", BOLT, SLIP), ["panel 2 is new"]),
    "two panels exchanged": (panels(RAIN, SLIP + "\n", BOLT), ["panels 2 and 3 changed places"]),
    "one panel cut and one rewritten": (
        panels(BOLT, SLIP.replace("N: Gone", "J: Gone")),
        ["panel 1 of the old count was cut", "panel 2 has a new speaker (Joren Pike)"],
    ),
    "action of several rewritten": (
        PAGE.replace("Rain", "Snow").replace("empty", "white").replace("N: Gone", "J: Gone"),
        ["panel 3 has a new speaker (Joren Pike)", "the action of panels 1 and 3 is rewritten"],
    ),
    "words alone": (PAGE.replace("Gone.", "All gone."), []),
}  # fmt: skip


@pytest.mark.parametrize("what", CHANGES)
def test_panel_by_panel(what: str) -> None:
    new, words = CHANGES[what]
    assert told(new) == words


def test_a_page_without_panel_marks_is_the_page() -> None:
    old = "[page 1]\nRain.\n\nN: Gone.\n"
    assert told(old.replace("N:", "J:"), old) == ["the page has a new speaker (Joren Pike)"]


def test_panels_of_a_spread_say_on_which_page() -> None:
    old = "[page 2]\n[panel 1]\nRain.\n\n[page 3]\n[panel 1]\nN: Gone.\n"
    assert told(old.replace("N:", "J:"), old, "2-3") == ["panel 1 of page 3 has a new speaker (Joren Pike)"]
    one = "[pages 2-3]\n[panel 1]\nRain.\n\nN: Gone.\n"
    assert told(one.replace("N:", "J:"), one, "2-3") == ["panel 1 has a new speaker (Joren Pike)"]


def test_reworded_panels_are_named() -> None:
    new = PAGE.replace("Later.", "Much later.").replace("Gone.", "All gone.").replace("tin", "slate")
    assert panels_reworded(written_panels(prints(PAGE), "1"), written_panels(prints(new), "1")) == [
        "panel 2",
        "panel 3",
    ]


@pytest.mark.parametrize(
    ("names", "words"),
    [
        (["panel 2"], "panel 2"),
        (["panel 2", "panel 4"], "panels 2 and 4"),
        (["panel 1", "panel 2", "panel 4"], "panels 1, 2 and 4"),
        (["panel 1", "panel 2", "panel 3", "panel 5"], "panels 1-3,5"),
        (["panel 1 of page 2", "panel 1 of page 3"], "panel 1 of page 2 and panel 1 of page 3"),
        (["the page", "panel 1"], "the page and panel 1"),
    ],
)
def test_panels_named_together(names: list[str], words: str) -> None:
    assert together(names) == words
