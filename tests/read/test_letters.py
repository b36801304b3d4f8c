"""Notes in mail and plain text: what is read, what is left out, what is refused."""

from __future__ import annotations

from email.message import EmailMessage, MIMEPart
from email.mime.text import MIMEText

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.coming_in import NotesIn
from ledger.model.errors import Refusal
from ledger.model.note import Anchor
from ledger.read.anchors import read_anchor
from ledger.read.marginalia.keys import keyed, known_keys, mark_reply
from ledger.read.marginalia.letters import read_letter
from ledger.read.marginalia.plain import plain
from ledger.read.notes import read_notes
from ledger.read.notes_edit import Fresh, add_notes

#: Phrases and scenes that stand in the script of these tests.
THERE = ("Push.", "It's the rent", "The far room")


def there(anchor: Anchor) -> bool:
    return (anchor.quote or anchor.scene) in THERE


def typed(words: str, name: str = "words.txt") -> NotesIn:
    return read_letter(name, words.encode(), there)


def told(words: str) -> list[tuple[str, str]]:
    return [(note.place, note.text) for note in typed(words).notes]


@pytest.mark.parametrize(
    ("row", "place", "words"),
    [
        ("p12.3 The door should open inward.", "p12.3", "The door should open inward."),
        ("p12: too dark", "p12", "too dark"),
        ("P. 12 - too dark", "p12", "too dark"),
        ("Page 12: too dark", "p12", "too dark"),
        ("page 12, panel 3: too dark", "p12.3", "too dark"),
        ("Page 12 Panel 3 too dark", "p12.3", "too dark"),
        ("pp. 24-25 one picture?", "p24-25", "one picture?"),
        ("pages 24–25: one picture?", "p24-25", "one picture?"),
        ("- p7 too dark", "p7", "too dark"),
        ("3. p7 too dark", "p7", "too dark"),
        ("(p7) too dark", "p7", "too dark"),
        ("[p7.1] too dark", "p7.1", "too dark"),
        ("ch 2 drags", "ch 2", "drags"),
        ("Chapter 2: drags", "ch 2", "drags"),
        ('scene "The far room": colder', 'scene "The far room"', "colder"),
        ('p2.1 "Push." twice?', 'p2.1 "Push."', "twice?"),
        ("“Push.” Twice?", '"Push."', "Twice?"),
        ("p12 @0.42,0.31 her hand", "p12 @0.42,0.31", "her hand"),
        ("cover: more red", "cover", "more red"),
        ("f1: who is it for?", "f1", "who is it for?"),
        ("p12, p14: both too dark", "p12", "p12, p14: both too dark"),
        ("p12-15: slow", "p12", "slow"),
        ("p12", "p12", ""),
        ("p. 3's door", "p3", "p. 3's door"),
    ],
)
def test_a_row_that_begins_with_a_place_opens_a_note(row: str, place: str, words: str) -> None:
    assert told(row) == [(place, words)]
    assert read_anchor(place)


@pytest.mark.parametrize(
    "row", ["please look", "p is for panel", "12 pages is a lot", "page turns are good", '"Nobody says this" I think',
            "panel 3 of what?", "covers nothing", "b2b is no word", "pages", "chapterhouse 3", "(as on p12) fine"],
)  # fmt: skip
def test_a_row_that_begins_with_none_is_on_the_whole_book(row: str) -> None:
    assert told(row) == [("", row)]


def test_a_note_ends_at_an_empty_row_and_goes_on_where_it_is_indented() -> None:
    words = "Dear Odile,\n\np1 first\nof two rows\n\n  and more of it\n\nIn general: good.\np2 last\n\nYours, Erin\n"
    assert told(words) == [
        ("p1", "first\nof two rows\n\nand more of it"),
        ("p2", "last"),
        ("", "Dear Odile,\n\nIn general: good.\n\nYours, Erin"),
    ]


