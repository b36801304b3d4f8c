"""`book.toml`: every key of the convention is read; whatever it can't be is refused with file, line and remedy."""

from __future__ import annotations

from datetime import date

import pytest

from ledger.model.book import Limits
from ledger.model.errors import Refusal
from ledger.read.config import cast_findings, default_book, default_book_toml, read_book

WHOLE = """\
[book]
title = "The Salt Lantern"
reading = "rtl"
pages = 160
front_matter = 6
back_matter = 2
signature = 24
due = 2027-03-01

[page]
trim_in  = [6.625, 10.25]
bleed_in = 0.125
ppi      = 400
ink_limit = 300

[cover]
trim_mm = [348, 258.8]

[limits]
words_per_balloon = 20
words_per_panel   = "scaled"
words_per_page    = 180
panels_per_page   = 6
balloon_growth    = 0.1

[rules]
touch-up = "block"
over-limit = "off"

[calendar]
working_days = ["sat", "mon"]
days_off = [2027-01-01, "2026-12-24..2026-12-27", "2026-11-02"]

[cast]
W = "Wren"
T = { name = "Tomas  Arde", also = ["Tom", "TOMAS"], sheet = "designs/tomas*" }

[[pass]]
name = "script"
kind = "text"
files = ["script/*.md", "extra/*.txt"]

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.tif"
from = ["script"]
locks = ["structure", "drawing"]
ppi = 600
mode = "1"
per_day = 0.5
due = 2026-11-01
hands = "Ines"
masters = "work/inks/p{page}.*"
returns = "overlay"
"""
SHORT = '[book]\ntitle = "The Salt Lantern"\npages = 160\n'


def test_every_key_is_read() -> None:
    book = read_book(WHOLE.encode())
    assert (book.title, book.reading, book.pages, book.front_matter, book.back_matter) == (
        "The Salt Lantern", "rtl", 160, 6, 2,
    )  # fmt: skip
    assert (book.signature, book.due) == (24, date(2027, 3, 1))
    assert book.page is not None
    assert book.page.trim_mm == (168.275, 260.35)
    assert (book.page.bleed_mm, book.page.ppi, book.page.ink_limit) == (3.175, 400, 300)
    assert book.cover_mm == (348, 258.8)
    assert book.limits == Limits(20, None, 180, 6, 0.1)
    assert book.rules == {"touch-up": "block", "over-limit": "off"}
    assert book.calendar.working_days == (0, 5)
    assert [d.isoformat() for d in book.calendar.days_off] == [
        "2026-11-02", "2026-12-24", "2026-12-25", "2026-12-26", "2026-12-27", "2027-01-01",
    ]  # fmt: skip
    assert [(p.key, p.name, p.also, p.sheet) for p in book.cast] == [
        ("W", "Wren", (), None),
        ("T", "Tomas Arde", ("Tom", "TOMAS"), "designs/tomas*"),
    ]
    script, inks = book.passes
    assert (script.name, script.kind, script.files) == ("script", "text", ("script/*.md", "extra/*.txt"))
    assert (inks.comes_from, inks.locks, inks.ppi, inks.mode) == (("script",), ("structure", "drawing"), 600, "1")
    assert (inks.per_day, inks.due, inks.hands) == (0.5, date(2026, 11, 1), "Ines")
    assert (inks.masters, inks.returns) == ("work/inks/p{page}.*", "overlay")


def test_only_title_and_pages_are_required() -> None:
    book = read_book(SHORT.encode())
    assert (book.reading, book.front_matter, book.signature) == ("ltr", 0, 16)
    assert (book.page, book.passes, book.cast) == (None, (), ())
    assert book.limits == Limits()


def test_a_byte_order_mark_and_other_line_ends_make_no_difference() -> None:
    assert read_book(b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode()) == read_book(WHOLE.encode())


