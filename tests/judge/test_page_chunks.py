"""What is told of two states of a script without reading all of them: on which pages they differ."""

from __future__ import annotations

import pytest

from ledger.judge.agreed.first_look import only_remarks, only_words
from ledger.judge.pairing.script_pages import changed_pages, in_pages
from ledger.read.script import read_script

SCRIPT = """# One

## Harbour office

[page 1]
[panel 1]
Wren shoulders the door open.

W: You said the map was here.
T: It was, I swear. {whisper}

[page 2]
T: Ask the tide, the tide knows.

## The long pier

[page 3]
CAP: Three hours to high water.
"""


def pages(new: str, old: str = SCRIPT) -> list[str] | None:
    """The pages on which two scripts differ, by their labels."""
    before, after = (in_pages((("script/01.md", text.encode()),), ()) for text in (old, new))
    found = changed_pages(before, after) if before and after else None
    return None if before is None or found is None else [before.labels[page.at] for page in found]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("T: It was, I swear. {whisper}\\n", "", ["1"]),
        ("Wren shoulders the door open.", "Wren waits.", ["1"]),
        ("tide knows", "sea knows", ["2"]),
        ("CAP: Three", "CAP: Two", ["3"]),
        ("swear", "promise", ["1"]),
        ("[page 3]\\n", "<!-- mind the tide -->\\n\\n[page 3]\\n", ["2"]),
        ("W: You said the map was here.", "[reveal] W: You said the map was here.", ["1"]),
        ("W: You said the map was here.", "- W: You said the map was here.", ["1"]),
        ("## The long pier", "## The pier", ["2"]),
        ("## The long pier\\n", "", None),
        ("## Harbour office", "## The office", None),
        ("[page 3]\\n", "", None),
        ("[page 3]", "[page 4]", None),
        ("[page 3]", "Page 3", None),
        ("[page 3]", "[page 3] ", None),
        ("[page 3]", "[page 3, panel 1]", None),
        ("W: You said the map was here.", "PAGE TWO", None),
        ("W: You said the map was here.", "[omitted]", None),
        ("W: You said the map was here.", "<!-- W: You said the map was here.", None),
        ("W: You said the map was here.", "    W: You said the map was here.", None),
        ("W: You said the map was here.", "```", None),
        ("T: It was, I swear. {whisper}\\n\\n", "T: It was, I swear. {whisper}\\n", None),
    ],
)
def test_pages_that_differ(old: str, new: str, told: list[str] | None) -> None:
    old, new = old.replace("\\n", "\n"), new.replace("\\n", "\n")
    assert SCRIPT.count(old) == 1
    assert pages(SCRIPT.replace(old, new)) == told


@pytest.mark.parametrize(
    "files",
    [
        {"a.md": SCRIPT, "b.md": "[page 7]\n"},
        {"a.md": SCRIPT, "b.md": "T: No.\n\n[page 4]\n"},
        {"a.md": SCRIPT, "b.md": "[panel 2]\n\n[page 4]\n"},
        {"a.md": "T: No.\n"},
        {"a.md": b"\xff"},
        {"a.md": b"\xef\xbb\xbf" + SCRIPT.encode()},
        {"a.md": SCRIPT.replace("No", "N\0").replace("knows", "\0")},
    ],
)
def test_scripts_that_are_left_to_the_reader(files: dict[str, str | bytes]) -> None:
    typed = tuple((path, text if isinstance(text, bytes) else text.encode()) for path, text in files.items())
    assert in_pages(typed, ()) is None


def test_a_later_file_goes_on_where_the_one_before_ended() -> None:
    text = SCRIPT.encode()
    files = (("a.md", text), ("b.md", b"## The pier\n\n[page 4]\n\nT: No.\n"))
    found = in_pages(files, ())
    assert found is not None and found.labels == ("1", "2", "3", "4")
    assert found.titles == ("Harbour office", "The long pier", "The pier")


@pytest.mark.parametrize("remark", ["<!-- mind the tide -->", "<!-- W: No. -->", "<!-- [page 9] -->"])
@pytest.mark.parametrize("place", ["## Harbour office\n\n", "It was, I swear. {whisper}\n\n", "high water.\n"])
def test_a_remark_that_stands_apart_is_nothing_to_the_reader(remark: str, place: str) -> None:
    new = SCRIPT.replace(place, f"{place}{remark}\n\n" if place.endswith("\n\n") else f"{place}\n{remark}\n")
    assert only_words(SCRIPT.encode(), new.encode()) and only_remarks(SCRIPT.encode(), new.encode())
    old_draft, new_draft = (read_script((("script/01.md", t.encode()),), ()) for t in (SCRIPT, new))
    plain = [[line._replace(line=0, end_line=0) for line in draft.lines] for draft in (old_draft, new_draft)]
    assert plain[0] == plain[1]
    assert [page.label for page in old_draft.pages] == [page.label for page in new_draft.pages]


@pytest.mark.parametrize(
    "text",
    [
        "W: No.\n<!-- said -->\n\n",
        "\n<!-- said -->\nW: No.\n",
        "<!-- begun\n\nW: No. -->\n",
        "```\n\n<!-- x -->\n\n```\n",
    ],
)
def test_other_remarks_are_left_to_the_reader(text: str) -> None:
    assert not only_remarks(SCRIPT.encode(), (SCRIPT + text).encode())
