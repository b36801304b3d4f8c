"""What the trade and CommonMark say of a typed script, fact by fact; the source stands beside each.

The limits of words and panels (T-060 to T-087) are held in `tests/judge/test_draft.py`.
"""

from __future__ import annotations

import pytest

from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.model.words import count_words, normalise
from ledger.read.numerals import number
from ledger.read.script import read_script

CAST = (Person("W", "Wren"), Person("T", "Tomas"))


def read(text: str, cast: tuple[Person, ...] = ()) -> Draft:
    return read_script([("s.md", text.encode())], cast)


@pytest.mark.parametrize(
    ("balloon", "words"),
    [
        ("W: You said the map was here.", 6),  # T-071
        ("T: It was. {whisper}", 2),  # T-072
        ("CAP: Three hours to high water.", 5),  # T-073
        ("SFX: KRRRK", 1),  # T-074
        ("W: half-drowned", 1),  # T-075
        ("W: I-- I can't.", 3),  # T-076
        ("W: Wait... what?", 2),  # T-077
        ("W: ...", 0),  # T-078
        ("W: --", 0),  # T-078
        ("Wren (wet, tired) lifts the bag.\n\nW (OP): Not now, Tom.", 3),  # T-067: cues and action do not count
    ],
)
def test_words_as_the_letterer_letters_them(balloon: str, words: int) -> None:
    """A word is a run between blanks that holds a letter or digit: common practice, no source."""
    assert read(balloon).words == words


def test_the_sample_page() -> None:
    """T-079: the four lines of T-071 to T-074 are 14 words in 4 balloons (by counting)."""
    draft = read("W: You said the map was here.\nT: It was. {whisper}\nCAP: Three hours to high water.\nSFX: KRRRK\n")
    assert (draft.words, len(draft.lines)) == (14, 4)


@pytest.mark.parametrize("cue", ["CAP", "SFX", "FX", "OFF", "OP", "VO", "THOUGHT", "BURST", "WHISPER"])
def test_cues_are_no_characters(cue: str) -> None:
    """T-068: two published guides to comics script format; BURST from memory."""
    draft = read(f"{cue}: krr\n", CAST)
    assert [line.speaker for line in draft.lines] == [""]
    assert draft.findings == ()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("No, no.", "NO, no."),  # T-069: letterers set capitals anyway (a letterer's published tips, 2009)
        ("I--", "I—"),  # T-070: the same tips
        ("Wait...", "Wait…"),  # T-070
        ("can't", "can’t"),  # convention: straight quotes equal curly ones
    ],
)
def test_wordings_that_are_the_same(one: str, other: str) -> None:
    assert normalise(one) == normalise(other)
    assert count_words(one) == count_words(other)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("TWELVE", 12),
        ("TWENTY-FOUR", 24),
        ("twenty four", 24),
        ("ONE HUNDRED SIXTY", 160),
        ("ONE HUNDRED AND SIXTY", 160),
        ("one hundred and one", 101),
        ("a hundred", 100),
        ("NINE HUNDRED AND NINETY-NINE", 999),
        ("NINETEEN", 19),
        ("160", 160),
        ("TWENTY AND ONE", None),
        ("ONE TWO", None),
        ("SIXTY-TEN", None),
        ("HUNDRED AND", None),
        ("", None),
    ],
)
def test_numbers_in_words(typed: str, value: int | None) -> None:
    """T-106: common practice, no source."""
    assert number(typed) == value


