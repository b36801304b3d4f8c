"""People are put into `[cast]` by line; every byte that was there stays."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.book import Person
from ledger.model.errors import Refusal
from ledger.read.cast_edit import add_people
from ledger.read.config import read_book

TOP = '[book]\ntitle = "A"\npages = 3\n'
WREN = Person("OLD WREN", 'Old "Wren"')


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (TOP, TOP + '\n[cast]\n+\n'),
        (TOP + "[cast]\n", TOP + "[cast]\n+\n"),
        (TOP + '[cast] # who\nT = "Tom" # one\n\n# passes\n[[pass]]\n',
         TOP + '[cast] # who\nT = "Tom" # one\n+\n\n# passes\n[[pass]]\n'),
        (TOP + '[cast]\nT = { name = "Tom", also = [\n  "x", # ]\n] }',
         TOP + '[cast]\nT = { name = "Tom", also = [\n  "x", # ]\n] }\n+\n'),
        ((TOP + '[cast]\nT = "Tom"\n').replace("\n", "\r\n"), (TOP + '[cast]\nT = "Tom"\n+\n').replace("\n", "\r\n")),
        (TOP + '[cast.T]\nname = "Tom"\n', TOP + '[cast.T]\nname = "Tom"\n\n[cast]\n+\n'),
    ],
)  # fmt: skip
def test_where_the_line_goes(before: str, after: str) -> None:
    before = before.replace("[[pass]]\n", '[[pass]]\nname = "script"\nkind = "text"\nfiles = "script/*.md"\n')
    after = after.replace("[[pass]]\n", '[[pass]]\nname = "script"\nkind = "text"\nfiles = "script/*.md"\n')
    assert add_people(before.encode(), [WREN]).decode() == after.replace("+", '"OLD WREN" = "Old \\"Wren\\""')


def test_a_cast_of_one_line_is_left_to_its_author() -> None:
    with pytest.raises(Refusal, match="no line can be added") as refusal:
        add_people(('cast = { T = "Tom" }\n' + TOP).encode(), [WREN])
    assert refusal.value.remedy and "OLD WREN" in refusal.value.remedy


@given(st.text(st.characters(codec="utf-8"), min_size=1, max_size=12).filter(str.strip))
def test_any_name_reads_back(typed: str) -> None:
    (person,) = read_book(add_people(TOP.encode(), [Person(typed, typed)])).cast
    assert person.key == typed
