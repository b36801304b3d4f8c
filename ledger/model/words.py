"""Words as the letterer letters them, and the form in which two wordings are compared."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

_QUOTES = str.maketrans({"\u2018": "'", "\u2019": "'", "\u201a": "'", "\u201b": "'", "\u2032": "'",
                         "\u201c": '"', "\u201d": '"', "\u201e": '"', "\u201f": '"', "\u2033": '"',
                         "\u00a0": " ", "\u202f": " "})  # fmt: skip
_DASHES = r"--+|[\u2013\u2014\u2015]"
_SOFT = re.compile("[\u00ad\u200b-\u200d\u2060\ufeff\u2010\u2011]")
_DOTS = r"\.{3,}|\u2026"

#: Every letter and digit of ASCII as "a", every sign as "-", the blank as it is.
_ROUGH = bytes(32 if code == 32 else 97 if chr(code).isalnum() and code < 128 else 45 for code in range(256))
_BATCH = 500


def word_runs(text: str) -> list[str]:
    """The words of a text: runs between blanks that hold a letter or digit (common practice, no source)."""
    return [run for run in text.split() if run[0].isalnum() or any(map(str.isalnum, run))]


def count_words(text: str) -> int:
    """How many words a text has; `...` or `--` alone are none."""
    count = 0
    for run in text.split():
        if run[0].isalnum() or any(map(str.isalnum, run)):
            count += 1
    return count


def count_in_all(texts: Sequence[str]) -> int:
    """How many words texts have together, in which blanks are single and within.

    In ASCII a run is no word where it is nothing but signs: these few are counted, and what is left are words.
    """
    others = [text for text in texts if not text.isascii()]
    plain = [text for text in texts if text.isascii()] if others else texts
    count = sum(map(count_words, others))
    # By the batch: memory that was used a moment ago is there, new memory takes longer to get than to fill.
    for at in range(0, len(plain), _BATCH):
        batch = plain[at : at + _BATCH]
        runs = f" {' '.join(batch)} ".encode("ascii").translate(_ROUGH)
        lone = sum(set(run) == {45} for run in re.findall(rb"(?<= )-[^ ]*", runs)) if b" -" in runs else 0
        count += runs.count(b" ") - 1 - batch.count("") - lone
    return count


def normalise(text: str) -> str:
    """The form in which wordings are compared: case, emphasis and the typist's signs make no difference.

    Letterers set capitals anyway, two hyphens stand for a dash and three dots for an ellipsis; curly
    and straight quotes are equal, runs of blanks count once. Emphasis signs are gone when a draft is
    read, so they are not looked for here.
    """
    if _plain(text):
        return " ".join(text.lower().split())
    plain = unicodedata.normalize("NFC", text).translate(_QUOTES)
    plain = re.sub(_DOTS, "...", re.sub(_DASHES, "--", plain))
    return unicodedata.normalize("NFC", " ".join(plain.casefold().split()))


def normalise_all(texts: Sequence[str]) -> list[str]:
    """The same for many texts in which blanks are single and within, as `Line.text` has them."""
    together = "\n".join(texts)
    if texts and _plain(together):
        return together.lower().split("\n")
    return [text.lower() if _plain(text) else normalise(text) for text in texts]


def normal_words(text: str) -> list[str]:
    """The runs between blanks of a text, each normalised by itself."""
    return text.lower().split() if _plain(text) else list(map(normalise, text.split()))


def _plain(text: str) -> bool:
    """Whether nothing in a text is written in several ways but letters, great and small."""
    return text.isascii() and "--" not in text and "..." not in text


def lettered_key(text: str) -> str:
    """The form in which words of a script and of lettered pages are compared: as `normalise`, and blanks, hyphens and
    the ends of rows make no difference, since a letterer breaks rows and words where the balloon wants it."""
    bare = _SOFT.sub("", "".join(text.split()))
    return normalise(bare).replace("--", "\u2014").replace("-", "").replace("\u2014", "--")