@pytest.mark.parametrize("value", [*range(1, 200, 7), 300, 999])
def test_every_number_can_be_spelt(value: int) -> None:
    """T-106: what is spelt by the rules of English reads back as the number."""
    teens = [
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ]
    ones = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", *teens]
    tens = ["ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]

    def below(rest: int) -> str:
        if rest < 20:
            return ones[rest]
        return tens[rest // 10 - 1] + (f"-{ones[rest % 10]}" if rest % 10 else "")

    hundreds = f"{ones[value // 100]} hundred" if value >= 100 else ""
    rest = below(value % 100) if value % 100 else ""
    for spelt in {" ".join(filter(None, (hundreds, rest))), " and ".join(filter(None, (hundreds, rest)))}:
        assert number(spelt.upper()) == value
        (page,) = read(f"PAGE {spelt.upper()}\n\nW: Row.\n").pages
        assert page.label == str(value)


# CommonMark Spec 0.31.2; the section stands beside each.

FACTS = {
    "T-090 a line of hyphens below words (4.3)": ("Wren waits.\n---\nHere.\n", ["Wren waits.", "Here."]),
    "T-091 four blanks (4.4)": ("    W: four blanks\n", ["four blanks"]),
    "T-091 a tab (4.4)": ("\tW: a tab\n", ["a tab"]),
    "T-092 a link definition (4.7)": ("[page 12]: y\n", ["[page 12]: y"]),
    "T-096 two lines of a paragraph (4.8, 6.8)": ("W: Two lamps.\nT: One lamp.\n", ["Two lamps.", "One lamp."]),
    "T-097 two blanks at the line end (6.7)": ("W: Two lamps.  \nT: One lamp.\n", ["Two lamps.", "One lamp."]),
    "T-097 a backslash at the line end (6.7)": ("W: Two lamps.\\\nT: One lamp.\n", ["Two lamps.", "One lamp."]),
    "T-098 no emphasis inside a word (6.2)": ("SFX: KR_RR_K\n", ["KR_RR_K"]),
    "T-098 emphasis (6.2)": ("W: *not*\n", ["not"]),
    "T-099 a hash without a blank (4.2)": ("#hashtag\n\n#######\n", ["#hashtag", "#######"]),
    "T-100 a number inside a paragraph (5.2)": ("Posts.\n14. W\n", ["Posts. 14. W"]),
    "T-100 a list inside a paragraph (5.3)": ("Posts.\n1. W\n", ["Posts.", "1. W"]),
    "T-101 a comment over a blank line (4.6)": ("<!-- a\n\nb -->\n\nW: c\n", ["c"]),
    "T-102 a comment inside a line (6.6)": ("W: wait <!-- cut? --> here\n", ["wait here"]),
}


@pytest.mark.parametrize("fact", FACTS)
def test_the_traps_of_commonmark(fact: str) -> None:
    typed, words = FACTS[fact]
    draft = read(typed)
    assert [line.text for line in draft.lines] == words
    assert [scene.title for scene in draft.scenes] == [""]


def test_a_link_definition_makes_no_link_of_a_mark() -> None:
    """T-092, CommonMark 4.7."""
    draft = read("[page 1]\n\nW: A.\n\n[page 2]\n\nW: B.\n\n[page 2]: yonder\n")
    assert [line.page for line in draft.lines] == ["1", "2", "2"]


def test_braces_are_no_part_of_the_title() -> None:
    """T-094, CommonMark 4.2 leaves them in; the convention cuts them."""
    assert [(scene.title, scene.pin) for scene in read("## Harbour {#harbour}\n").scenes] == [("Harbour", "harbour")]


def test_all_line_ends_and_a_leading_mark() -> None:
    """T-103 and T-104, CommonMark 2.1."""
    typed = "# Tides\n\n## Quay\n\n[page 1]\n\nW: A.\nT: B.\n"
    for end in ("\r\n", "\r"):
        assert read(typed.replace("\n", end)) == read(typed)
    assert read("\ufeff" + typed) == read(typed)


def test_panels_of_a_page() -> None:
    """T-107: a splash counts as one panel (two published guides to comics script format)."""
    splash, five = read("PAGE ONE\n\nWren rows.\n\nPAGE TWO (5 panels)\n\n" + "Panel.\n\n[panel]\n\n" * 4).pages
    assert (splash.panel_count, five.declared, five.panel_count) == (1, 5, 4)
