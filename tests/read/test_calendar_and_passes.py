"""Days and passes of `book.toml`: ranges, names, patterns, and what each pass is when little is said of it."""

from __future__ import annotations

from datetime import date

import pytest

from ledger.model.book import Book, Pass
from ledger.model.errors import Refusal
from ledger.read.config import read_book

TOP = '[book]\ntitle = "The Salt Lantern"\npages = 3\n'


def book(*lines: str) -> Book:
    return read_book((TOP + "\n".join(lines) + "\n").encode())


def refused(*lines: str) -> Refusal:
    with pytest.raises(Refusal) as caught:
        book(*lines)
    return caught.value


def days_off(listed: str) -> tuple[date, ...]:
    return book("[calendar]", f"days_off = {listed}").calendar.days_off


def test_days_are_counted_once_and_stand_in_order() -> None:
    found = days_off('["2026-12-30..2027-01-02", 2027-01-01, "2026-12-31"]')
    assert found == (date(2026, 12, 30), date(2026, 12, 31), date(2027, 1, 1), date(2027, 1, 2))


@pytest.mark.parametrize(
    ("listed", "days"),
    [
        ("[]", 0),
        ('["2026-12-24..2026-12-24"]', 1),
        ('["2028-02-28..2028-03-01"]', 3),
        ('[" 2026-12-24 .. 2026-12-25 "]', 2),
        ('["9999-12-30..9999-12-31"]', 2),
    ],
)
def test_ranges_hold_both_ends(listed: str, days: int) -> None:
    assert len(days_off(listed)) == days


@pytest.mark.parametrize(
    "listed",
    [
        '["2026-12-27..2026-12-24"]',
        '["0001-01-01..9999-12-31"]',
        '["2026-02-30"]',
        '["..2026-12-24"]',
        '["2026-12-24.."]',
        '["christmas"]',
        "[2026]",
        "[2026-12-24T00:00:00Z]",
        '[["2026-12-24"]]',
        '"2026-12-24"',
        '[""]',
    ],
)
def test_what_is_no_day_is_refused_at_its_line(listed: str) -> None:
    said = refused("[calendar]", 'working_days = ["mon"]', f"days_off = {listed}")
    assert (said.path, said.line) == ("book.toml", 6)
    assert "days_off" in said.message and said.remedy


@pytest.mark.parametrize("said", ["2026-01-01T10:00:00", "10:00:00", "true", "{ a = 1 }", '"christmas"'])
def test_what_is_no_day_is_shown_as_it_was_typed(said: str) -> None:
    assert refused("[calendar]", f"days_off = [{said}]").message.startswith(f"{said} in 'days_off' is no date")


def test_working_days_are_a_set() -> None:
    assert book("[calendar]", 'working_days = ["sun", "mon", "sun"]').calendar.working_days == (0, 6)
    assert book("[calendar]").calendar.working_days == (0, 1, 2, 3, 4)


@pytest.mark.parametrize(("typed", "near"), [("Mon", "mon"), ("monday", "mon"), ("tues", "tue")])
def test_a_day_nearly_right_is_offered(typed: str, near: str) -> None:
    assert refused("[calendar]", f'working_days = ["{typed}"]').remedy == f"did you mean '{near}'?"


def test_a_week_without_work_is_refused() -> None:
    assert "is empty" in refused("[calendar]", "working_days = []").message


# -- passes


def one(*lines: str) -> Pass:
    return book("[[pass]]", *lines).passes[0]


@pytest.mark.parametrize(
    ("lines", "kind", "files"),
    [
        (['name = "script"'], "text", ("script/*.md",)),
        (['name = "outline"'], "text", ("outline/*.md",)),
        (['name = "inks"'], "art", ("art/inks/p{page}.png",)),
        (['name = "lore"', 'kind = "text"'], "text", ("lore/*.md",)),
        (['name = "lore"', 'files = "lore/*.txt"'], "text", ("lore/*.txt",)),
        (['name = "script"', 'files = "scans/p{page}.tif"'], "art", ("scans/p{page}.tif",)),
        (['name = "inks"', 'files = ["a/p{page}.png", "b/p{page}.tif"]'], "art", ("a/p{page}.png", "b/p{page}.tif")),
    ],
)
def test_what_a_pass_is_when_little_is_said(lines: list[str], kind: str, files: tuple[str, ...]) -> None:
    found = one(*lines)
    assert (found.kind, found.files) == (kind, files)


@pytest.mark.parametrize("name", ["inks", "inks2", "2nd-look", "inks-2b", "passage", "locked", "colour-guide"])
def test_names_a_pass_can_have(name: str) -> None:
    assert one(f'name = "{name}"').name == name


@pytest.mark.parametrize(
    "name",
    [
        "inks-2",
        "Inks",
        "inks one",
        "-inks",
        "tusché",
        "inks/a",
        "..",
        "inks\\n",
        "lock",
        "lock-inks",
        "pass",
        "reopen-all",
        "handoff",
        "delivery-x",
        "alteration",
    ],
)
def test_names_that_would_be_taken_for_something_else(name: str) -> None:
    said = refused("[[pass]]", 'kind = "art"', f'name = "{name}"')
    assert "can't name a pass" in said.message and said.line == 6 and said.remedy