def test_a_place_alone_on_its_row_holds_until_the_next_place() -> None:
    assert told("Page 1\n\nThe door.\n\nThe lamp.\n\nPage 2\nThe boat.\n") == [
        ("p1", "The door.\n\nThe lamp."), ("p2", "The boat."),
    ]  # fmt: skip


def test_a_row_broken_by_the_mail_program_opens_nothing() -> None:
    wide = "The lamp should burn as it does on the wall of the kitchen on\npage 12 and nowhere else.\n"
    assert told(wide) == [("", wide.strip())]
    assert told("Two things.\npage 12 too dark\npage 13 too pale\n")[0] == ("p12", "too dark")


# -- mail


def mail(words: str, **fields: str) -> EmailMessage:
    message = EmailMessage()
    message["From"] = fields.get("sender", "Erin Marsh <em@example.org>")
    message["To"] = "odile@example.org"
    message["Subject"] = "Ninth Supper"
    message["Date"] = "Tue, 03 Mar 2026 23:50:00 -0500"
    message.set_content(words)
    return message


def read(message: EmailMessage, name: str = "mail.eml") -> NotesIn:
    return read_letter(name, message.as_bytes(), there)


def test_reader_and_day_are_the_mails_own() -> None:
    note = read(mail("p1 too dark\n")).notes[0]
    assert (note.place, note.text, note.author, note.date) == ("p1", "too dark", "Erin Marsh", "2026-03-03")
    accents = read(mail("p1 zu dunkel, größer\n", sender="Jörg Öhlén <j@example.org>"), "saved.txt").notes[0]
    assert (accents.author, accents.text) == ("Jörg Öhlén", "zu dunkel, größer")
    assert read(mail("p1 x", sender="em@example.org")).notes[0].author == "em"


QUOTED = """\
p1 too dark

On Mon, 2 Mar 2026 at 18:02, Odile Marr
<odile@example.org> wrote:
> p4 this is mine
>> and older

p2 too pale

--\x20
Erin Marsh
p9 is no note in a signature
"""


def test_quoted_mail_and_signature_are_left_out_and_counted() -> None:
    found = read(mail(QUOTED))
    assert [(note.place, note.text) for note in found.notes] == [("p1", "too dark"), ("p2", "too pale")]
    assert {left.kind: left.times for left in found.left} == {"quoted": 4, "signature": 2}


def test_a_mail_quoted_below_its_head_is_left_out() -> None:
    below = "p1 too dark\n\n-----Original Message-----\nFrom: Odile Marr\nSent: Monday\nTo: Erin\n\np4 mine\n"
    ruled = f"p1 too dark\n\n{'_' * 32}\nVon: Odile Marr\nGesendet: Montag\nAn: Erin\nBetreff: x\n\np4 mine\n"
    for words in (below, ruled):
        found = read(mail(words))
        assert [note.place for note in found.notes if note.place] == ["p1"]
        assert [left.kind for left in found.left] == ["quoted"]


def test_a_mail_passed_on_is_from_who_wrote_it() -> None:
    words = ("---------- Forwarded message ---------\nFrom: Ida Kestrel <ida@example.org>\n"
             "Date: Mon, 2 Mar 2026 18:02:00 +0100\nSubject: notes\nTo: Erin\n\np3 colder\n")  # fmt: skip
    note = read(mail(words)).notes[0]
    assert (note.author, note.date, note.place, note.text) == ("Ida Kestrel", "2026-03-02", "p3", "colder")
    outer = mail("")
    outer.add_attachment(mail("p4 warmer", sender="Ida Kestrel <ida@example.org>"))
    assert [(n.author, n.place) for n in read(outer).notes] == [("Ida Kestrel", "p4")]