@pytest.mark.parametrize(
    ("before", "after", "said", "remedy"),
    [
        ('reading = "rtl"', 'reeding = "rtl"', "'reeding' in [book]", "'reading'"),
        ("[limits]", "[limit]", "'limit'", "'limits'"),
        ("[limits]", "[limits]\ntitel = 1", "'titel' in [limits] is no key", "'title' in [book]"),
        ("[limits]", "[limits]\ntrim_mm = 1", "'trim_mm' in [limits] is no key", "'trim_mm' in [page]"),
        ("[limits]", "[limits]\nxyzzy = 1", "'xyzzy' in [limits] is no key", "known here: words_per_balloon"),
        ("touch-up", "touchup", "'touchup' in [rules]", "'touch-up'"),
        ('locks = ["structure"', 'lock = ["structure"', "'lock' in [pass]", "'locks'"),
        ('also = ["Tom", "TOMAS"]', 'allso = ["Tom"]', "'allso' in [cast.T]", "'also'"),
        ("pages = 160", 'pages = "160"', "'pages' in [book] must be a whole number", "pages"),
        ("pages = 160", "pages = 0", "from 1 to 10000", "pages"),
        ("pages = 160", "pages = true", "whole number", "pages"),
        ('reading = "rtl"', 'reading = "left"', "'left'", ""),
        ("signature = 24", "signature = 10", "4, 8, 12, 16, 24, 32", ""),
        ("due = 2027-03-01", 'due = "2027-03-01"', "must be a date", "without quotes"),
        ("trim_in  = [6.625, 10.25]", "trim_in = [6.625]", "width and height", "trim_mm"),
        ("trim_in  = [6.625, 10.25]", "trim_in = [6.6, 10]\ntrim_mm = [168, 258]", "both say the size", "keep one"),
        ("bleed_in = 0.125", "bleed_in = nan", "must be a number", ""),
        ('words_per_panel   = "scaled"', 'words_per_panel = "half"', '"scaled"', ""),
        ('touch-up = "block"', 'touch-up = "error"', "'error'", ""),
        ('["sat", "mon"]', '["saturday"]', "'saturday'", ""),
        ("2026-12-24..2026-12-27", "2026-12-27..2026-12-24", "earlier to a later", "dates or ranges"),
        ('from = ["script"]', 'from = ["scribt"]', "'scribt', which is no pass", "'script'"),
        ('from = ["script"]', 'from = "script"', "must be a list", '["..."]'),
        ('from = ["script"]', 'from = ["inks"]', "circle: inks from inks", "take one"),
        ('name = "inks"', 'name = "inks-2"', "can't name a pass", "never ends"),
        ('name = "inks"', 'name = "lock-inks"', "the name of an entry", "another name"),
        ('name = "inks"', 'name = "Inks"', "can't name a pass", "a-z"),
        ('name = "inks"', 'name = "script"', "two passes are named", "another name"),
        ('"art/inks/p{page}.tif"', '"../inks/p{page}.tif"', "leaves the book's folder", ""),
        ('"art/inks/p{page}.tif"', '"/inks/p{page}.tif"', "leaves the book's folder", ""),
        ('"work/inks/p{page}.*"', '"work/../../p{page}.*"', "leaves the book's folder", ""),
        ('"designs/tomas*"', '"../tomas*"', "leaves the book's folder", ""),
        ('"extra/*.txt"]', '"extra/*.docx"]', "can't be read as text", ".md or .txt"),
        ('mode = "1"', 'mode = "2"', "'mode' in [pass]", ""),
        ("ppi = 600", "ppi = 0", "above 0", ""),
    ],
)
def test_what_it_cannot_be(before: str, after: str, said: str, remedy: str) -> None:
    assert before in WHOLE
    with pytest.raises(Refusal) as refused:
        read_book(WHOLE.replace(before, after, 1).encode())
    line = WHOLE[: WHOLE.index(before)].count("\n") + 1 + after.count("\n") * after.startswith(before)
    assert (refused.value.path, refused.value.line) == ("book.toml", line)
    assert said in refused.value.message
    assert remedy in (refused.value.remedy or "")


ODD = ["true", "1", "-1", "1.5", "-1.5", "inf", "nan", "99999999999999999999", '""', '" "', '"x"', '"../x"', "[]",
       "[1]", "[[1, 2]]", '["a", 1]', "[true, false]", "[0, 1]", "{}", "{ a = 1 }", "1979-05-27",
       "1979-05-27T00:00:00Z", "[1979-05-27T00:00:00Z]", '["2026-01-01..9999-01-01"]', '["..", "x"]',
       '"\\u0000"']  # fmt: skip


@pytest.mark.parametrize("at", [n for n, line in enumerate(WHOLE.splitlines()) if "=" in line])
def test_any_value_is_read_or_refused_at_its_line(at: int) -> None:
    lines = WHOLE.splitlines()
    for value in ODD:
        typed = [*lines[:at], f"{lines[at].partition('=')[0]}= {value}", *lines[at + 1 :]]
        try:
            read_book("\n".join(typed).encode())
        except Refusal as refused:
            assert refused.path == "book.toml"
            assert refused.message
            # Another line is told where it is the one that no longer fits, such as `from` naming a pass renamed here.
            assert refused.line == at + 1 or "'from'" in refused.message or "two passes" in refused.message, typed[at]


def test_a_pass_without_a_name() -> None:
    with pytest.raises(Refusal, match=r"'name' in \[pass\] is missing") as refused:
        read_book((SHORT + '\n[[pass]]\nkind = "text"\n').encode())
    assert refused.value.line == 5


