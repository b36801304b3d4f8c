"""The 652 examples of the CommonMark Spec 0.31.2 (2024-01-28) read as drafts (trade facts T-090..T-104, T-315)."""

from __future__ import annotations

import html
import re
import tarfile
from pathlib import Path
from typing import NamedTuple

import pytest

from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.read.note_lines import split_lines
from ledger.read.outline import read_outline
from ledger.read.script import read_script

pytestmark = pytest.mark.commonmark

CAST = (Person("F", "foo"), Person("B", "bar", ("Baz",)))
_EXAMPLE = re.compile(r"^`{32} example\n(.*?)^\.\n(.*?)^`{32}$", re.MULTILINE | re.DOTALL)
_COMMENT = re.compile(r"(?<!\\)<!--(?:>|->|.*?-->)", re.DOTALL)
#: Tags that say how words look are no words; others are read as they stand.
_LOOKS = re.compile(r"</?(?:b|i|u|s|em|strong|small|big|sub|sup|br|span|font|center|p|div)\s*/?>", re.IGNORECASE)
_WORD = re.compile(r"[^\W_]+")


class Example(NamedTuple):
    number: int
    typed: str
    shown: str


@pytest.fixture(scope="module")
def examples(commonmark: Path) -> list[Example]:
    with tarfile.open(commonmark) as bundle:
        held = bundle.extractfile("package/spec.txt")
        assert held is not None
        found = _EXAMPLE.findall(held.read().decode())
    return [Example(n, typed.replace("→", "\t"), shown.replace("→", "\t")) for n, (typed, shown) in enumerate(found, 1)]


def read(typed: str) -> Draft:
    return read_script([("s.md", typed.encode())], ())


def kept(draft: Draft) -> str:
    """Every letter and digit that stands in a draft."""
    words = [" ".join((line.key, line.cue, line.text)) for line in draft.lines]
    words += [f"{scene.chapter} {scene.title}" for scene in draft.scenes]
    return "".join(_WORD.findall(" ".join(words).lower()))


def test_there_are_652(examples: list[Example]) -> None:
    assert len(examples) == 652


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_none_crashes_and_every_line_is_found_again(examples: list[Example], end: str) -> None:
    for example in examples:
        data = example.typed.replace("\n", end).encode()
        lines = split_lines(data)
        assert b"".join(lines) == data
        for draft in (read_script([("s.md", data)], CAST), read_outline([("s.md", data)], ())):
            at = 0
            for line in draft.lines:
                assert at <= line.line <= line.end_line <= len(lines), example
                at = line.line
                typed = b"".join(lines[at - 1 : line.end_line]).decode()
                span = "".join(_WORD.findall(typed + html.unescape(typed)))
                first = _WORD.search(line.text)
                assert first is None or first[0] in span, example


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_make_no_difference(examples: list[Example], end: str) -> None:
    for example in examples:
        assert read(example.typed.replace("\n", end)) == read(example.typed), example


def test_no_word_that_is_typed_is_lost_in_silence(examples: list[Example]) -> None:
    lost = []
    for example in examples:
        draft = read(example.typed)
        there, named = kept(draft), {finding.line for finding in draft.findings}
        typed = _COMMENT.sub(lambda found: "\n" * found[0].count("\n"), example.typed)
        for number, row in enumerate(typed.split("\n"), 1):
            # An entity stands for its sign, or, behind a backslash or in code, for what was typed.
            spelt = [_WORD.findall(said.lower()) for said in (row, html.unescape(_LOOKS.sub("", row)))]
            if number not in named and not any(all(word in there for word in words) for words in spelt):
                lost.append((example.number, row))
    assert lost == []


def test_no_word_that_is_shown_is_lost_in_silence(examples: list[Example]) -> None:
    lost = []
    for example in examples:
        draft = read(example.typed)
        there = kept(draft) + "".join(_WORD.findall(" ".join(f.message for f in draft.findings).lower()))
        shown = html.unescape(re.sub(r"<!--.*?-->|<[^>]*>", " ", example.shown, flags=re.DOTALL))
        # What code spells out is read as if it were words: a comment in it is a comment, an entity its sign.
        read_as_words = html.unescape(_LOOKS.sub("", _COMMENT.sub("", shown)))
        spelt = [_WORD.findall(said.lower()) for said in (shown, read_as_words)]
        if not any(all(word in there for word in words) for words in spelt):
            lost.append((example.number, shown))
    assert lost == []


@pytest.mark.parametrize("word", ["`&copy;`", "\\&copy;"])
def test_an_entity_that_is_typed_out_stays(word: str) -> None:
    assert "copy" in kept(read(word))
