"""A mail, bytes to rows: RFC 5322 messages with RFC 2045 parts, format=flowed of RFC 3676, HTML where nothing else is.

Nothing in it is run, opened or fetched; what is enclosed is named.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage, Message
from email.utils import parseaddr, parsedate_to_datetime
from itertools import islice

from ledger.model.coming_in import Left
from ledger.model.errors import Refusal
from ledger.read.marginalia.hypertext_mail import hypertext_rows
from ledger.read.marginalia.plain import one_row, plain
from ledger.read.marginalia.quoting import own_words
from ledger.read.note_lines import note_parts
from ledger.read.typed_text import decoded

#: Bounds of a mail (own choice): bytes of the file, parts in it.
MOST_BYTES = 64 << 20
MOST_PARTS = 2_000

_FIELD = re.compile(rb"[!-9;-~]{1,76}:")
_AS_WORDS = "save its words alone as .txt"
_TELLING = (b"date", b"subject", b"to", b"received", b"mime-version", b"message-id")


@dataclass
class Mail:
    """A mail's own rows, who wrote it and when (`2026-03-03`, "" where it is not said), what was left out."""

    rows: list[str] = field(default_factory=list)
    author: str = ""
    date: str = ""
    left: list[Left] = field(default_factory=list)


def is_mail(data: bytes) -> bool:
    """Whether these bytes begin as a message does: header fields, `From:` and another telling one among them."""
    names: set[bytes] = set()
    for row in islice(re.split(rb"\r\n|\n|\r", data[: 1 << 16]), 400):
        if not row:
            break
        if row[:1] in b" \t" and names:
            continue
        found = _FIELD.match(row)
        if not found and not (row.startswith(b"From ") and not names):
            return False
        if found:
            names.add(found.group()[:-1].strip().lower())
    return b"from" in names and any(name in names for name in _TELLING)


def read_mail(path: str, data: bytes) -> Mail:
    """Reads a message. Raises Refusal for what is no mail, is encrypted, or is larger than any mail of notes."""
    if len(data) > MOST_BYTES:
        raise Refusal(f"it is larger than {MOST_BYTES >> 20} MiB", path=path, remedy="take the enclosures out of it")
    if len(re.findall(rb"(?:\A|\n\r?\n)From [^\r\n]*\d{4}\r?\n", data)) > 1:
        raise Refusal("this is a mailbox of several mails", path=path, remedy="save the mail with the notes by itself")
    if not is_mail(data):
        raise Refusal("this is no mail: it does not begin with From:, Date: and so on", path=path, line=1,
                      remedy="save the mail as .eml, or its words alone as .txt")  # fmt: skip
    try:
        message = message_from_bytes(data, policy=policy.default)
        mail = Mail(author=_author(message), date=_date(message))
        _take_in(path, message, mail)
    except (RecursionError, MemoryError):
        raise Refusal("its parts are nested deeper than in any mail", path=path, remedy=_AS_WORDS) from None
    return mail


def _take_in(path: str, message: Message, mail: Mail) -> None:
    parts = list(islice(_parts(message), MOST_PARTS + 1))
    if len(parts) > MOST_PARTS:
        raise Refusal(f"it has more than {MOST_PARTS:,} parts", path=path, remedy=_AS_WORDS)
    if any(part.get_content_type() in _LOCKED for part in (message, *parts)):
        raise Refusal("this mail is encrypted", path=path, remedy=f"open it where you can read it; {_AS_WORDS}")
    rows: list[str] = []
    rounds: list[str] = []
    letters = []
    for part in parts:
        kind = part.get_content_type()
        if kind == "message/rfc822":
            letters.append(part)
        elif part.get_content_maintype() == "text" and part.get_content_disposition() != "attachment":
            rows += ["", *_rows(path, part)] if rows else _rows(path, part)
        elif _holds_round(path, part):
            rounds += ["", *plain(_text(path, part)).split("\n")]
        elif kind != "application/pgp-signature" and kind != "application/pkcs7-signature":
            mail.left.append(Left("enclosure", name=one_row(_filename(part)) or kind))
    own = own_words(rows)
    if not any(row.strip() for row in (*own.rows, *rounds)) and letters:
        _passed_on(path, letters, mail)
        return
    mail.rows = [*own.rows, *rounds]
    mail.author, mail.date = (_name_of(own.author) or mail.author), (_day_of(own.date) if own.author else mail.date)
    mail.left += [Left("enclosure", name=_subject(letter)) for letter in letters]
    mail.left += [Left(kind, n) for kind, n in (("quoted", own.quoted), ("signature", own.signature)) if n]


