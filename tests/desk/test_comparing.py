"""Which drafts and which pictures of two references are set side by side."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from ledger.desk.comparing import art_pairs, compare, compare_contents, sides, sources, told_text
from ledger.desk.contents import Contents, Exports
from ledger.desk.loose import of_path
from ledger.desk.reference import open_desk
from ledger.model.book import Book, Pass
from ledger.model.errors import Refusal
from ledger.model.pages import PageSet, parse_pages
from ledger.model.script import Draft
from ledger.model.snapshot import FileAt
from ledger.read.script import read_script
from tests.desk.salt_lantern import page

BOOK = Book(
    "The Salt Lantern", 4,
    passes=(Pass("outline", "text", ("outline/*.md",)), Pass("script", "text", ("script/*.md",)),
            Pass("inks", "art", ("art/inks/p{page}.png",), comes_from=("script",)),
            Pass("flats", "art", ("art/flats/p{page}.png",), comes_from=("inks",))),
)  # fmt: skip
NO_BOOK = Book("", 1)


def unread(file: FileAt) -> bytes:
    raise AssertionError(f"{file.path} is equal on both sides, so nobody need read it")


def art(*labels: str, oid: str = "1") -> Exports:
    return Exports({label: FileAt(f"p{label}.png", oid + label) for label in labels}, unread)


def side(name: str = "a", texts: tuple[str, ...] = (), pictures: Mapping[str, Exports] | None = None, *,
         named: str | None = None, loose: bool = False, pages: PageSet | None = None) -> Contents:  # fmt: skip
    found = Contents(
        name, NO_BOOK if loose else BOOK, dict.fromkeys(texts, Draft),
        {each: lambda e=exports: e for each, exports in (pictures or {}).items()}, named, loose=loose,
    )  # fmt: skip
    return found if pages is None else found._replace(pages=pages)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (side(texts=("outline", "script")), side(texts=("outline", "script")), "script"),
        (side(texts=("outline", "script")), side(texts=("outline", "script"), named="outline"), "outline"),
        (side(texts=("outline",), named="outline"), side(texts=("outline", "script")), "outline"),
        (side(texts=("outline",)), side(texts=("outline", "script")), "outline"),
        (side(texts=("outline",)), side(texts=("script",)), None),
        (side(), side(texts=("script",)), None),
    ],
)
def test_the_pass_named_is_told_else_the_script(old: Contents, new: Contents, told: str | None) -> None:
    assert told_text(old, new) == (None if told is None else (told, told))


@pytest.mark.parametrize(
    ("book", "told"),
    [(side(texts=("outline", "script")), "script"), (side(texts=("outline", "script"), named="outline"), "outline"),
     (side(texts=("outline",)), "outline"), (side(texts=("lore", "outline")), None), (side(), None)],
)  # fmt: skip
def test_a_loose_draft_stands_against_one_pass_of_the_book(book: Contents, told: str | None) -> None:
    loose = side(texts=("",), loose=True)
    assert told_text(loose, book) == (None if told is None else ("", told))
    assert told_text(book, loose) == (None if told is None else (told, ""))
    assert told_text(side(loose=True), book) is None


def pairs(old: Contents, new: Contents) -> list[tuple[str, bool]]:
    return [(pair.name, pair.across) for pair in art_pairs(old, new)]


def test_art_passes_that_both_sides_have() -> None:
    both = side(pictures={"inks": art("1"), "flats": art("1")})
    assert pairs(both, both) == [("inks", False), ("flats", False)]
    assert pairs(side(pictures={"inks": art("1")}), both) == [("inks", False)]


def test_two_different_passes_are_set_side_by_side_for_layout_alone() -> None:
    assert pairs(side(pictures={"inks": art("1")}), side(pictures={"flats": art("1")})) == [("flats", True)]
    assert pairs(side(pictures={"inks": art("1")}), side()) == []
    two = side(pictures={"flats": art("1"), "proofs": art("1")})
    assert pairs(side(pictures={"inks": art("1")}), two) == []


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [("pencils", "inks", ("inks", True)), ("old", "new", ("pages", False)), ("old", "inks", ("inks", False)),
     ("inks", "old", ("inks", False)), ("inks", "inks", ("inks", False))],
)  # fmt: skip
def test_two_folders_are_rounds_of_one_pass_unless_they_bear_names_of_two(
    old: str, new: str, told: tuple[str, bool]
) -> None:
    found = pairs(side(pictures={old: art("1")}, loose=True), side(pictures={new: art("2")}, loose=True))
    assert found == [told]


def test_a_folder_of_pages_needs_one_pass_to_stand_against() -> None:
    loose = side("scans", pictures={"scans": art("1")}, loose=True)
    assert pairs(loose, side(pictures={"inks": art("1")})) == [("inks", False)]
    assert pairs(side(pictures={"inks": art("1")}), loose) == [("inks", False)]
    assert pairs(loose, side(texts=("script",))) == []
    with pytest.raises(Refusal, match="scans could be pages of inks, flats"):
        art_pairs(side(pictures={"inks": art("1"), "flats": art("1")}), loose)


def test_pages_that_one_side_does_not_cover_are_left_out() -> None:
    old = side(pictures={"inks": art("1", "2", "3", "24-25")}, pages=parse_pages("2-24"))
    new = side(pictures={"inks": art("1", "2", "4", "24-25")}, pages=parse_pages("1-2,25"))
    (pair,) = art_pairs(old, new)
    assert (list(pair.old().files), list(pair.new().files)) == (["2", "24-25"], ["2", "24-25"])


def test_equal_pictures_are_not_read_and_a_spread_counts_as_two() -> None:
    inks = {"inks": art("1", "2-3", "f1")}
    found = compare_contents(side("a", pictures=inks), side("b", pictures=inks))
    assert found.pictures == () and (found.old.pages, found.new.pages) == (4, 4)
    assert (found.old.name, found.new.name) == ("a", "b")


def test_nothing_to_set_side_by_side_is_said_with_both_names() -> None:
    with pytest.raises(Refusal, match="script-1 and your files now hold nothing that can be set side by side"):
        compare_contents(side("script-1", texts=("script",)), side(".", pictures={"inks": art("1")}))
    with pytest.raises(Refusal, match="there is no draft to show as a patch"):
        sources(side(pictures={"inks": art("1")}), side(pictures={"inks": art("1")}))


def test_what_the_old_draft_lost_is_told_too_and_every_finding_once() -> None:
    def draft(data: bytes) -> Contents:
        return Contents("x", BOOK, {"script": lambda: read_script([("script/01.md", data)], ())})

    found = compare_contents(draft(b"# One\n\nW\xe9: No.\n"), draft(b"# One\n\nW: No.\n"))
    assert [finding.rule for finding in found.findings] == ["encoding"]
    same = compare_contents(draft(b"# One\n\nW\xe9: No.\n"), draft(b"# One\n\nW\xe9: No.\n"))
    assert [finding.rule for finding in same.findings].count("encoding") == 1


# -- files and folders without a book


def test_one_reference_needs_a_book(tmp_path: Path) -> None:
    (tmp_path / "a.md").write_text("W: Yes.\n")
    with pytest.raises(Refusal, match="there is no book here to compare with"):
        sides(open_desk(tmp_path), ["a.md"])


def test_two_plain_files(tmp_path: Path) -> None:
    (tmp_path / "a.md").write_text("# One\n\nADA: Yes.\n")
    (tmp_path / "b.txt").write_text("# One\n\nADA: Yes, of course I will come.\n")
    found = compare(tmp_path, ["a.md", "b.txt"])
    (line,) = found.draft.scenes[0].lines
    assert (line.kind, line.new and line.new.path, found.new.words) == ("reworded", "b.txt", 6)


def folder(top: Path, *names: str, data: bytes = b"W: Yes.\n") -> Path:
    for name in names:
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_bytes(data)
    return top


def files(top: Path) -> list[str]:
    return [path for path, _ in of_path(top, "drafts", NO_BOOK, None).sources[""]()]


def test_the_files_of_a_folder_in_name_order(tmp_path: Path) -> None:
    assert files(folder(tmp_path, "b.md", "a.txt", "B.md", ".hidden.md", "~$b.docx", "notes.json")) == [
        "B.md",
        "a.txt",
        "b.md",
    ]


def test_deeper_files_only_where_the_folder_has_none_of_its_own(tmp_path: Path) -> None:
    assert files(folder(tmp_path, "two/a.md", "one/b.md", ".old/c.md")) == ["one/b.md", "two/a.md"]
    assert files(folder(tmp_path, "z.md")) == ["z.md"]


def pages_of(top: Path) -> dict[str, str]:
    found = of_path(top, "scans", NO_BOOK, None)
    return {label: Path(file.path).name for label, file in found.art[top.name]().files.items()}


def test_pages_of_a_folder_by_the_numbers_in_their_names(tmp_path: Path) -> None:
    top = folder(
        tmp_path / "scans",
        "p010.png",
        "tide_002.tif",
        "p004-005.jpg",
        "cover.png",
        "f001.png",
        "logo.png",
        data=page(1),
    )
    assert pages_of(top) == {
        "cover": "cover.png",
        "f1": "f001.png",
        "2": "tide_002.tif",
        "4-5": "p004-005.jpg",
        "10": "p010.png",
    }


def test_versions_in_the_names_are_no_pages(tmp_path: Path) -> None:
    top = folder(tmp_path / "scans", "tide_012_v3.png", "tide_013_v3.png", "tide_014_v3.png", data=page(1))
    assert list(pages_of(top)) == ["12", "13", "14"]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("a.pdf", "set against a script"),
        ("a.rtf", "can't be compared"),
        ("p001.png", "one picture alone says no page"),
        ("nowhere.md", "neither a file nor a folder"),
        ("empty", "nothing in this folder can be compared"),
    ],
)
def test_what_can_not_be_compared_says_what_to_do(tmp_path: Path, name: str, said: str) -> None:
    folder(tmp_path, "a.pdf", "a.rtf", "p001.png", "empty/logo.svg")
    with pytest.raises(Refusal, match=said) as refused:
        of_path(tmp_path / name, name, NO_BOOK, None)
    assert refused.value.path == name


def test_files_inside_a_book_keep_their_folder(tmp_path: Path) -> None:
    folder(tmp_path, "drafts/a.md")
    for top, shown in ((tmp_path, "drafts/a.md"), (tmp_path / "drafts", "a.md"), (tmp_path / "elsewhere", "a.md")):
        for place in (tmp_path / "drafts", tmp_path / "drafts/a.md"):
            assert [path for path, _ in of_path(place, "x", BOOK, top).sources[""]()] == [shown]
