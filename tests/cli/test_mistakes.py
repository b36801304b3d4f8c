"""Painful mistakes of the trade, and what catches them (trade facts T-201 to T-224; common practice, no source).

What is not made here stands elsewhere; `tests/outside/README.md` says where.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from PIL import Image

from tests.cli.conftest import Tell
from tests.pictures.drawn import inked, saved
from tests.plan.typed import script_text
from tests.schema_check import checked
from tests.typed_book import TypedBook

SIZE = (50, 75)


def rules(tell: Tell, book: TypedBook, *words: str, code: int | None = 0) -> list[tuple[str, str | None]]:
    """Rule and page of everything that a look at the book says."""
    found = checked(tell(book.top, *(words or ("check",)), "--json", code=code).out)["findings"]
    return [(each["rule"], each["page"]) for each in found]


def typed(top: Path, text: str, toml: str = "") -> TypedBook:
    """A book of a script alone."""
    book = TypedBook(top)
    top.mkdir()
    book.git("init", "-q", "-b", "main")
    pages = text.count("[page ") + 2 * text.count("[pages ")
    book.write("book.toml", f'[book]\ntitle = "The Weir"\npages = {pages}\n{toml}\n[[pass]]\nname = "script"\n')
    book.write("script/01.md", text)
    return book


WORKED = script_text(30, (12,), {22: 1})
#: A page large enough to be looked at panel by panel.
LARGE = (200, 300)


def with_a_page_after(text: str, after: int) -> str:
    """A new page behind this one, every later mark a number higher."""

    def higher(mark: re.Match[str]) -> str:
        return re.sub(r"\d+", lambda found: str(int(found[0]) + (int(found[0]) > after)), mark[0])

    renumbered = re.sub(r"\[pages? [\d-]+\]", higher, text)
    return renumbered.replace(f"[page {after + 2}]", f"[page {after + 1}]\n\nGulls.\n\n[page {after + 2}]", 1)


def test_a_late_insert_flips_every_later_side(tell: Tell, tmp_path: Path) -> None:
    """T-201, T-217, T-218: weighed before, found after."""
    book = typed(tmp_path / "weir", WORKED)
    book.write("book.toml", (book.top / "book.toml").read_text() + '\n[[pass]]\nname = "pencils"\nfrom = ["script"]\n'
               'locks = ["structure"]\n')  # fmt: skip
    book.ledger("enter", "script")
    book.write("art/pencils/p001.png", saved(inked(1, SIZE)))
    book.ledger("enter", "pencils")
    book.ledger("lock", "pencils")
    weighed = checked(tell(book.top, "weigh", "--add", "1@5", "--json", code=None).out)
    assert len(weighed["pages"]["flipped"]) == 25 and weighed["pages"]["flipped"][0] == "6"
    assert [each["broken"] for each in (*weighed["spreads"], *weighed["reveals"])] == [True, True]
    assert weighed["locks"] == ["lock-pencils-1"]
    book.write("script/01.md", with_a_page_after(WORKED, 5))
    book.change("book.toml", "pages = 30", "pages = 31")
    found = rules(tell, book, code=1)
    assert ("spread-side", "13-14") in found and ("reveal-side", "23") in found
    assert {"page-added", "page-moved"} <= {rule for rule, _ in found}
    spreads = checked(tell(book.top, "spreads", "--json").out)["findings"]
    assert {(each["rule"], each["page"]) for each in spreads} == {("spread-side", "13-14"), ("reveal-side", "23")}


def test_a_page_inked_from_an_old_script(tell: Tell, entered: TypedBook) -> None:
    """T-202."""
    entered.change("script/01.md", "N: Push.\n", "N: Push.\nJ: I am pushing.\n")
    entered.ledger("enter", "script", "-m", "second")
    assert rules(tell, entered) == [("page-stale", "2")]
    status = checked(tell(entered.top, "status", "--json").out)
    assert [each["pages"]["stale"] for each in status["passes"] if each["name"] == "pencils"] == [["2"]]


def test_one_number_for_two_pages(tell: Tell, entered: TypedBook) -> None:
    """T-203: in the script, and of exports."""
    entered.change("script/01.md", "[page 3]", "[page 2]")
    entered.draw("pencils", "4", 9)
    found = checked(tell(entered.top, "check", "--json").out)["findings"]
    told = {(each["path"], each["page"]) for each in found if each["rule"] == "page-number"}
    assert told == {("script/01.md", "3"), ("art/pencils/p4.png", "4")}


def test_the_wrong_page_under_a_name(tell: Tell, entered: TypedBook) -> None:
    """T-204: where the right picture is elsewhere in the book."""
    for page in (1, 2):
        entered.write(f"art/pencils/p00{page}.png", saved(inked(page, LARGE)))
    entered.ledger("enter", "pencils", "-m", "larger")
    entered.write("art/pencils/p001.png", saved(inked(2, LARGE)))
    assert ("page-duplicate", "2") in rules(tell, entered)
    entered.write("art/pencils/p002.png", saved(inked(1, LARGE)))
    found = checked(tell(entered.top, "compare", "--json").out)["pictures"]
    assert [(each["page"], each["kind"]) for each in found] == [("1", "swapped"), ("2", "swapped")]


def test_an_old_name_left_after_a_renaming(tell: Tell, entered: TypedBook) -> None:
    """T-208: on a line of speech it is told."""
    entered.change("book.toml", 'N = "Nell"', 'M = "Mara"')
    entered.write("script/01.md", (entered.top / "script/01.md").read_text().replace("N: ", "M: ", 2))
    found = checked(tell(entered.top, "check", "--json").out)["findings"]
    told = [(each["line"], each["message"]) for each in found if each["rule"] == "unknown-key"]
    lines = (entered.top / "script/01.md").read_text().splitlines()
    assert [lines[line - 1] for line, _ in told] == [each for each in lines if each.startswith("N: ")] and told
    assert all("'N'" in message for _, message in told)


def test_panels_drawn_are_not_those_written(tell: Tell, entered: TypedBook) -> None:
    """T-210: of a script that says how many it has, and of a page that was laid out anew."""
    entered.change("script/01.md", "[page 4]", "PAGE FOUR (3 panels)")
    assert rules(tell, entered) == [("panel-count", "4")]
    entered.write("art/pencils/p003.png", saved(inked(3, LARGE)))
    entered.ledger("enter", "pencils", "-m", "larger")
    wide = Image.new("L", LARGE, 255)
    for left in (12, 104):
        wide.paste(0, (left, 15, left + 84, 285))
        wide.paste(255, (left + 3, 18, left + 81, 282))
    entered.write("art/pencils/p003.png", saved(wide))
    found = checked(tell(entered.top, "compare", "--json").out)["pictures"]
    assert [(each["page"], each["kind"]) for each in found] == [("3", "layout")]


def test_a_wrong_size_mode_or_resolution(tell: Tell, entered: TypedBook) -> None:
    """T-211, T-213: the bleed is missed where the canvas has the size of the trimmed page, and not where white was
    put around it."""
    entered.change("book.toml", "bleed_mm = 0\n", "bleed_mm = 3\n")
    entered.change("book.toml", 'from = ["script"]\n', 'from = ["script"]\nmode = "1"\n')
    whole = (56, 81)
    for page in (1, 2, 3, 4):
        entered.write(f"art/pencils/p00{page}.png", saved(inked(page, whole)))
    assert rules(tell, entered) == []
    entered.write("art/pencils/p001.png", saved(inked(1, SIZE)))
    around = Image.new("1", whole, 1)
    around.paste(inked(2, SIZE), (3, 3))
    entered.write("art/pencils/p002.png", saved(around))
    entered.write("art/pencils/p003.png", saved(inked(3, whole).convert("L")))
    entered.write("art/pencils/p004.png", saved(inked(4, whole), dpi=(300, 300)))
    assert rules(tell, entered) == [("export-size", "1"), ("export-mode", "3"), ("export-size", "4")]


def test_a_master_is_not_judged(tell: Tell, entered: TypedBook) -> None:
    """T-167, T-212, T-224: only the export can be judged. Layers flattened in the working file, a scar on the other
    cheek: nobody here claims to see it."""
    entered.change("book.toml", 'from = ["script"]\n', 'from = ["script"]\nmasters = "work/p{page}.*"\n')
    for content in (b"8BPS, in layers", b"flattened, and no picture at all"):
        os.utime(entered.write("work/p001.psd", content), (1, 1))
        assert rules(tell, entered) == []
    told = tell(entered.top, "--help").out + tell(entered.top, "check", "--help").out
    assert not any(word in told.lower() for word in ("continuity", "layer"))


def test_blanks_at_the_end_are_shown_and_no_finding(tell: Tell, tmp_path: Path) -> None:
    """T-037, T-219: at most two end blanks are wished for (GPO Style Manual, 2008, 1.15); here are fourteen."""
    book = typed(tmp_path / "weir", WORKED.replace("[page 30]", "[page 30]\n\nDusk."), "signature = 16")
    shown = checked(tell(book.top, "spreads", "--json").out)
    assert (shown["extent"], shown["signature"], shown["blanks"], shown["findings"]) == (30, 16, 2, [])
    assert "2 pages blank at the end" in " ".join(tell(book.top, "spreads").out.split())
    weighed = checked(tell(book.top, "weigh", "--add", "4@30", "--json").out)
    assert (weighed["extent"]["blanks_old"], weighed["extent"]["blanks_new"], weighed["findings"]) == (2, 14, [])
    assert rules(tell, book) == []


@pytest.mark.parametrize("again", [True, False])
def test_an_earlier_export_put_back(tell: Tell, entered: TypedBook, again: bool) -> None:
    """T-221: told where it is the very picture."""
    first = (entered.top / "art/pencils/p001.png").read_bytes()
    entered.write("art/pencils/p001.png", saved(inked(7, SIZE)))
    entered.ledger("enter", "pencils", "-m", "redrawn")
    entered.write("art/pencils/p001.png", first if again else saved(inked(8, SIZE)))
    assert rules(tell, entered) == ([("page-reverted", "1")] if again else [])


def test_a_number_that_was_left_out_is_not_used_again(tell: Tell, tmp_path: Path) -> None:
    """T-054: a page omitted after the lock keeps its number."""
    head, page, rest = WORKED.partition("[page 3]")
    omitted = f"{head}{page}\n\n[omitted]\n\n{rest[rest.index('[page 4]') :]}"
    book = typed(tmp_path / "weir", omitted)
    assert rules(tell, book) == []
    book.write("script/01.md", omitted.replace("[omitted]\n", "[omitted]\n\n[page 3]\n\nGulls.\n"))
    assert ("page-number", "4") in rules(tell, book)


def test_a_page_keeps_its_identity_under_another_number(tell: Tell, tmp_path: Path) -> None:
    """T-052: put in after 4, old page 5 is moved, not cut and added."""
    book = typed(tmp_path / "weir", script_text(8, (), {}))
    book.ledger("enter", "script")
    book.write("script/01.md", with_a_page_after(script_text(8, (), {}), 4))
    found = checked(tell(book.top, "compare", "--json").out)["pages"]
    kinds = {(each["old"], each["new"]): each["kind"] for each in found}
    assert kinds[None, "5"] == "added"
    assert [kinds[str(old), str(old + 1)] for old in range(5, 9)] == ["moved"] * 4
    assert "cut" not in kinds.values()
