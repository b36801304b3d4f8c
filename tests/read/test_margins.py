"""Comments and tracked changes of word processors, read as notes: files made by hand as the standards have them."""

from __future__ import annotations

import pytest

from ledger.model.coming_in import NoteIn
from ledger.model.errors import Refusal
from ledger.model.note import Anchor
from ledger.read.marginalia.margins import read_margins
from tests.word_files import W, docx, docx_parts, odt, p, packed, r

#: The script that was read: page, panel, words.
THERE = ((1, 1, "Is that you, or the wind?"), (1, 1, "It's the rent."), (2, 1, "Push."), (2, 2, "Push."))


def finds(anchor: Anchor) -> int:
    fits = [w for page, panel, w in THERE if anchor.page in (None, str(page)) and anchor.panel in (None, panel)]
    words = (anchor.quote or "").removeprefix("N: ").removeprefix("J: ")
    return sum(words in each for each in fits) if words else int(bool(fits))


def start(name: str) -> str:
    return f'<w:commentRangeStart w:id="{name}"/>'


def end(name: str) -> str:
    return f'<w:commentRangeEnd w:id="{name}"/><w:r><w:commentReference w:id="{name}"/></w:r>'


def comment(
    name: str, words: str, author: str = "Ida Kestrel", para: str = "", date: str = "2026-02-12T10:05:00Z"
) -> str:
    rows = "".join(f"<w:p w14:paraId='{para}'>{r(row)}</w:p>" for row in words.split("\n"))
    when = f'w:date="{date}"' if date else ""
    return f'<w:comment w:id="{name}" w:author="{author}" {when} w:initials="IK">{rows}</w:comment>'


_W14 = 'xmlns:w14="http://schemas.microsoft.com/office/word/2010/wordml"'


def comments(*each: str) -> str:
    return f'<w:comments xmlns:w="{W}" {_W14}>{"".join(each)}</w:comments>'


SCENE = p("The boat shed", style="Szene") + p("Page 1") + p("Panel 1")


def notes(body: str, *said: str, **more: str) -> list[NoteIn]:
    return list(
        read_margins("draft.docx", ".docx", docx(SCENE + body, comments=comments(*said), **more), (), finds).notes
    )


def test_a_comment_hangs_on_its_words() -> None:
    found = notes(p("N: ", start("3"), "Is that you", end("3"), ", or the wind?"), comment("3", "Too blunt?\nReally."))
    assert found == [
        NoteIn("Too blunt?\nReally.", 'p1.1 "Is that you"', "Ida Kestrel", "2026-02-12", "comment",
               where="2026-02-12T10:05:00Z", own="Too blunt?\nReally.")
    ]  # fmt: skip


def test_words_that_stand_twice_take_their_page_or_panel() -> None:
    page_two = p("Page 2") + p("Panel 1") + p("N: Push.") + p("Panel 2") + p(start("0"), "N: Push.", end("0"))
    assert notes(page_two, comment("0", "again?"))[0].place == 'p2.2 "N: Push."'


def test_words_that_are_not_in_the_round_are_quoted_and_the_panel_holds() -> None:
    found = notes(p("N: ", start("0"), "Was that thunder", end("0"), "?"), comment("0", "no weather please"))
    assert (found[0].place, found[0].text) == ("p1.1", "“Was that thunder”: no weather please")


def test_words_over_several_paragraphs_are_those_of_the_first() -> None:
    body = p("N: Is that you, ", start("0"), "or the wind?") + p("J: Neither. It's the rent.", end("0"))
    assert notes(body, comment("0", "slow"))[0].place == 'p1.1 "or the wind?"'


def test_a_comment_on_no_words_hangs_on_its_panel_and_one_on_nothing_on_the_book() -> None:
    found = notes(p("J: It's the rent.", end("0")), comment("0", "who?"), comment("9", "all good"))
    assert [(note.place, note.text) for note in found] == [("p1.1", "who?"), ("", "all good")]


def test_without_author_date_or_words() -> None:
    bare = '<w:comment w:id="0"><w:p/></w:comment>'
    found = notes(p(start("0"), "N: Is that you", end("0")), bare)
    assert found == [NoteIn("a comment without words", 'p1.1 "N: Is that you"', kind="comment")]


def test_answers_stand_under_what_they_answer() -> None:
    threads = ('<w15:commentsEx xmlns:w15="x"><w15:commentEx w15:paraId="A" w15:done="1"/>'
               '<w15:commentEx w15:paraId="B" w15:paraIdParent="A"/></w15:commentsEx>')  # fmt: skip
    found = notes(p(start("0"), start("1"), "N: Is that you", end("0"), end("1")), comment("0", "blunt", para="A"),
                  comment("1", "done: no", "Odile Marr", para="B"), commentsExtended=threads)  # fmt: skip
    assert [note.text for note in found] == ["blunt"]
    assert [(reply.state, reply.text) for reply in found[0].replies] == [
        ("", "reply by Odile Marr, 2026-02-12: done: no"), ("", "marked as settled in the draft"),
    ]  # fmt: skip


def change(kind: str, words: str, author: str = "Ida Kestrel") -> str:
    text = "delText" if kind == "del" else "t"
    return (f'<w:{kind} w:id="5" w:author="{author}" w:date="2026-02-13T09:00:00Z"><w:r>'
            f'<w:{text} xml:space="preserve">{words}</w:{text}></w:r></w:{kind}>')  # fmt: skip


