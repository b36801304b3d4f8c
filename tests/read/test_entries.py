"""Entries of the ledger: what is written reads back as it was; what is broken is refused with file and line."""

from __future__ import annotations

import tomllib
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.entry import Alteration, Delivery, Entry, Handoff, Lock, Reopen, Round
from ledger.model.errors import Refusal
from ledger.read.entries import entry_name, read_entry, write_entry
from ledger.read.entry_lines import read_plain_layout

OID = "3b18e512dba79e4c8300dd08aeb37f8e728b8dad"
LONG_OID = "f" * 64
WHEN = datetime(2026, 3, 2, 17, 20, tzinfo=timezone(timedelta(hours=1)))

ROUND = Round(
    path="ledger/inks-1.toml", number=1, date=WHEN, by="Ines Holm <ines@example.org>", message="chapter one inked",
    pages="1-24", files={"art/inks/p001.tif": OID, "art/inks/p002.tif": ""}, pass_name="inks",
    basis={"script": "script-4", "pencils": "pencils-2"},
    made_from={"1": {"pencils": OID, "script": f"{LONG_OID}-{LONG_OID}"}, "24-25": {"pencils": OID}},
)  # fmt: skip
LOCK = Lock(
    path="ledger/lock-inks-2.toml", number=2, date=WHEN, by="Ines", message="signed", pages="1-24,30",
    files={"script/01.md": OID}, pass_name="inks", scopes=("structure", "drawing"), round=3,
    approved_by="E. Marsh", how="mail of 3 March",
)  # fmt: skip
SLIP = Alteration(
    path="ledger/alteration-3.toml", number=3, date=WHEN, by="Ines", pages="3", files={"art/inks/p003.tif": LONG_OID},
    alteration_class="EA", reason="the lamp must be lit", asked_by="E. Marsh", scopes=("drawing",), passes=("inks",),
)  # fmt: skip
REOPEN = Reopen(path="ledger/reopen-1.toml", number=1, date=WHEN, by="Ines", pages="60-84", reason="the flood")
HANDOFF = Handoff(
    path="ledger/handoff-2.toml", number=2, date=WHEN, by="Ines", pages="1-4", files={"art/inks/p001.tif": OID},
    pass_name="flats", to="Odd Berge", round=1, returns=1, packet=True,
)  # fmt: skip
PROOFS = Handoff(path="ledger/handoff-3.toml", number=3, date=WHEN, by="Ines", pass_name="letters", delivery=2)
DELIVERY = Delivery(path="ledger/delivery-1.toml", number=1, date=WHEN, by="Ines", files={}, passes=("letters", "inks"))
ALL = [ROUND, LOCK, SLIP, REOPEN, HANDOFF, PROOFS, DELIVERY]


@pytest.mark.parametrize("entry", ALL, ids=lambda e: e.name)
def test_written_and_read_back(entry: Entry) -> None:
    assert read_entry(entry.path, write_entry(entry)) == entry


@pytest.mark.parametrize("entry", ALL, ids=lambda e: e.name)
def test_the_simple_layout_needs_no_parser_and_says_the_same(entry: Entry) -> None:
    assert read_plain_layout(write_entry(entry)) == tomllib.loads(write_entry(entry).decode())


def test_the_layout_of_a_round() -> None:
    assert (
        write_entry(ROUND).decode()
        == f"""\
entry   = "pass"
pass    = "inks"
round   = 1
date    = 2026-03-02T17:20:00+01:00
by      = "Ines Holm <ines@example.org>"
message = "chapter one inked"
pages   = "1-24"
basis   = {{ script = "script-4", pencils = "pencils-2" }}

[files]
"art/inks/p001.tif" = "{OID}"
"art/inks/p002.tif" = ""

[made_from]
"1" = {{ pencils = "{OID}", script = "{LONG_OID}-{LONG_OID}" }}
"24-25" = {{ pencils = "{OID}" }}
"""
    )