def _passed_on(path: str, letters: list[Message], mail: Mail) -> None:
    """A mail that was passed on as an enclosure, with no words of its own above it."""
    inner = letters[0].get_payload(0) if letters[0].is_multipart() else None
    if isinstance(inner, Message):
        mail.author, mail.date = _author(inner), _date(inner)
        _take_in(path, inner, mail)
    mail.left += [Left("enclosure", name=_subject(letter)) for letter in letters[1:]]


def _holds_round(path: str, part: Message) -> bool:
    """Whether a part is a saved round that was enclosed: a text by its name or kind, with notes in it."""
    named = _filename(part).lower().endswith((".md", ".txt"))
    if not named and part.get_content_maintype() != "text":
        return False
    return any(note_parts(row) for row in plain(_text(path, part)).split("\n"))


_LOCKED = ("multipart/encrypted", "application/pkcs7-mime", "application/x-pkcs7-mime")


def _parts(message: Message) -> Iterator[Message]:
    """The parts that say something; of alternatives the plain words, else the HTML (RFC 2046, 5.1.4)."""
    if message.get_content_type() == "message/rfc822" or not message.is_multipart():
        yield message
        return
    inside = [part for part in message.get_payload() if isinstance(part, Message)]
    if message.get_content_subtype() == "alternative":
        yield from _best(inside)
        return
    for part in inside:
        yield from _parts(part)


def _best(inside: list[Message]) -> Iterator[Message]:
    every = [list(_parts(part)) for part in inside]
    for kind in ("text/plain", "text/html"):
        for parts in every:
            if any(part.get_content_type() == kind and _bytes(part).strip() for part in parts):
                yield from parts
                return
    yield from (part for parts in every for part in parts)


def _rows(path: str, part: Message) -> list[str]:
    text = plain(_text(path, part))
    if part.get_content_subtype() == "html":
        return hypertext_rows(text)
    rows = text.split("\n")
    if str(part.get_param("format", "")).lower() == "flowed":
        return _unflowed(rows, del_space=str(part.get_param("delsp", "")).lower() == "yes")
    return rows


def _unflowed(rows: list[str], *, del_space: bool) -> list[str]:
    """Rows that end in a blank go on in the next one (RFC 3676, 4.2 and 4.4); quotes and signatures stay."""
    made: list[str] = []
    goes_on = False
    for row in rows:
        quote = row.startswith(">")
        words = row[1:] if row.startswith(" ") else row
        if goes_on and not quote and row != "-- ":
            made[-1] += words
        else:
            made.append(words)
        goes_on = not quote and words.endswith(" ") and words != "-- "
        if goes_on and del_space:
            made[-1] = made[-1][:-1]
    return made


def _text(path: str, part: Message) -> str:
    data = _bytes(part)
    with suppress(LookupError, UnicodeDecodeError, ValueError):
        charset = str(part.get_content_charset() or "utf-8")
        return data.decode("utf-8" if charset == "us-ascii" else charset)
    return decoded(path, data)[0]


def _bytes(part: Message) -> bytes:
    with suppress(Exception):
        found = part.get_payload(decode=True)
        return found if isinstance(found, bytes) else b""
    return b""


def _author(message: Message) -> str:
    """The name of who wrote it, the address where no name stands."""
    with suppress(Exception):
        if isinstance(message, EmailMessage):
            first = message["from"].addresses[0]
            return one_row(first.display_name or first.username)
    with suppress(Exception):
        return _name_of(str(message["from"]))
    return ""


def _name_of(typed: str) -> str:
    """`E. Marsh` of `E. Marsh <em@example.org>`."""
    with suppress(Exception):
        name, address = parseaddr(typed)
        return one_row(name or address.partition("@")[0]) or one_row(typed.partition("<")[0])
    return one_row(typed.partition("<")[0])


def _date(message: Message) -> str:
    with suppress(Exception):
        return _day_of(str(message["date"]))
    return ""


def _day_of(typed: str) -> str:
    """The day where it was written; "" for a date that is not written as RFC 5322 has it."""
    with suppress(Exception):
        return parsedate_to_datetime(typed).date().isoformat()
    return ""


def _filename(part: Message) -> str:
    with suppress(Exception):
        return str(part.get_filename() or "")
    return ""


def _subject(letter: Message) -> str:
    with suppress(Exception):
        inner = letter.get_payload(0) if letter.is_multipart() else letter
        if isinstance(inner, Message):
            return one_row(str(inner["subject"] or "")) or "a mail"
    return "a mail"
