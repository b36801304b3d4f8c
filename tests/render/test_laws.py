"""Laws of what is shown: whatever two drafts hold, every row fits the terminal and every document its schema."""

from __future__ import annotations

import json
import re

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.compare import compare_drafts
from ledger.model.change import Comparison, Side
from ledger.model.memo import MemoFacts
from ledger.model.script import Draft
from ledger.read.script import read_script
from ledger.render.changes.document import compare_document
from ledger.render.changes.text import compare_text
from ledger.render.json_text import json_text
from ledger.render.memo.change_memo import memo_markdown
from ledger.render.plain import columns, visible
from tests.schema_check import checked

#: What somebody may type, a paragraph a row.
TYPED = """\
# Chapter: The tide gauge
# Kapitel 2: Flut
## Harbour office
## 潮位計潮位計潮位計潮位計潮位計潮位計潮位計潮位計潮位計潮位計潮位計潮位計潮位計潮位計
## \x1b[2J
[page]
[page 4]
[panel]
[pages 2-3]
[omitted]
W: You said the map was here.
W: never again never again never again never again never again never again never again never again never again
T: It was. {whisper}
T: a_b *c* <d> [e](f) `g` &amp;
W & T: Now!
CAP: Three hours to high water.
SFX: KRRRK
Gulls on the rail, grey on grey.
Wren & Tomas run.
xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"""
ROWS = st.sampled_from(TYPED.splitlines())
DRAFTS = st.lists(ROWS, max_size=14).map("\n\n".join)


def read(text: str) -> Draft:
    return read_script([("script/01.md", text.encode())], ())


def compared(old: str, new: str) -> Comparison:
    before, after = read(old), read(new)
    sides = [
        Side(name, d.words, len(d.scenes), len(d.pages), d.panels) for name, d in (("script-1", before), (".", after))
    ]
    return Comparison(sides[0], sides[1], compare_drafts(before, after))


@settings(max_examples=60, deadline=None)
@given(DRAFTS, DRAFTS)
def test_every_row_fits_and_steers_nothing(old: str, new: str) -> None:
    found = compared(old, new)
    for text in (compare_text(found), compare_text(found, everything=True, all_lines=True)):
        assert visible(text) == text
        assert max(columns(row) for row in text.split("\n")) <= 80


@settings(max_examples=60, deadline=None)
@given(DRAFTS, DRAFTS)
def test_every_document_is_as_its_schema_says(old: str, new: str) -> None:
    found = compared(old, new)
    for every in (False, True):
        checked(json.dumps({"schema": "inkledger/compare/1", **compare_document(found, every)}))


@settings(max_examples=60, deadline=None)
@given(DRAFTS, DRAFTS)
def test_what_is_printed_is_the_document(old: str, new: str) -> None:
    found = compared(old, new)
    for every in (False, True):
        assert json_text(compare_document(found, every, for_print=True)) == json_text(compare_document(found, every))


@settings(max_examples=60, deadline=None)
@given(DRAFTS, DRAFTS)
def test_a_memo_holds_every_line_of_a_new_or_cut_scene(old: str, new: str) -> None:
    found = compared(old, new)
    memo = memo_markdown(found, MemoFacts("The Salt Lantern", "script-1", "script-2"))
    plain = re.sub(r"\\([\\`*_\[\]<>&~|#])", r"\1", memo)
    for change in found.draft.scenes:
        for line in (
            line for scene in change.old or change.new for line in scene.lines if change.kind in ("cut", "new")
        ):
            assert visible(line.text) in plain
    assert visible(memo) == memo


@given(DRAFTS)
@settings(max_examples=30, deadline=None)
def test_a_draft_against_itself_is_one_sentence(draft: str) -> None:
    assert compare_text(compared(draft, draft)).endswith("\n\nNothing has changed.")
