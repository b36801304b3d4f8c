"""What `bring` has to say, for a terminal and as a document."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.model.book import Person
from ledger.model.bringing import BroughtFile, BroughtPage, BroughtPages, BroughtScript, Clash
from ledger.model.finding import Finding
from ledger.render.bringing import brought_document, brought_text
from ledger.render.plain import columns

NEW = BroughtFile("script/01.md", "new", "The tide gauge", 1200, 3)


def script(*files: BroughtFile, **more: Any) -> BroughtScript:
    return BroughtScript("draft.docx", "script", files, **more)


def pages(*found: BroughtPage, **more: Any) -> BroughtPages:
    return BroughtPages("scans", "inks", found, **more)


def inked(number: int, state: str = "new") -> BroughtPage:
    return BroughtPage(f"tide_{number:03}.png", f"art/inks/p{number:03}.png", str(number), state)


def test_a_draft_becomes_files() -> None:
    told = brought_text(
        script(NEW, BroughtFile("script/02.md", "replaced", "", 1, 1), BroughtFile("script/03.md", "gone"))
    )
    assert told == (
        "draft.docx becomes 3 files of the pass script:\n"
        '  script/01.md "The tide gauge" 3 scenes, 1,200 lettered words (new)\n'
        "  script/02.md 1 scene, 1 lettered word (replaces what was brought before)\n"
        "  script/03.md (taken away: the draft has no such chapter now)\n"
        'Read it through, then: inkledger enter script -m "..."'
    )


def test_the_same_again_asks_for_nothing() -> None:
    told = brought_text(script(NEW.__class__("script/01.md", "unchanged", "", 9, 1), others=("script/09.md",)))
    assert told.endswith("(unchanged)\nscript/09.md stays as it is: not of this draft.")
    document = brought_document(script(BroughtFile("script/01.md", "unchanged")))
    assert (document["done"], document["paths"]) == (False, [])


def test_only_what_was_written_is_named_as_such() -> None:
    states = ("new", "replaced", "unchanged", "gone")
    found = script(*(BroughtFile(f"script/0{n}.md", state) for n, state in enumerate(states, 1)))
    assert brought_document(found)["paths"] == ["script/01.md", "script/02.md"]
    assert [each["state"] for each in brought_document(found)["files"]] == list(states)


def test_speakers_and_cast() -> None:
    told = brought_text(script(NEW, speakers=(("ADA", 3), ("BO", 1))))
    said = (
        "Speakers that are not in [cast]: ADA (3 lines), BO (1 line). To write them there: bring it again with --cast"
    )
    assert said in " ".join(told.split())
    told = brought_text(script(NEW, speakers=(("ADDA", 1),), cast=(Person("ADA", "Ada"),)))
    assert "Written into [cast] of book.toml: ADA (Ada)\n" in told
    assert "Not written into [cast], as they look like slips of other names: ADDA (1 line)" in told
    document = brought_document(script(NEW, cast=(Person("ADA", "Ada"),)))
    assert document["paths"] == ["script/01.md", "book.toml"] and document["cast"] == [{"key": "ADA", "name": "Ada"}]


def unread(*lines: int, message: str = "a comment begins here and never ends") -> tuple[Finding, ...]:
    return tuple(Finding("text-dropped", "query", message, "script/01.md", line, remedy="close it") for line in lines)


def test_what_was_not_understood_by_cause_with_its_places() -> None:
    told = brought_text(script(NEW, unread=(unread(1, 2, 3, 4, 5, 6), unread(9, message="page 12 twice"))))
    assert "To look at, by cause (7 places):\n  text-dropped: a comment begins here and never ends\n" in told
    assert (
        "    script/01.md:1, script/01.md:2, script/01.md:3, script/01.md:4 and 2 more\n    To do: close it\n" in told
    )
    document = brought_document(script(NEW, unread=(unread(1, 2),)))
    assert document["unread"] == [
        {
            "rule": "text-dropped",
            "cause": "a comment begins here and never ends",
            "count": 2,
            "places": [{"path": "script/01.md", "line": 1}, {"path": "script/01.md", "line": 2}],
        }
    ]
    assert len(document["findings"]) == 2


def test_like_causes_are_counted_and_many_are_cut() -> None:
    told = brought_text(script(NEW, unread=((*unread(1), *unread(2, message="another")),)))
    assert "never ends (and 1 more like it)" in told
    assert brought_text(script(NEW, unread=tuple(unread(n) for n in range(1, 15)))).count("close it") == 12
    assert "  ... and 2 causes more" in brought_text(script(NEW, unread=tuple(unread(n) for n in range(1, 15))))


def clash(yours: bytes, brought: bytes) -> str:
    return brought_text(script(NEW, clashes=(Clash("script/01.md", yours, brought),)))


def test_a_clash_shows_both_versions_and_what_to_do() -> None:
    told = clash(b"W: Yes.\nT: No.\n", b"W: Yes.\nT: Never.\n")
    assert told.startswith("Stopped at a file that was changed since it was brought, or was never brought:")
    assert "\n  -T: No.\n  +T: Never.\nTo do: keep yours and bring the draft elsewhere with --to, or" in told
    document = brought_document(script(NEW, clashes=(Clash("script/01.md", b"a", b"b"),)))
    assert (document["done"], document["clashes"], document["paths"]) == (False, ["script/01.md"], [])


def test_a_clash_of_many_lines_is_cut() -> None:
    told = clash(b"".join(b"a%d\n" % n for n in range(60)), b"".join(b"b%d\n" % n for n in range(60)))
    assert "\n  ... and 81 rows more\n" in told
    assert len(told.split("\n")) < 60


@pytest.mark.parametrize(
    ("yours", "brought"),
    [
        (b"W: Yes.\r\n", b"W: Yes.\n"),
        (b"\xef\xbb\xbfW: Yes.\n", b"W: Yes.\n"),
        (b"W: Yes.", b"W: Yes.\n"),
        (b"W: \xff\n", b"W: \xfe\n"),
    ],
)
def test_two_versions_that_show_alike_are_named_as_such(yours: bytes, brought: bytes) -> None:
    rows = clash(yours, brought).split("\n")
    shown = [row for row in rows if row.startswith(("  -", "  +"))]
    assert shown or any("line ends" in row for row in rows)


def test_control_signs_of_a_draft_are_shown_not_sent() -> None:
    assert "\x1b" not in clash(b"W: \x1b[2J\n", b"W: No.\n")
    assert "\x1b" not in brought_text(script(BroughtFile("script/\x1b.md", "new", "\x1b[2J"), speakers=(("\x1b", 1),)))


# -- pages


def test_exports_become_pages() -> None:
    told = brought_text(
        pages(inked(1), inked(2, "replaced"), BroughtPage("cover final.png", "art/inks/cover.png", "cover"))
    )
    assert told == (
        "3 files of scans become inks:\n"
        "  tide_001.png     page 1  art/inks/p001.png\n"
        "  tide_002.png     page 2  art/inks/p002.png  (replaces what was brought before)\n"
        "  cover final.png  the cover  art/inks/cover.png\n"
        'Look them through, then: inkledger enter inks -m "..."'
    )


@pytest.mark.parametrize(
    ("holes", "told"),
    [(("3",), "Page 3 is missing in between."), (("3", "4", "7"), "Pages 3-4, 7 are missing in between.")],
)
def test_holes_are_named(holes: tuple[str, ...], told: str) -> None:
    assert told in brought_text(pages(inked(1), holes=holes))


def test_doubles_and_clashes_copy_nothing() -> None:
    doubled = pages(inked(1), doubles=(("1", ("a1.png", "b1.png")),))
    assert "page 1 twice: a1.png, b1.png\nNothing was copied: leave one file for each page" in brought_text(doubled)
    assert "1 file of scans would become inks:" in brought_text(doubled)
    clashing = pages(inked(1, "clash"), clashes=(Clash("art/inks/p001.png"),))
    assert "(yours differs)" in brought_text(clashing)
    assert "art/inks/p001.png is there and is another picture\nNothing was copied: move yours" in brought_text(clashing)
    for found in (doubled, clashing):
        document = brought_document(found)
        assert (document["done"], document["paths"]) == (False, [])
    assert brought_document(doubled)["doubles"] == [{"page": "1", "from": ["a1.png", "b1.png"]}]


def test_what_is_left_out_is_named() -> None:
    told = brought_text(pages(inked(1, "unchanged"), left=("logo.png", "notes.txt")))
    assert told.endswith("Left out, as no page can be told: logo.png, notes.txt\nAll of them are there already.")
    assert brought_document(pages(inked(1), left=("logo.png",)))["left"] == ["logo.png"]


def test_pages_that_are_there_already_are_not_named_as_written() -> None:
    document = brought_document(pages(inked(1, "unchanged"), inked(2)))
    assert document["paths"] == ["art/inks/p002.png"]
    assert [each["state"] for each in document["pages"]] == ["unchanged", "new"]


def test_names_in_wide_signs_stand_in_columns() -> None:
    told = brought_text(
        pages(BroughtPage("潮_01.png", "art/inks/p001.png", "1"), BroughtPage("t_002.png", "art/inks/p002.png", "2"))
    )
    rows = told.split("\n")[1:3]
    assert columns(rows[0][: rows[0].index("page 1")]) == columns(rows[1][: rows[1].index("page 2")])