def test_html_alone_is_read_as_its_words() -> None:
    html = ("<html><head><style>p1 {color: red}</style><script>p9 no</script></head><body><div>p1 too&nbsp;dark</div>"
            "<p>p2 <b>too</b><br>pale</p><ul><li>p3 a &lt;script&gt;</li></ul><blockquote>p4 mine<br>more</blockquote>"
            "</body></html>")  # fmt: skip
    message = mail("x")
    message.set_content(html, subtype="html")
    found = read(message)
    assert [(n.place, n.text) for n in found.notes] == [("p1", "too dark"), ("p2", "too\npale"), ("p3", "a <script>")]
    assert [(left.kind, left.times) for left in found.left] == [("quoted", 2)]
    both = mail("p1 plain words\n")
    both.add_alternative(html, subtype="html")
    assert [n.text for n in read(both).notes] == ["plain words"]


def test_flowed_words_are_joined() -> None:
    part = MIMEText("p1 the door \nshould open\np2 x\n-- \nErin\n", _charset="utf-8")
    part.set_param("format", "flowed")
    for name, value in (("From", "E <e@example.org>"), ("Date", "Tue, 03 Mar 2026 10:00:00 +0000")):
        part[name] = value
    found = read_letter("mail.eml", part.as_bytes(), there)
    assert [n.text for n in found.notes] == ["the door should open", "x"]


def test_enclosures_are_named() -> None:
    message = mail("p1 see the picture\n")
    message.add_attachment(b"\x89PNG", maintype="image", subtype="png", filename="p001 marked.png")
    found = read(message)
    assert [(left.kind, left.name) for left in found.left] == [("enclosure", "p001 marked.png")]


def test_an_enclosed_round_is_read_with_the_mail() -> None:
    message = mail("Here they are.\n\n-- \nErin\n")
    packet = "# E. Marsh\nfrom: E. Marsh\non: script-1\n\n- [ ] 1 (p3) Who waits?\n"
    message.add_attachment(packet.encode(), maintype="application", subtype="octet-stream", filename="p-1.notes.md")
    found = read(message)
    assert [(n.place, n.text, n.author) for n in found.notes] == [
        ("p3", "Who waits?", "E. Marsh"), ("", "Here they are.", "E. Marsh"),
    ]  # fmt: skip
    assert found.on == "script-1"
    assert [(left.kind, left.name) for left in found.left] == [("signature", ""), ("greeting", "Here they are.")]
    bare = read_letter("mail.eml", message.as_bytes(), there, greetings=False)
    assert [n.text for n in bare.notes] == ["Who waits?"]
    assert [(left.kind, left.name) for left in bare.left] == [("signature", ""), ("courtesy", "Here they are.")]


def test_a_round_pasted_into_a_mail_is_read_as_the_round_it_is() -> None:
    words = ("Dear Odile, here they are.\n\n# Marsh on script-1\nfrom: E. Marsh\non: script-1\ndate: 2026-02-11\n"
             "read: 1-4\n\n- [ ] 1 (p12.3) The door\n  inward.\n- [ ] 2 All good.\n\nYours, E.\n")  # fmt: skip
    found = read(mail(words))
    assert [(n.place, n.text, n.author) for n in found.notes] == [
        ("p12.3", "The door\ninward.", "E. Marsh"), ("", "All good.", "E. Marsh"),
        ("", "Dear Odile, here they are.\n\n\n\nYours, E.", "E. Marsh"),
    ]  # fmt: skip
    assert (found.on, found.read) == ("script-1", "1-4")
    bare = read_letter("mail.eml", mail(words).as_bytes(), there, greetings=False)
    assert bare.notes == found.notes[:2]
    assert [left.name for left in bare.left] == ["Dear Odile, here they are. Yours, E."]


def test_a_saved_round_without_a_title_is_no_mail() -> None:
    found = typed("from: E. Marsh\non: script-1\ndate: 2026-02-11\n\n- [ ] 1 (p1) x\n  - query: why?\n", "a.notes.md")
    assert found.on == "script-1" and [r.state for r in found.notes[0].replies] == ["query"]