def test_tracked_changes_become_one_note_each_with_the_words_proposed() -> None:
    found = notes(p("N: Is that you, ", change("del", "or the wind?"), change("ins", "or the cat?")))
    assert [(n.place, n.text, n.author, n.date, n.kind) for n in found] == [
        ('p1.1 "or the wind?"', "cut “or the wind?”", "Ida Kestrel", "2026-02-13", "deletion"),
        ('p1.1 "N: Is that you,"', "insert “or the cat?” after “N: Is that you,”", "Ida Kestrel", "2026-02-13",
         "insertion"),
    ]  # fmt: skip


def test_a_moved_line_is_one_note() -> None:
    found = notes(p(change("moveFrom", "gone")) + p("J: It's the rent. ", change("moveTo", "Neither.")))
    assert [note.text for note in found] == ["move here “Neither.” after “J: It's the rent.”"]


def test_paragraphs_whose_marks_were_taken_out_keep_their_places() -> None:
    gone = '<w:rPr><w:del w:id="1" w:author="Ida" w:date="2026-02-13T09:00:00Z"/></w:rPr>'
    found = notes(p("N: Is that ", more=gone) + p(start("0"), "you", end("0"), ", or the wind?"), comment("0", "who?"))
    assert found[0].place == 'p1.1 "you"'


# -- OpenDocument


def said(words: str, name: str = "", more: str = "") -> str:
    named = f' office:name="{name}"' if name else ""
    return (f"<office:annotation{named}{more}><dc:creator>Bede Lorn</dc:creator><dc:date>2026-02-12T10:05:00</dc:date>"
            f"<text:p>{words}</text:p></office:annotation>")  # fmt: skip


def odt_notes(text: str) -> list[NoteIn]:
    return list(read_margins("draft.odt", ".odt", odt(text), (), finds).notes)


HEAD = '<text:h text:outline-level="2">The boat shed</text:h><text:p>Page 1</text:p><text:p>Panel 1</text:p>'


def test_an_annotation_hangs_on_its_words() -> None:
    found = odt_notes(
        f'{HEAD}<text:p>N: {said("Too blunt?", "a")}Is that you<office:annotation-end office:name="a"/>, or the wind?'
        f"</text:p><text:p>J: It's the rent.{said('who?')}</text:p>"
    )
    assert [(n.place, n.text, n.author, n.date) for n in found] == [
        ('p1.1 "Is that you"', "Too blunt?", "Bede Lorn", "2026-02-12"), ("p1.1", "who?", "Bede Lorn", "2026-02-12"),
    ]  # fmt: skip


def test_annotations_that_answer_each_other_in_a_ring_are_all_there() -> None:
    ring = said("one", "a", ' loext:parent-name="b" xmlns:loext="x"') + said("two", "b", ' office:parent-name="a"')
    assert sorted(note.text for note in odt_notes(f"{HEAD}<text:p>N: Push.{ring}</text:p>")) == ["one", "two"]
    under = said("one", "a") + said("two", "b", ' office:parent-name="a"')
    assert [len(note.replies) for note in odt_notes(f"{HEAD}<text:p>N: Push.{under}</text:p>")] == [1]


def test_tracked_changes_of_open_document() -> None:
    info = ("<office:change-info><dc:creator>Bede Lorn</dc:creator><dc:date>2026-02-13T09:00:00</dc:date>"
            "</office:change-info>")  # fmt: skip
    regions = ('<text:tracked-changes><text:changed-region text:id="d">'
               f"<text:deletion>{info}<text:p>or the wind?</text:p></text:deletion>"
               f'</text:changed-region><text:changed-region text:id="i"><text:insertion>{info}'
               "</text:insertion></text:changed-region></text:tracked-changes>")  # fmt: skip
    found = odt_notes(f'{regions}{HEAD}<text:p>N: Is that you, <text:change text:change-id="d"/><text:change-start '
                      'text:change-id="i"/>or the cat?<text:change-end text:change-id="i"/></text:p>')  # fmt: skip
    assert [(n.place, n.text, n.author, n.date) for n in found] == [
        ('p1.1 "or the wind?"', "cut “or the wind?”", "Bede Lorn", "2026-02-13"),
        ('p1.1 "N: Is that you,"', "insert “or the cat?” after “N: Is that you,”", "Bede Lorn", "2026-02-13"),
    ]  # fmt: skip


# -- bad input


def test_bombs_locks_and_torn_files_are_refused_by_name() -> None:
    whole = docx(SCENE, comments=comments(comment("0", "x")))
    bomb = docx_parts(SCENE) | {"word/comments.xml": comments(comment("0", "x" * (80 << 20)))}
    deep = comments("<w:comment>" * 2000 + "</w:comment>" * 2000)
    entities = f'<!DOCTYPE a [<!ENTITY b "b">]>{comments(comment("0", "&b;"))}'
    torn = [docx(SCENE, comments=each) for each in (deep, entities, comments("<w:comment>"))]
    for data in (whole[:200], whole[:-40], packed(bomb), *torn, b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", b"PK\x03\x04"):
        with pytest.raises(Refusal) as caught:
            read_margins("draft.docx", ".docx", data, (), finds)
        assert caught.value.path == "draft.docx" and caught.value.remedy


def test_hostile_words_stay_words() -> None:
    found = notes(
        p(start("0"), "&lt;b&gt; - [ ] 3 \u202e", end("0")), comment("0", "- [x] 1 (p9) &lt;script&gt;\n# no\u202e")
    )
    assert found[0].text == "“<b> - [ ] 3”: - [x] 1 (p9) <script>\n# no"
