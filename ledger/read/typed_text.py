"""A typed file, bytes to lines: encodings named, every kind of line end, comments taken out."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from contextlib import suppress

from ledger.model.finding import Finding

#: A line of a file: its number, counted from 1, and its text without the line end.
Row = tuple[int, str]
#: Stands for a line that held nothing but a comment: it is not even empty. No text holds this sign otherwise.
GONE = "\0"

#: Blanks that are neither blank, tab nor line end; the first eight are the only ones of plain ASCII.
_ODD_BLANKS = (
    "\x0b\x0c\x1c\x1d\x1e\x1f\x85\xa0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"
    "\u2028\u2029\u202f\u205f\u3000"
)
_NO_UTF8 = "[\udc80-\udcff]"
_MARKED = (
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32"), (codecs.BOM_UTF32_BE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"), (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)  # fmt: skip
#: Encodings of the east that a draft may come in: codec, name, and a stretch of signs that no other language has.
_EASTERN = (
    ("cp932", "Shift-JIS", ("\u3041", "\u30ff")), ("euc_jp", "EUC-JP", ("\u3041", "\u30ff")),
    ("euc_kr", "EUC-KR", ("\uac00", "\ud7a3")),
)  # fmt: skip
_REMEDY = "save it again as UTF-8"


def rows_of(path: str, data: bytes) -> tuple[list[Row], list[Finding]]:
    """The lines of a file in order without the author's comments, and what there is to say about them.

    A line that held nothing but a comment is left out; one that was empty stays as "".
    """
    text, findings = text_of(path, data)
    return rows_in(text[:-1]) if text else [], findings


def rows_in(text: str, first: int = 1) -> list[Row]:
    """The lines of a text of `text_of`, or of a part of it that begins with the line `first`."""
    rows = list(enumerate(text.split("\n"), first))
    return [row for row in rows if row[1] != GONE] if GONE in text else rows


def text_of(path: str, data: bytes) -> tuple[str, list[Finding]]:
    """The text of a file without the author's comments, and what there is to say about it.

    Every line ends in "\\n", none has blanks before that; one that held nothing but a comment is GONE.
    """
    text, findings = decoded(path, data)
    return tidied(path, text, findings), findings


def tidied(path: str, text: str, findings: list[Finding]) -> str:
    """As `text_of`, of a text that is decoded already; what there is to say of comments is added to the findings."""
    text = text.replace("\0", "\ufffd")
    for blank in _ODD_BLANKS[:6] if text.isascii() else _ODD_BLANKS:
        text = text.replace(blank, " ")
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if text and text[-1] != "\n":
        text += "\n"
    if "<" in text and "<!--" in text:
        text = _without_comments(path, text[:-1], findings) + "\n"
    if "<<<<<<< " in text:
        findings.extend(_conflicts(path, text))
    if " \n" in text or ("\t" in text and "\t\n" in text):
        text = "\n".join(map(str.rstrip, text.split("\n")))
    return text


def _conflicts(path: str, text: str) -> Iterator[Finding]:
    """Where git left two versions of a place beside each other (git-merge(1), "How conflicts are presented")."""
    opened = 0
    for number, row in enumerate(text.split("\n"), 1):
        if row.startswith("<<<<<<< "):
            opened = number
        elif row.startswith(">>>>>>> ") and opened:
            yield Finding(
                "text-dropped", "query",
                "a merge left two versions here; both and the marks between them were read as words", path, opened,
                remedy="keep what is to stand, and take the lines <<<<<<<, ======= and >>>>>>> out",
            )  # fmt: skip
            opened = 0


def decoded(path: str, data: bytes) -> tuple[str, list[Finding]]:
    """The text of a file and, where it is no UTF-8, a finding that names what it is. Never fails."""
    if data.startswith(codecs.BOM_UTF8):
        data = data[3:]
    else:
        for mark, codec, name in _MARKED:
            if data.startswith(mark):
                return data.decode(codec, "replace"), [_named(path, 1, name)]
    nulls = data.count(0) if 0 in data else 0
    if nulls:
        wide = _wide(data)
        if wide:
            return data.decode(wide, "replace"), [_named(path, 1, "UTF-16 without a mark")]
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as fault:
        return _foreign(path, data, fault.start)
    if nulls > len(data) // 20:
        return "", [_no_text(path)]
    return text, []


def _wide(data: bytes) -> str | None:
    """UTF-16 without a mark shows as a zero in every other byte of plain letters."""
    half = max(len(data) // 2, 1)
    even, odd = data[0::2].count(0), data[1::2].count(0)
    if odd > half * 0.4 and even < half * 0.05:
        return "utf-16-le"
    if even > half * 0.4 and odd < half * 0.05:
        return "utf-16-be"
    return None


def _foreign(path: str, data: bytes, at: int) -> tuple[str, list[Finding]]:
    """A file of bytes that are no UTF-8: one of the old western encodings, or no text at all."""
    control = sum(data.count(code) for code in range(32) if code not in (9, 10, 12, 13))
    if control > len(data) // 50:
        return "", [_no_text(path)]
    line = data[:at].count(b"\n") + data[:at].replace(b"\r\n", b"").count(b"\r") + 1
    mended, strange = _mostly_utf8(data)
    if mended is not None:
        return mended, [_some_bytes(path, line, strange)]
    for codec, name, signs in _EASTERN:
        with suppress(UnicodeDecodeError):
            text = data.decode(codec)
            if _has_many(text, signs):
                return text, [_named(path, line, name)]
    if any(data.count(code) for code in range(0x80, 0xA0)):
        try:
            return data.decode("cp1252"), [_named(path, line, "Windows-1252")]
        except UnicodeDecodeError:
            pass
    return data.decode("latin-1"), [_named(path, line, "Latin-1 (ISO 8859-1)")]


def _has_many(text: str, signs: tuple[str, str]) -> bool:
    """Whether a fifth of the signs beyond ASCII lie in a stretch: every sentence in Japanese has its kana."""
    strange = [sign for sign in text if not sign.isascii()]
    first, last = signs
    return 5 * sum(first <= sign <= last for sign in strange) >= len(strange) > 0


def _mostly_utf8(data: bytes) -> tuple[str | None, int]:
    """The text where more accents are UTF-8 than are not, those others read as Windows-1252; and how many these are."""
    text = data.decode("utf-8", "surrogateescape")
    strange = len(re.findall(_NO_UTF8, text))
    accents = sum(not sign.isascii() for sign in text) - strange
    if accents <= strange:
        return None, strange
    mended = re.sub(_NO_UTF8, lambda found: bytes([ord(found[0]) - 0xDC00]).decode("cp1252", "replace"), text)
    return mended, strange


def _some_bytes(path: str, line: int, count: int) -> Finding:
    said = "a byte here is" if count == 1 else f"{count} bytes from here on are"
    return Finding("encoding", "query", f"{said} not UTF-8, and read as Windows-1252; look at the accents", path, line,
                   remedy="type those letters again")  # fmt: skip


def _named(path: str, line: int, encoding: str) -> Finding:
    said = f"this file is not UTF-8; it looks like {encoding} and was read as that, so look at the accents"
    return Finding("encoding", "query", said, path, line, remedy=_REMEDY)


def _no_text(path: str) -> Finding:
    return Finding("encoding", "query", "this file is no text in any encoding known here, so nothing of it was read",
                   path, 1, remedy="keep pictures and other files out of the pass's folder")  # fmt: skip


def _without_comments(path: str, text: str, findings: list[Finding]) -> str:
    """The text without comments; adds a finding for each that never ends."""
    kept: list[str] = []
    touched: set[int] = set()
    at, line = 0, 1
    while (start := text.find("<!--", at)) >= 0:
        end = _comment_end(text, start)
        stop = start + 4 if end is None else end
        kept.append(text[at:start] if end is not None else text[at:stop])
        first = line + text.count("\n", at, start)
        line = first + text.count("\n", start, stop)
        if end is not None:
            kept.append("\n" * (line - first))
            touched.update(range(first, line + 1))
        elif not _escaped(text, start):
            findings.append(_never_ends(path, first))
        at = stop
    kept.append(text[at:])
    rows = enumerate("".join(kept).split("\n"), 1)
    return "\n".join(row if row.strip() or n not in touched else GONE for n, row in rows)


def _comment_end(text: str, start: int) -> int | None:
    """Where a comment ends; None where none begins, or where another begins before it would end."""
    if _escaped(text, start):
        return None
    for short in ("<!-->", "<!--->"):
        if text.startswith(short, start):
            return start + len(short)
    sign = re.compile("<!--|-->").search(text, start + 4)
    return sign.end() if sign and sign[0] == "-->" else None


def _escaped(text: str, at: int) -> bool:
    first = at
    while first and text[first - 1] == "\\":
        first -= 1
    return (at - first) % 2 == 1


def _never_ends(path: str, line: int) -> Finding:
    return Finding("text-dropped", "query", "a comment begins here and never ends, so what follows was read as words",
                   path, line, remedy="close it with -->")  # fmt: skip