# -- bad input


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("mail.eml", b"p1 too dark\n", "no mail"),
        ("mail.eml", b"\x00\x01\x02" * 50, "no mail"),
        ("words.txt", b"\x00\x01\x02\x80" * 50, "no text"),
        ("mail.eml", b"From a Tue Mar  3 10:00:00 2026\nFrom: a@b.c\nDate: x\n\np1\n\nFrom b Tue Mar  3 10:00:00 2026\n"
         b"From: b@b.c\n\np2\n", "several mails"),
        ("mail.eml", b"From: a@b.c\nDate: x\nContent-Type: application/pkcs7-mime\n\nx", "encrypted"),
        ("words.txt", b"a" * ((16 << 20) + 1), "larger than 16 MiB"),
    ],
)  # fmt: skip
def test_what_is_no_mail_is_refused_by_name(name: str, data: bytes, said: str) -> None:
    with pytest.raises(Refusal, match=said) as caught:
        read_letter(name, data, there)
    assert caught.value.path == name and caught.value.remedy


def test_parts_nested_without_end_are_refused() -> None:
    rows = ["From: a@b.c", "Date: x"]
    for depth in range(3000):
        rows += [f'Content-Type: multipart/mixed; boundary="b{depth}"', "", f"--b{depth}"]
    with pytest.raises(Refusal):
        read_letter("mail.eml", "\n".join([*rows, "Content-Type: text/plain", "", "p1 deep"]).encode(), there)


def test_hostile_words_stay_words() -> None:
    found = typed("p1 <script>alert(1)</script> \x1b[31mred\x07 \u202egnorw\u202c - [ ] 3 no\n")
    assert found.notes[0].text == "<script>alert(1)</script> \ufffd[31mred\ufffd gnorw - [ ] 3 no"
    assert [(left.kind, left.times) for left in found.left] == [("control", 2)]


def test_broken_charsets_and_transfer_codes_still_give_words() -> None:
    head = b"From: a@b.c\nDate: x\nContent-Type: text/plain; charset=%s\nContent-Transfer-Encoding: %s\n\n"
    bodies = [(b"klingon", b"8bit", "p1 grün".encode()), (b"utf-8", b"8bit", b"p1 gr\xfcn"),
              (b"iso-8859-1", b"quoted-printable", b"p1 gr=FCn"), (b"utf-8", b"base64", b"cDEgZ3LDvG4=")]  # fmt: skip
    for charset, code, body in bodies:
        assert read_letter("mail.eml", head % (charset, code) + body, there).notes[0].text == "grün"


@given(st.binary(max_size=400) | st.text(st.sampled_from("pP12.-: \"'\n>@(,)[]x#ch0 "), max_size=120).map(str.encode),
       st.sampled_from(["a.eml", "a.txt", "a.md"]))  # fmt: skip
def test_any_bytes_are_read_or_refused_and_no_word_of_a_text_is_lost(data: bytes, name: str) -> None:
    try:
        found = read_letter(name, data, there)
    except Refusal as refused:
        assert refused.path == name
        return
    notes = [Fresh(note.text, note.place, (mark_reply(note, key),)) for note, key in keyed(found.notes)]
    written, numbers = add_notes(b"# x\n\n", notes)
    back = read_notes("notes/x.md", written)
    assert [note.number for note in back.notes] == numbers and not back.findings
    assert [n.text for n in back.notes] == [read_back(n.text) for n in found.notes]
    assert set(known_keys([back])) == {key for _, key in keyed(found.notes)}


def read_back(text: str) -> str:
    return "\n".join(row.rstrip(" \t") for row in plain(text).split("\n")).strip("\n").lstrip(" \t")


def test_parts_are_read_in_order() -> None:
    message = mail("p1 one\n")
    message.make_mixed()
    second = MIMEPart()
    second.set_content("p2 two\n")
    message.attach(second)
    assert [n.place for n in read(message).notes] == ["p1", "p2"]