def test_a_circle_through_others_is_named() -> None:
    text = SHORT + "".join(
        f'[[pass]]\nname = "{name}"\nfrom = ["{source}"]\n'
        for name, source in (("flats", "letters"), ("colours", "flats"), ("letters", "colours"))
    )
    with pytest.raises(Refusal, match="flats from letters from colours from flats") as refused:
        read_book(text.encode())
    assert refused.value.line == 6


@pytest.mark.parametrize("gone", ["title", "pages"])
def test_title_and_pages_are_missed(gone: str) -> None:
    text = "\n".join(line for line in SHORT.splitlines() if not line.startswith(gone))
    with pytest.raises(Refusal, match=f"'{gone}' in .book. is missing"):
        read_book(text.encode())


def test_broken_toml_names_the_line() -> None:
    with pytest.raises(Refusal) as refused:
        read_book(SHORT.encode() + b'due = "\n')
    assert (refused.value.path, refused.value.line) == ("book.toml", 4)


@pytest.mark.parametrize("title", ["Harbour", 'The "Salt" Lantern', "back\\slash", "Ünïcödé 塩", "tab\there"])
def test_what_init_writes_reads_back(title: str) -> None:
    book = read_book(default_book_toml(title, pages=48, reading="rtl", script="texts/*.txt").encode())
    assert (book.title, book.pages, book.reading) == (title, 48, "rtl")
    assert [p.name for p in book.passes] == [
        "outline", "script", "thumbs", "pencils", "inks", "flats", "colours", "letters", "proofs",
    ]  # fmt: skip
    assert {p.name: p.locks for p in book.passes if p.locks} == {
        "pencils": ("structure",), "inks": ("structure", "drawing"), "letters": ("wording",),
    }  # fmt: skip
    assert book.passes[1].files == ("texts/*.txt",)
    assert book.main_script() == book.passes[1]


def test_the_book_nobody_asked_about() -> None:
    book = default_book("harbour")
    assert (book.title, book.pages, book.page is not None) == ("harbour", 160, True)
    assert {p.files[0] for p in book.passes if p.kind == "art"} == {
        f"art/{p.name}/p{{page}}.png" for p in book.passes if p.kind == "art"
    }


def test_one_name_of_two_people() -> None:
    cast = '[cast]\nW = "Wren"\nV = { name = "Vera", also = ["Wren"] }\nT = "Tomas"\n'
    (clash,) = cast_findings(read_book((SHORT + cast).encode()))
    assert (clash.rule, clash.level, clash.path) == ("name-clash", "query", "book.toml")
    assert "'Wren'" in clash.message
    assert "Vera (V)" in clash.message


def test_a_key_typed_above_its_table_is_shown_the_way() -> None:
    with pytest.raises(Refusal) as refused:
        read_book(b'title = "The Salt Lantern"\npages = 3\n')
    assert (refused.value.line, refused.value.remedy) == (1, "did you mean 'title' in [book]?")


def test_names_that_differ_in_case_alone() -> None:
    """In capitals, as speakers are typed, both are one word."""
    cast = '[cast]\nW = "Wren"\nX = { name = "Xeno", also = ["wren"] }\n'
    (clash,) = cast_findings(read_book((SHORT + cast).encode()))
    assert (clash.rule, clash.level, clash.path) == ("name-clash", "query", "book.toml")
    assert clash.message == "'Wren' is Wren (W) and 'wren' is Xeno (X) in [cast]; WREN is read as Wren"


@pytest.mark.parametrize(
    "cast",
    [
        'W = "Wren"\nw = "Wilma"',
        'M = "MARSH"\nN = { name = "Nell", also = ["Marsh"] }',
        'T = { name = "Tomas", also = ["TOMAS", "tomas"] }',
    ],
)
def test_every_spelling_that_is_typed_out_is_one_person_s(cast: str) -> None:
    assert cast_findings(read_book((SHORT + f"[cast]\n{cast}\n").encode())) == ()


@pytest.mark.parametrize(("name", "cue"), [("Radio", "RADIO"), ("Cap", "CAP"), ("All", "ALL")])
def test_a_name_that_is_a_cue_in_capitals(name: str, cue: str) -> None:
    (clash,) = cast_findings(read_book((SHORT + f'[cast]\nR = "{name}"\n').encode()))
    assert clash.message == f"{cue} is a cue, so a line under it is not read as {name} (R), who is '{name}' in [cast]"


def test_a_cue_is_nobody() -> None:
    (clash,) = cast_findings(read_book((SHORT + '[cast]\nCAP = "Captain"\nW = "W"\n').encode()))
    assert "'CAP'" in clash.message
