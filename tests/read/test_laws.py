"""Laws that hold for every draft, however it was typed."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.model.words import word_runs
from ledger.read.blocks import blocks_of
from ledger.read.drafting import Drafting
from ledger.read.outline import read_outline
from ledger.read.script import read_script
from ledger.read.typed_text import rows_of

CAST = (Person("K", "Kesh"), Person("O", "Orla Venn", ("VENN",)))
ROWS = st.sampled_from(
    ["", "", "# Low water", "## Shed", "### Page two", "[page]", "[page 2]", "[pages 4-5]", "[panel]", "Panel 3. Mud.",
     "[page 3, panel 1] K: Up.", "[reveal]", "[omitted]", "PAGE TWELVE (5 panels)", "K: Hold the lamp.", "ORLA VENN",
     "VENN (OP): *Now.*", "BRAM: Who am I?", "SFX: KR_RR_K", "CAP (Kesh): Low.", "K & O: Both!", "and row.",
     "Kesh rows.", "1. KESH: One.", "- a beat", "  - deeper", "> quoted",
     "---", "===", "    indented", "```", "`tick", "\\", "***",
     "<div>", "[thunder] strikes", "é à ü", "{whisper}", "K:", ":"]
)  # fmt: skip
DRAFTS = st.lists(ROWS, max_size=14)


def read(rows: list[str], end: str = "\n") -> Draft:
    return read_script([("s.md", end.join([*rows, ""]).encode())], CAST)


def parts(draft: Draft) -> tuple[object, ...]:
    """What a draft says, without the lines of the file it stands on."""
    lines = [(x.role, x.speaker, x.text, x.cue, x.page, x.panel, x.scene) for x in draft.lines]
    return lines, [(s.chapter, s.title, s.headed) for s in draft.scenes], [p.label for p in draft.pages], draft.words


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_read(data: bytes) -> None:
    for draft in (read_script([("s.md", data)], CAST), read_outline([("s.md", data)], ())):
        assert all(1 <= line.line <= line.end_line for line in draft.lines)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=120))
def test_any_text_is_read_and_none_of_it_lost(text: str) -> None:
    data = text.encode("utf-8", "surrogatepass").decode("utf-8", "replace").encode()
    draft = read_script([("s.md", data)], ())
    assert all(finding.path == "s.md" for finding in draft.findings)
    assert draft.words == sum(len(word_runs(line.text)) for line in draft.lines if line.lettered)


@settings(max_examples=300, deadline=None)
@given(DRAFTS)
def test_no_word_is_lost(rows: list[str]) -> None:
    draft = read(rows)
    there = " ".join(
        [*(f"{x.key} {x.cue} {x.text}" for x in draft.lines), *(f"{s.chapter} {s.title}" for s in draft.scenes),
         *(f.message for f in draft.findings)]
    )  # fmt: skip
    kept = set(re.findall(r"[^\W_]+", there.lower()))
    marks = {"page", "pages", "panel", "panels", "reveal", "omitted", "two", "twelve", "div"}
    for row in rows:
        words = {word for word in re.findall(r"[^\W_]+", row.lower()) if not word.isdigit()} - marks
        assert words <= kept, row


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(ROWS, st.sampled_from(["\n", "\n\n", "\n \n"])).map("".join), max_size=14).map("".join))
def test_lines_that_are_read_at_once_are_read_as_their_blocks_are(text: str) -> None:
    drafting = Drafting(CAST)
    rows, drafting.findings = rows_of("s.md", text.encode())
    drafting.file("s.md", blocks_of(rows))
    assert read_script([("s.md", text.encode())], CAST) == drafting.draft(["s.md"])


@settings(max_examples=200, deadline=None)
@given(DRAFTS)
def test_line_ends_make_no_difference(rows: list[str]) -> None:
    assert read(rows, "\r\n") == read(rows, "\r") == read(rows)


@settings(max_examples=200, deadline=None)
@given(DRAFTS, st.integers(0, 14))
def test_a_comment_changes_nothing(rows: list[str], at: int) -> None:
    noted = [*rows[:at], "<!-- mine:", "", "K: nobody's -->", *rows[at:]]
    assert parts(read(noted)) == parts(read(rows))


@settings(max_examples=200, deadline=None)
@given(DRAFTS, DRAFTS)
def test_chapters_joined_in_one_file_read_the_same(first: list[str], second: list[str]) -> None:
    files = [(f"{n}.md", "\n".join([*rows, ""]).encode()) for n, rows in enumerate((first, second))]
    assert parts(read_script(files, CAST)) == parts(read([*first, "", *second]))


@settings(max_examples=200, deadline=None)
@given(DRAFTS)
def test_lines_stand_in_order_and_pages_count_up(rows: list[str]) -> None:
    draft = read(rows)
    assert [line.line for line in draft.lines] == sorted(line.line for line in draft.lines)
    assert [scene.index for scene in draft.scenes] == list(range(len(draft.scenes)))
    numbers = [int(part) for page in draft.pages for part in page.label.split("-")]
    assert numbers == sorted(set(numbers))
    assert {line.page for line in draft.lines} - {None} <= {page.label for page in draft.pages}