@pytest.mark.parametrize(
    "pattern",
    [
        "/etc/p{page}.png",
        "~/p{page}.png",
        "../p{page}.png",
        "art/../../p{page}.png",
        "C:/p{page}.png",
        ".git/p{page}.png",
        ".GIT/p{page}.png",
        "art\\\\p{page}.png",
        "..\\\\p{page}.png",
        "art/p{page}.png\\u0000",
    ],
)
@pytest.mark.parametrize("key", ["files", "masters"])
def test_no_pattern_leaves_the_book(pattern: str, key: str) -> None:
    said = refused("[[pass]]", 'name = "inks"', f'{key} = "{pattern}"')
    assert (said.path, said.line) == ("book.toml", 6) and f"'{key}'" in said.message


@pytest.mark.parametrize("pattern", ["./script/*.md", "script//*.md", "script/./*.md", ".//script/*.md"])
def test_a_pattern_is_spelt_as_git_spells_paths(pattern: str) -> None:
    """Git lists `script/01.md`, whatever way there is typed: a pass that holds no file in silence helps nobody."""
    found = one('name = "script"', f'files = "{pattern}"', f'masters = "{pattern}"')
    assert (found.files, found.masters) == (("script/*.md",), "script/*.md")
    named = book(f'[cast]\nW = {{ name = "Wren", sheet = "{pattern}" }}')
    assert named.cast[0].sheet == "script/*.md"


@pytest.mark.parametrize("pattern", ["script/", ".", "./", "art/inks/."])
def test_a_folder_alone_is_no_pattern(pattern: str) -> None:
    said = refused("[[pass]]", 'name = "inks"', f'files = "{pattern}"')
    assert (said.line, said.message) == (6, f"'{pattern}' in 'files' names a folder, no file")


@pytest.mark.parametrize("pattern", [".git/*.md", "./.git/*.md", ".//.GIT/x.md"])
def test_the_folder_of_git_holds_no_files_of_a_pass(pattern: str) -> None:
    said = refused("[[pass]]", 'name = "script"', f'files = "{pattern}"')
    assert "git's own" in said.message and said.remedy == "put the files into another folder"


def test_a_text_pass_is_read_from_text() -> None:
    assert "can't be read as text" in refused("[[pass]]", 'name = "script"', 'files = "script/*.docx"').message
    assert one('name = "script"', 'files = "script/*"').kind == "text"


def test_a_circle_is_named_from_pass_to_pass() -> None:
    passes = [("ink", "pencil"), ("pencil", "ink"), ("proof", "ink")]
    said = refused(*(f'[[pass]]\nname = "{name}"\nfrom = ["{source}"]' for name, source in passes))
    assert said.message == "passes go in a circle: ink from pencil from ink"
    assert said.line == 6
    assert refused('[[pass]]\nname = "ink"\nfrom = ["ink"]').message == "passes go in a circle: ink from ink"


def test_a_pass_may_be_made_from_one_that_stands_below() -> None:
    found = book('[[pass]]\nname = "inks"\nfrom = ["script"]', '[[pass]]\nname = "script"')
    assert found.passes[0].comes_from == ("script",)
    said = refused('[[pass]]\nname = "inks"\nfrom = ["scirpt"]', '[[pass]]\nname = "script"')
    assert (said.line, said.remedy) == (6, "did you mean 'script'?")


def test_two_passes_of_one_name() -> None:
    said = refused('[[pass]]\nname = "inks"', '[[pass]]\nname = "inks"')
    assert (said.message, said.line) == ("two passes are named 'inks'", 7)


@pytest.mark.parametrize("lines", ["pass = 3", 'pass = ["inks"]', '[pass]\nname = "inks"'])
def test_passes_are_tables_in_two_brackets(lines: str) -> None:
    with pytest.raises(Refusal, match="must be a list of tables") as caught:
        read_book(f"{lines}\n{TOP}".encode())
    assert caught.value.remedy == "write [[pass]], in two brackets"


@pytest.mark.parametrize(
    ("line", "said"),
    [('mode = "cymk"', "'cmyk'"), ('returns = "flat"', "'flats'"), ('locks = ["art"]', "known here"),
     ('locks = ["draw"]', "'drawing'")],
)  # fmt: skip
def test_a_word_nearly_right_is_offered(line: str, said: str) -> None:
    assert said in (refused("[[pass]]", 'name = "inks"', line).remedy or "")


@pytest.mark.parametrize(
    "line", ["ppi = 0", "ppi = -1", "ppi = nan", "ppi = inf", "per_day = true", 'due = "2027-03-01"', "files = []"]
)
def test_numbers_and_days_that_can_not_be(line: str) -> None:
    assert refused("[[pass]]", 'name = "inks"', line).line == 6
