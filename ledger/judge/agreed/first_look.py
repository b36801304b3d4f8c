"""A first look at a changed script: were only words changed, in balloons that stayed where they are?

It only ever says "yes" where that is certain without reading the draft, so that a hook can let the commonest change
through at once. Everything else is judged in full. Nothing that is slow to import is imported here.
"""

from __future__ import annotations

from collections.abc import Sequence

#: The share by which a balloon may grow where `book.toml` says nothing else.
GROWTH = 0.15
_ROUNDING = 1e-9
#: Drafts met last, with their lines: several sign-offs hold one to the same. So many at most.
_MET: dict[str, list[str]] = {}
_KEPT = 64
#: Signs of a balloon that mean nothing to Markdown or to the marks of a script.
_PLAIN = frozenset(" .,;:!?'\"()-\u2013\u2014\u2026\u2018\u2019\u201c\u201d")


def only_words(agreed: bytes, now: bytes, *, drawn: bool = True) -> bool:
    """Whether two states of one script file differ in nothing but the words of balloons that still fit.

    Both must have the same lines but for remarks that stand apart and some that begin alike up to a colon (`W: words`);
    the words of such a line hold no sign that could be a mark, none stands where another line stood, and none grew too
    long. Where nothing is
    `drawn` yet such a line may be action as well; else what stands before the colon must be in capitals.
    """
    try:
        before, after = without_remarks(agreed.decode("utf-8")), without_remarks(now.decode("utf-8"))
    except UnicodeDecodeError:
        return False
    if len(before) != len(after):
        return False
    changed = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    if not changed:
        return True
    if not all(_reworded(old, new, drawn) for old, new in changed):
        return False
    # Words that stand nowhere in the whole text can't be those of a line; most often that is all there is to ask.
    flat = " ".join(" ".join(before).casefold().split())
    met = [words for _, new in changed if (words := _words(new)) in flat]
    there = {_words(line) for line in before} if met else set()
    return not any(words in there for words in met)


def only_remarks(agreed: bytes, now: bytes) -> bool:
    """Whether two states of one script file differ in nothing but remarks that stand apart."""
    try:
        return without_remarks(agreed.decode("utf-8")) == without_remarks(now.decode("utf-8"))
    except UnicodeDecodeError:
        return False


def without_remarks(text: str) -> Sequence[str]:
    """The lines of a draft without comments that stand between empty lines, each on one line of its own."""
    met = _MET.get(text)
    if met is None:
        if len(_MET) >= _KEPT:
            _MET.clear()
        met = _MET[text] = _without_remarks(text)
    return met


def _without_remarks(text: str) -> list[str]:
    lines = text.split("\n")
    if "<!--" not in text or "```" in text or "~~~" in text:
        return lines
    kept: list[str] = []
    apart = False
    for at, line in enumerate(lines):
        if apart:
            apart = False
        elif (
            line[:5] == "<!-- "
            and _ends_a_remark(line)
            and not (kept and kept[-1])
            and not (at + 1 < len(lines) and lines[at + 1])
        ):
            apart = True
        else:
            kept.append(line)
    return kept


def _ends_a_remark(line: str) -> bool:
    return line.find("-->") == len(line) - 3


def _reworded(old: str, new: str, drawn: bool) -> bool:
    key, colon, before = old.partition(":")
    same, _, after = new.partition(":")
    if not colon or key != same or not _is_key(key, drawn):
        return False
    before, after = " ".join(before.split()), " ".join(after.split())
    fits = len(after) - len(before) <= GROWTH * len(before) + _ROUNDING
    return fits and all(
        any(sign.isalnum() for sign in words) and all(sign.isalnum() or sign in _PLAIN for sign in words)
        for words in (before, after)
    )


def _is_key(key: str, drawn: bool) -> bool:
    """Whether what stands before a colon leaves no doubt that the rest of the line is words.

    Equal keys are read alike, so only signs that mean something to Markdown or to marks are in the way. In capitals
    (`W`, `CAP (Wren)`, `W & T`) it can be nothing but who speaks.
    """
    if not key[:1].isalpha() or not all(sign.isalnum() or sign in " ()&'." for sign in key):
        return False
    name = key.partition("(")[0]
    return not drawn or (name == name.upper() and name != name.lower())


def _words(line: str) -> str:
    """The words of a line, as two lines would be taken for the same one."""
    return " ".join(line.partition(":")[2].casefold().split())
