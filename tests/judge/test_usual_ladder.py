"""What may still change after each pass of the usual ladder is signed off (trade facts T-110 to T-119).

The ladder is the convention's default; how the trade behaves is common practice: redrawing costs far more than
rewriting (a webcomic team's production notes), early drafts are judged for structure, polish of words comes late (a
comics editor's essay on the mechanics of editing, 2019).
"""

from __future__ import annotations

import io

import pytest
from PIL import Image, ImageDraw

from ledger.judge.agreed.doors import charged
from ledger.read.config import default_book, default_book_toml
from tests.judge.shelf import Shelf, lock, told

SCRIPT = """\
# One

## The harbour office

[page 1]

[panel 1]
Wren shoulders the door open.

W: You said the map was here, Tom.
T: It was.

[panel 2]
Paper everywhere. A lamp burns low.

W: Then somebody took it. Look at the dust.

[page 2]

[panel 1]
The tide gauge, far below.

CAP: Three hours to high water.
"""
BOOK = default_book_toml("The Salt Lantern", pages=2).replace("# [cast]\n# W =", '[cast]\nT = "Tomas"\nW =')
PANELS = SCRIPT.index("[panel 1]"), SCRIPT.index("[panel 2]"), SCRIPT.index("[page 2]")
SWAPPED = (
    SCRIPT[: PANELS[0]] + SCRIPT[PANELS[1] : PANELS[2]].replace("[panel 2]", "[panel 1]")
    + SCRIPT[PANELS[0] : PANELS[1]].replace("[panel 1]", "[panel 2]") + SCRIPT[PANELS[2] :]
)  # fmt: skip

#: What somebody types late, and what of it the sign-off of each pass says.
CHANGES = {
    "a comma": (SCRIPT.replace("here, Tom", "here Tom"), "", "", "block wording-changed p1.1"),
    "a line ten per cent longer": (
        SCRIPT.replace("Look at the dust.", "Look at that dust."), "", "", "block wording-changed p1.2"),
    "a line cut": (SCRIPT.replace("T: It was.\n", ""), "block line-cut p1.1", "block line-cut p1.1",
                   "block wording-changed p1.1"),
    "the same words in another mouth": (
        SCRIPT.replace("T: It was.", "W: It was."), "block speaker-changed p1.1", "block speaker-changed p1.1", ""),
    "action rewritten": (SCRIPT.replace("A lamp burns low.", "A gull stands on the desk."), "",
                         "look action-changed p1.2", "look action-changed p1.2"),
    "two panels swapped": (SWAPPED, "block panel-moved p1", "block panel-moved p1", ""),
}  # fmt: skip


def page(across: int) -> bytes:
    picture = Image.new("L", (60, 90), 255)
    ImageDraw.Draw(picture).rectangle((across, 20, across + 20, 60), fill=0)
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


FILES: dict[str, str | bytes] = {
    "script/01.md": SCRIPT,
    **{f"art/{name}/p001.png": page(5) for name in ("thumbs", "pencils", "inks", "flats", "colours", "letters")},
}


def late(name: str, changed: dict[str, str | bytes]) -> list[str]:
    """What is said of a change after this pass of the usual ladder was signed off."""
    shelf, pass_ = Shelf(), default_book("x").pass_named(name)
    assert pass_ is not None and pass_.locks, f"{name} closes nothing"
    mine = {path: data for path, data in FILES.items() if path == "script/01.md" or path.startswith(f"art/{name}/")}
    closed = lock(shelf, name, pass_.locks, mine)
    base = shelf.state(FILES, [closed], book=BOOK)
    return told(charged([base], shelf.state({**FILES, **changed}, [closed], book=BOOK), shelf))


def test_what_signing_off_closes() -> None:
    """T-110 to T-118: outline, script, thumbs, flats and colours close nothing, proofs nothing by default (O-9)."""
    assert {each.name: each.locks for each in default_book("x").passes if each.locks} == {
        "pencils": ("structure",), "inks": ("structure", "drawing"), "letters": ("wording",),
    }  # fmt: skip
    assert [each.name for each in default_book("x").passes] == [
        "outline", "script", "thumbs", "pencils", "inks", "flats", "colours", "letters", "proofs",
    ]  # fmt: skip


@pytest.mark.parametrize("what", CHANGES)
def test_after_pencils(what: str) -> None:
    """T-113, T-119: the wording of every line and the drawing are free, structure is not."""
    changed, said, _, _ = CHANGES[what]
    assert changed != SCRIPT
    assert said in (" ".join(late("pencils", {"script/01.md": changed})) or "")
    assert bool(late("pencils", {"script/01.md": changed})) == bool(said)
    assert late("pencils", {"art/pencils/p001.png": page(30)}) == []


@pytest.mark.parametrize("what", CHANGES)
def test_after_inks(what: str) -> None:
    """T-114, T-119: wording that fits the balloon is free; action is asked about."""
    changed, _, said, _ = CHANGES[what]
    found = late("inks", {"script/01.md": changed})
    assert said in " ".join(found) and bool(found) == bool(said)


def test_after_inks_no_redrawing() -> None:
    """T-114."""
    assert late("inks", {"art/inks/p001.png": page(30)}) == ["block panel-redrawn p1"]
    assert late("inks", {"art/colours/p001.png": page(30), "art/pencils/p001.png": page(30)}) == []


@pytest.mark.parametrize("what", CHANGES)
def test_after_letters(what: str) -> None:
    """T-117, T-119: nothing in the words may change, not a comma."""
    changed, _, _, said = CHANGES[what]
    found = late("letters", {"script/01.md": changed})
    assert said in " ".join(found) and bool(found) == bool(said)
    assert late("letters", {"art/letters/p001.png": page(30)}) == []


@pytest.mark.parametrize(
    ("length", "grown", "tight"),
    [(40, 46, False), (40, 47, True), (20, 23, False), (20, 24, True), (40, 30, False)],
)
def test_a_balloon_grows_by_more_than_its_share(length: int, grown: int, tight: bool) -> None:
    """T-088, O-3: 0.15 of the characters as lettered, blanks included, "more than"; a shorter line never."""
    signed = SCRIPT.replace("It was.", "a" * (length - 6) + " bells")
    changed = SCRIPT.replace("It was.", "a" * (grown - 6) + " bells")
    shelf = Shelf()
    closed = lock(shelf, "pencils", ["structure"], {"script/01.md": signed})
    base = shelf.state({"script/01.md": signed}, [closed], book=BOOK)
    found = charged([base], shelf.state({"script/01.md": changed}, [closed], book=BOOK), shelf)
    assert told(found) == (["look balloon-tight p1.1"] if tight else [])