def test_the_layout_of_a_sign_off() -> None:
    assert (
        write_entry(LOCK)
        .decode()
        .startswith("""\
entry   = "lock"
pass    = "inks"
number  = 2
date    = 2026-03-02T17:20:00+01:00
by      = "Ines"
message = "signed"
pages   = "1-24,30"
scopes  = ["structure", "drawing"]
round   = 3
approved_by = "E. Marsh"
how     = "mail of 3 March"

[files]
""")
    )


def test_a_reopening_has_no_files_and_a_slip_has() -> None:
    assert b"[files]" not in write_entry(REOPEN)
    assert b"[files]" in write_entry(SLIP)


WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
OIDS = st.sampled_from([OID, LONG_OID, ""])
PATHS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=20)
ZONES = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))
WHENS = st.one_of(st.datetimes(datetime(1970, 1, 1), timezones=ZONES), st.dates())


@st.composite
def rounds(draw: Any) -> Round:
    number = draw(st.integers(1, 999_999))
    return Round(
        path=f"ledger/letters-{number}.toml", number=number, date=draw(WHENS), by=draw(WORDS), message=draw(WORDS),
        pages=draw(st.sampled_from([None, "1", "1-24,30", "cover,f1"])), files=draw(st.dictionaries(PATHS, OIDS)),
        pass_name="letters", basis=draw(st.dictionaries(PATHS, WORDS, max_size=3)),
        made_from=draw(st.dictionaries(st.sampled_from(["1", "2-3", "f1"]), st.dictionaries(PATHS, WORDS, max_size=3))),
        dated=draw(st.sampled_from([None, "stated"])), stands=draw(st.one_of(st.none(), WORDS)),
    )  # fmt: skip


@given(rounds())
def test_any_round_reads_back(entry: Round) -> None:
    data = write_entry(entry)
    assert read_entry(entry.path, data) == entry
    assert write_entry(read_entry(entry.path, data)) == data
    plain = read_plain_layout(data)
    assert plain is None or plain == tomllib.loads(data.decode())


@given(st.binary(max_size=200))
def test_any_bytes_are_an_entry_or_are_refused(data: bytes) -> None:
    with pytest.raises(Refusal) as refused:
        read_entry("ledger/inks-1.toml", data)
    assert refused.value.path == "ledger/inks-1.toml"
    assert refused.value.remedy


@given(st.lists(st.sampled_from(write_entry(ROUND).decode().splitlines()), max_size=20))
def test_the_two_readers_agree_on_shuffled_lines(rows: list[str]) -> None:
    data = "".join(row + "\n" for row in rows).encode()
    plain = read_plain_layout(data)
    if plain is not None:
        assert plain == tomllib.loads(data.decode())


GOOD = write_entry(LOCK).decode()

BROKEN: list[tuple[str, str, str, str, int]] = [
    ("no TOML", 'message = "signed"', 'message = "signed', "no readable TOML", 6),
    ("another kind", 'entry   = "lock"', 'entry   = "pass"', "lock", 1),
    ("another pass", 'pass    = "inks"', 'pass    = "letters"', "letters", 2),
    ("another number", "number  = 2", "number  = 3", "number 2", 3),
    ("a number that is a truth", "number  = 2", "number  = true", "number", 3),
    ("a date without offset", "17:20:00+01:00", "17:20:00", "offset", 4),
    ("a date that is none", "2026-03-02T17:20:00+01:00", '"March"', "date", 4),
    ("by that is no string", 'by      = "Ines"', "by      = 7", "by", 5),
    ("by that is a day", 'by      = "Ines"', "by      = 2026-03-02", "'by' is of the wrong kind: 2026-03-02", 5),
    ("pages that are none", '"1-24,30"', '"1-24,thirty"', "thirty", 7),
    ("an unknown scope", '["structure", "drawing"]', '["structure", "colour"]', "colour", 8),
    ("no scopes", 'scopes  = ["structure", "drawing"]\n', "", "the key 'scopes' is missing", 1),
    ("scopes that are no list", '["structure", "drawing"]', '"structure"', "scopes", 8),
    ("a round that is none", "round   = 3", "round   = 0", "round", 9),
    ("an unknown key", 'how     = "mail', 'howl    = "mail', "howl", 11),
    ("an id that is none", OID, "3b18e5", "3b18e5", 14),
    ("an id that is no string", f'"{OID}"', "3", "script/01.md", 14),
    ("a key twice", "number  = 2", "number  = 2\nnumber = 2", "no readable TOML", 4),
]


