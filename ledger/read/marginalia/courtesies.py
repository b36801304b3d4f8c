"""Greetings and sign-offs of a mail: words that are surely no note (common practice in a few languages, no source).

What is asked here may only be yes where nobody would miss a note: every part of the words has to be known as a
courtesy, to the last one. Anything else, praise and questions too, is for the reader of the notes to judge.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

#: More words or signs than this are said for more than courtesy.
_MOST_WORDS, _MOST_SIGNS = 40, 400
_MOST_NAMES = 3

_GREETINGS = re.compile(
    r"(?:hi|hello|hey|hiya|dear|good (?:morning|afternoon|evening|day)|hallo|liebe[rs]?|guten (?:morgen|tag|abend)"
    r"|sehr geehrte[rs]?(?: (?:herr|frau))?|bonjour|bonsoir|salut|ch[eè]re?|hola|querid[oa]|estimad[oa]|ciao|car[oa]"
    r"|buongiorno|gentile|beste|hoi|dag|goedemorgen)(?P<whom>(?: .+)?)",
    re.IGNORECASE,
)
#: Whom a greeting may name beside names.
_ANYBODY = frozenset((
    "there", "all", "both", "everyone", "everybody", "team", "folks", "again", "and", "und", "et", "y", "e", "en",
))  # fmt: skip
_THANKS = re.compile(
    r"(?:(?:many|thousand) )?(?:thanks|thank you|thx|ta|danke|vielen dank|merci|mille mercis|gracias|muchas gracias"
    r"|grazie(?: mille)?|bedankt|dank je(?: wel)?)"
    r"(?: (?:so much|very much|a lot|again|in advance|beaucoup|sch[oö]n|dir))?"
    r"(?: for (?:sending|sharing) (?:it|this|these|them|(?:me )?the (?:pages|packet|script|draft|file))(?: over)?"
    r"| for (?:the|this) (?:packet|mail|file))?",
    re.IGNORECASE,
)
_PHRASES = frozenset((
    "here they are", "here are my notes", "here are the notes", "my notes are below", "notes are below", "notes below",
    "my notes", "my notes below", "see below", "here you go", "please find my notes below", "hope this helps",
    "i hope this helps", "hope that helps", "hope you are well", "i hope you are well", "hope you're well",
    "i hope you're well", "hope all is well", "talk soon", "speak soon", "see you soon", "more soon",
    "have a good day", "have a nice day", "have a good weekend", "have a nice weekend", "have a great weekend",
    "have a good evening", "good luck", "looking forward", "hier sind meine anmerkungen", "anbei meine anmerkungen",
    "bis bald", "voici mes notes", "a bientôt", "à bientôt", "hasta pronto", "a presto", "tot snel",
))  # fmt: skip
_CLOSINGS = frozenset((
    "best", "all best", "all the best", "best wishes", "with best wishes", "best regards", "kind regards",
    "kindest regards", "warm regards", "warmest regards", "with kind regards", "regards", "warmly", "warm wishes",
    "cheers", "yours", "yours sincerely", "yours truly", "yours faithfully", "yours ever", "as ever", "sincerely",
    "love", "much love", "with love", "take care", "bye", "bye for now", "xx", "xxx", "lg", "vg", "mfg", "grüße",
    "viele grüße", "liebe grüße", "beste grüße", "herzliche grüße", "schöne grüße", "mit freundlichen grüßen",
    "mit besten grüßen", "herzlich", "cordialement", "bien cordialement", "bien à vous", "bien à toi", "amicalement",
    "amitiés", "bises", "saludos", "un saludo", "un abrazo", "abrazos", "saluti", "cari saluti", "cordiali saluti",
    "un abbraccio", "groet", "groeten", "groetjes", "met vriendelijke groet", "hartelijke groet",
))  # fmt: skip
_SENT_FROM = re.compile(r"sent from my (?:i?phone|ipad|tablet|mobile(?: phone| device)?|android(?: phone)?)", re.I)
_NAME = re.compile(r"[^\W\d_][\w'\u2019-]*\Z")
_APART = re.compile(r"[,;.!:\u2026\u2013\u2014\n]+|\s-+\s|\A-+\s*")


class _Part(NamedTuple):
    """Words between two marks; `after` are the marks before them."""

    words: str
    after: str


def is_courtesy(rows: Sequence[str], author: str) -> bool:
    """Whether rows of a mail hold a greeting, thanks or a sign-off and nothing else at all.

    `author` is who wrote it, "" where that is not known.
    """
    text = "\n".join(row.strip() for row in rows if row.strip())
    if len(text) > _MOST_SIGNS or len(text.split()) > _MOST_WORDS or re.search(r"[?\d]", text):
        return False
    parts = list(_parts(text))
    closed = ""
    for at, (words, after) in enumerate(parts):
        plain = words.lower()
        if at == 0 and (greeting := _GREETINGS.fullmatch(words)) and _named(greeting["whom"].split(), _ANYBODY):
            continue
        if plain in _CLOSINGS:
            closed = "closing"
        elif _THANKS.fullmatch(words):
            closed = closed or "thanks"
        elif plain in _PHRASES or _SENT_FROM.fullmatch(words):
            continue
        elif not _signs(words, after, closed, author, last=_ends(parts[at + 1 :])):
            return False
    return bool(parts)


def _parts(text: str) -> Iterator[_Part]:
    """The words of a text between its marks; the point of an initial (`W.`, `E. Marsh`) ends nothing."""
    held = re.sub(r"(?<![\w.])([^\W\d_])\.(?=[ \t]+[^\W\d_a-z])", r"\1", text)
    start, after = 0, ""
    for found in [*_APART.finditer(held), None]:
        words = " ".join(re.sub(r"[^\w'\u2019 \t-]", " ", held[start : found.start() if found else None]).split())
        if words.strip("-"):
            yield _Part(words, after)
            after = ""
        if found:
            after += found.group()
            start = found.end()


def _ends(rest: Sequence[_Part]) -> bool:
    return all(_SENT_FROM.fullmatch(part.words) for part in rest)


def _signs(words: str, after: str, closed: str, author: str, *, last: bool) -> bool:
    """Whether words are the name that a mail ends with: its author's, or behind a sign-off one that may be."""
    names = words.split()
    if not last or not _named(names, frozenset()):
        return False
    known = {name.strip(".").lower() for name in author.split()}
    if {name.lower() for name in names} <= known | {each[:1] for each in known}:
        return True
    apart = "," in after if closed == "thanks" else bool(closed) and not re.search(r"[.!:\u2026]", after)
    return apart and (len(names) == 1 or not known)


def _named(words: Sequence[str], besides: frozenset[str]) -> bool:
    """Whether words are a few names, by how they are spelled."""
    names = [word for word in words if word.lower() not in besides]
    return len(names) <= _MOST_NAMES and all(_NAME.match(name) and not name[0].islower() for name in names)
