"""`handoff.toml`: what is written reads back as it was; what was edited by hand is refused with file and line."""

from __future__ import annotations

import tomllib
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.errors import Refusal
from ledger.model.lending import Asked, Given, Known, Lending
from ledger.read.handoff_list import read_lending, safe_path, write_lending

DIGEST, OTHER = "a1" * 32, "b2" * 32
PICTURE = Known((130, 200), DIGEST, ("0a1b2c3d", "11111111", "22222222", "33333333"), ("aaaaaaaa", "bbbbbbbb", "0" * 8))
LENDING = Lending(
    number=3, book="The Salt Lantern", pass_name="flats", returns="flats", pages="1,24-25", to="Odd Berge",
    by="Ines Holm", when=datetime(2026, 3, 2, 17, 20, tzinfo=UTC), due=date(2026, 4, 1), mode="rgb", depth=8, ppi=400.0,
    lines="inks", entries={"inks": "inks-3", "script": "script-4"},
    asked=(Asked("1", "flats/p001.png", (130, 200), 0, {"inks": "3b18e5", "script": f"{DIGEST}-{OTHER}"}),
           Asked("24-25", "flats/p024-025.png", (260, 200), 3), Asked("24", "flats/p024.png")),
    given=(Given("inks/p001.png", OTHER, "inks", "1", PICTURE), Given("inks/p024-025.tif", OTHER, "inks", "24-25",
           Known((260, 200), OTHER)), Given("sheet.txt", DIGEST)),
)  # fmt: skip
TEXT = write_lending(LENDING).decode()


def test_what_is_written_reads_back() -> None:
    assert read_lending(TEXT.encode()) == LENDING
    assert tomllib.loads(TEXT)["entries"] == {"inks": "inks-3", "script": "script-4"}
    assert LENDING.entry == "handoff-3"


def test_a_person_can_read_it() -> None:
    head = TEXT.partition("[[page]]")[0]
    assert 'to      = "Odd Berge"\n' in head and "due     = 2026-04-01\n" in head and "ppi     = 400\n" in head
    assert max(map(len, head.splitlines())) <= 80


def test_another_editor_may_have_saved_it() -> None:
    again = "\ufeff" + TEXT.replace("\n", "\r\n").replace('book    = "', 'book="')
    assert read_lending(again.encode()) == LENDING


@given(st.text(min_size=1).filter(str.strip), st.text(), st.sampled_from(["1", "f1", "cover", "12"]))
def test_words_of_any_kind_come_back(book: str, to: str, page: str) -> None:
    lending = LENDING._replace(book=book, to=to if to.strip() else "", pages=page, asked=(Asked(page, "flats/a.png"),))
    assert read_lending(write_lending(lending)) == lending


def refused(text: str | bytes) -> Refusal:
    with pytest.raises(Refusal) as caught:
        read_lending(text.encode() if isinstance(text, str) else text)
    assert caught.value.path == "handoff.toml" and caught.value.line and caught.value.remedy
    return caught.value


EDITS = [
    ("handoff = 3", "handoff = 0"), ("handoff = 3", ""), ("handoff = 3", 'handoff = "3"'),
    ('"flats"\npages', '"lettering"\npages'), ('pass    = "flats"', 'pass    = "../x"'),
    ('pass    = "flats"', "pass = 1"),
    ('pages   = "1,24-25"', 'pages   = "1-3"'), ('pages   = "1,24-25"', 'pages   = "1"'),
    ('pages   = "1,24-25"', 'pages   = "all"'), ("date    = 2026-03-02T17:20:00+00:00", 'date = "today"'),
    ("date    = 2026-03-02T17:20:00+00:00", "date = 2026-03-02T17:20:00"), ("due     = 2026-04-01", "due = 4"),
    ('mode    = "rgb"', 'mode    = "lab"'), ("depth   = 8", "depth   = true"), ("ppi     = 400", "ppi     = 0"),
    ('lines   = "inks"', 'lines   = "pencils"'), ("entries = {", "entries = 4\nx = {"), ("depth ", "deep "),
    ("[130, 200]", "[130]"), ("[130, 200]", "[0, 200]"), ("[130, 200]", "[true, 200]"), ("[130, 200]", '"wide"'),
    ('"flats/p001.png"', '"flats/../p001.png"'), ('"flats/p001.png"', '"/p001.png"'), ('"flats/p001.png"', '"p.png"'),
    ('"flats/p001.png"', '"flats/P024.png"'), ('"flats/p001.png"', '"inks/P001.png"'),
    ('"inks/p001.png"', '"C:/p001.png"'), ('"inks/p001.png"', '"inks/nul.png"'), ('"inks/p001.png"', '"Handoff.toml"'),
    ('"inks/p001.png"', '"inks/a/p001.png"'), (f'"{OTHER}"', '"b2"'), (f'"{DIGEST}"', f'"{DIGEST.upper()}"'),
    ("0a1b2c3d ", ""), ("0a1b2c3d ", "0A1B2C3D "), ('page      = "1"', 'page      = "01"'),
    ('page      = "1"', 'page      = "24"'), ("within = 3", "within = -1"), ("[[page]]", "[page]"),
    ("[[given]]", "[given]"), ('made_from = { inks = "3b18e5"', "made_from = { inks = 3"), ("[[page]]", "[[pages]]"),
]  # fmt: skip


@pytest.mark.parametrize(("was", "now"), EDITS)
def test_an_edit_by_hand_is_refused_with_its_place(was: str, now: str) -> None:
    assert was in TEXT
    refused(TEXT.replace(was, now, 1))


def test_the_line_is_that_of_the_edit() -> None:
    edited = TEXT.replace('"inks/p024-025.tif"', '"../p024-025.tif"')
    line = next(at for at, said in enumerate(edited.splitlines(), 1) if "../p024" in said)
    assert refused(edited).line == line


@pytest.mark.parametrize("data", [b"\xff\xfe", b"handoff = [", b"", b"[" * 5000, b"page = 3\ngiven = 4", b"\0"])
def test_anything_else_is_refused(data: bytes) -> None:
    refused(data)


@given(st.integers(0, len(TEXT) - 1), st.integers(0, 60), st.text(max_size=3))
def test_a_damaged_list_is_read_or_refused(at: int, length: int, put: str) -> None:
    try:
        read_lending((TEXT[:at] + put + TEXT[at + length :]).encode("utf-8", "surrogatepass"))
    except Refusal as refusal:
        assert refusal.path == "handoff.toml"


@pytest.mark.parametrize("path", ["", ".", "..", "/a", "a/", "a//b", "a\\b", "a:b", ".git", "a/.b", "a.", "CON",
                                  "a/lpt1.png", "a\n", "a b", "ä.png", "x" * 101, "a/b/c"])  # fmt: skip
def test_names_that_are_not_the_same_everywhere(path: str) -> None:
    assert not safe_path(path)


@pytest.mark.parametrize("path", ["sheet.txt", "inks/p001.png", "inks/p024-025.TIF", "conte/p1.png", "f001.png"])
def test_names_that_are(path: str) -> None:
    assert safe_path(path)