@pytest.mark.parametrize(("what", "old", "new", "said", "line"), BROKEN, ids=[row[0] for row in BROKEN])
def test_a_broken_entry_is_refused_with_its_line(what: str, old: str, new: str, said: str, line: int) -> None:
    assert old in GOOD
    with pytest.raises(Refusal) as refused:
        read_entry(LOCK.path, GOOD.replace(old, new, 1).encode())
    assert said in refused.value.message
    assert (refused.value.path, refused.value.line) == (LOCK.path, line)
    assert refused.value.remedy


@pytest.mark.parametrize("key", ["entry", "pass", "number", "date", "by"])
def test_a_key_that_must_be_there(key: str) -> None:
    rows = [row for row in GOOD.splitlines() if not row.startswith(key + " ")]
    with pytest.raises(Refusal) as refused:
        read_entry(LOCK.path, "\n".join(rows).encode())
    assert repr(key) in refused.value.message


def test_made_from_must_hold_tables() -> None:
    text = write_entry(ROUND).decode().replace(f'{{ pencils = "{OID}" }}', '"pencils"')
    with pytest.raises(Refusal) as refused:
        read_entry(ROUND.path, text.encode())
    assert "24-25" in refused.value.message
    assert refused.value.line == text.splitlines().index('"24-25" = "pencils"') + 1


def test_an_entry_in_another_encoding_is_named() -> None:
    with pytest.raises(Refusal) as refused:
        read_entry(LOCK.path, GOOD.replace("signed", "signé").encode("latin-1"))
    assert "UTF-8" in refused.value.message
    assert refused.value.line == 6


def test_a_name_that_is_no_unicode_can_not_be_written() -> None:
    broken = Round(
        path="ledger/inks-1.toml", number=1, date=WHEN, by="Ines", files={"art/\udcff": OID}, pass_name="inks"
    )
    with pytest.raises(Refusal):
        write_entry(broken)


def test_a_class_left_out_is_the_authors() -> None:
    text = write_entry(SLIP).decode().replace('class   = "EA"\n', "")
    found = read_entry(SLIP.path, text.encode())
    assert isinstance(found, Alteration)
    assert found.alteration_class == "AA"


def test_dates_may_be_days() -> None:
    stated = Round(
        path="ledger/script-1.toml", number=1, date=date(2025, 3, 1), by="Ines", pass_name="script", dated="stated"
    )
    assert read_entry(stated.path, write_entry(stated)) == stated
    assert read_entry(
        "ledger/script-1.toml", write_entry(stated).replace(b"2025-03-01", b"2025-03-01T10:00:00Z")
    ).date == (datetime(2025, 3, 1, 10, tzinfo=UTC))


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("ledger/inks-1.toml", ("pass", "inks", 1)),
        ("ledger/second-inks-12.toml", ("pass", "second-inks", 12)),
        ("ledger/lock-inks-2.toml", ("lock", "inks", 2)),
        ("ledger/alteration-3.toml", ("alteration", None, 3)),
        ("ledger/reopen-1.toml", ("reopen", None, 1)),
        ("ledger/handoff-1.toml", ("handoff", None, 1)),
        ("ledger/delivery-1.toml", ("delivery", None, 1)),
        ("ledger/README.md", None),
        ("ledger/notes.toml", None),
        ("ledger/old/inks-1.toml", None),
        ("ledger/inks-01.toml", None),
        ("art/inks-1.toml", None),
    ],
)
def test_names_of_entries(path: str, name: object) -> None:
    assert entry_name(path) == name
