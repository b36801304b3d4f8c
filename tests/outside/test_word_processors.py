"""Documents made and read by other libraries, held against our own reading of them.

python-docx (its own writer and reader of ECMA-376 files) and odfpy (a writer of ISO/IEC 26300 files). What neither
library can make, tracked changes, is checked on files made by hand per standard in `tests/read/`.
"""

from __future__ import annotations

from io import BytesIO

import docx as other_docx
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from odf.dc import Creator, Date
from odf.office import Annotation
from odf.opendocument import OpenDocumentText
from odf.style import Style, TextProperties
from odf.text import H, LineBreak, P, Span, Tab

from ledger.compare import compare_drafts
from ledger.model.words import count_words
from ledger.read.marginalia.margins import read_margins
from ledger.read.script import read_script
from ledger.read.word_processor.drafts import as_typed, read_any_script, read_document

#: Words with what gives readers trouble: signs of markup, accents, right-to-left and combining letters, wide signs.
_WORDS = st.sampled_from(
    ["rain", "Nell", "N:", "*so*", "under_score", "#", "# tin", "a<b>", "&amp;", "été", "e\u0301", "שלום", "潮", "1.",
     "- dash", "> said", "---", "===", "[page 2]", "[panel 1]", "{whisper}", "\\", "`code`", "<!-- no", "KRRNK", "NELL",
     "(aside)", "a\u00a0b", "--", "...", "PAGE THREE", "Panel 2.", "SFX: boom", "“So”", "\t", "\n", "+ 1", "```"]
)  # fmt: skip
#: A heading's level or 0, and its words: text, bold, italic.
Typed = list[tuple[int, list[tuple[str, bool, bool]]]]

_RUNS = st.lists(st.tuples(_WORDS, st.booleans(), st.booleans()), max_size=6)
_PARAGRAPHS = st.lists(st.tuples(st.sampled_from([0, 0, 0, 0, 1, 2]), _RUNS), max_size=8)
_SLOWLY = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])


def made_docx(paragraphs: Typed) -> bytes:
    document = other_docx.Document()
    for level, words in paragraphs:
        made = document.add_heading("", level) if level else document.add_paragraph()
        for text, bold, italic in words:
            run = made.add_run(f"{text} ")
            run.bold, run.italic = bold, italic
    kept = BytesIO()
    document.save(kept)
    return kept.getvalue()


def made_odt(paragraphs: Typed) -> bytes:
    document = OpenDocumentText()
    bold = Style(name="Bold", family="text")
    bold.addElement(TextProperties(fontweight="bold"))
    document.automaticstyles.addElement(bold)
    for level, words in paragraphs:
        made = H(outlinelevel=level) if level else P()
        for text, strong, _ in words:
            into = Span(stylename=bold) if strong else made
            for sign in ("\t", "\n"):
                if text == sign:
                    into.addElement(Tab() if sign == "\t" else LineBreak())
            into.addText(f"{text.strip()} ")
            if strong:
                made.addElement(into)
        document.text.addElement(made)
    kept = BytesIO()
    document.save(kept)
    return kept.getvalue()


@_SLOWLY
@given(_PARAGRAPHS)
def test_paragraphs_are_those_that_python_docx_reads(
    paragraphs: Typed,
) -> None:
    data = made_docx(paragraphs)
    ours = read_document("a.docx", data).paragraphs
    theirs = other_docx.Document(BytesIO(data)).paragraphs
    assert [each.text for each in ours] == [each.text for each in theirs]
    assert [each.level for each in ours] == [
        int(each.style.name[-1]) if each.style and each.style.name.startswith("Heading") else 0 for each in theirs
    ]  # fmt: skip
    assert sum(count_words(each.text) for each in ours) == sum(count_words(each.text) for each in theirs)


@_SLOWLY
@given(_PARAGRAPHS, st.sampled_from(["a.docx", "a.odt"]))
def test_a_draft_brought_in_reads_as_the_document_itself(paragraphs: Typed, name: str) -> None:
    data = made_docx(paragraphs) if name == "a.docx" else made_odt(paragraphs)
    itself = read_any_script([(name, data)], ())
    typed = read_script([("a.md", as_typed(name, data, ())[0])], ())
    assert [(line.role, line.speaker, line.text) for line in itself.lines] == [
        (line.role, line.speaker, line.text) for line in typed.lines
    ]  # fmt: skip
    change = compare_drafts(itself, typed)
    assert all(scene.kind == "kept" for scene in change.scenes)


def test_words_of_a_whole_draft() -> None:
    """The lettered words that a draft has are those that python-docx counts in its speeches."""
    document = other_docx.Document()
    for page in range(1, 41):
        document.add_heading(f"PAGE {page}", 2)
        document.add_paragraph("Rain on tin; Nell sorts nets by feel.")
        document.add_paragraph(f"NELL: Is that you, or the wind? It is day {page}.")
        document.add_paragraph("SFX: KRRNK")
    kept = BytesIO()
    document.save(kept)
    draft = read_any_script([("a.docx", kept.getvalue())], ())
    spoken = [each.text.partition(": ")[2] for each in other_docx.Document(kept).paragraphs if ": " in each.text]
    assert draft.words == sum(count_words(words) for words in spoken) and len(draft.pages) == 40


_SAID = st.lists(st.tuples(st.integers(0, 3), st.text(st.characters(categories=["L", "N", "P"]), min_size=1),
                           st.sampled_from(["Ida Kestrel", "Bede Lorn"])), max_size=6)  # fmt: skip


@_SLOWLY
@given(_SAID)
def test_comments_are_those_that_python_docx_wrote(said: list[tuple[int, str, str]]) -> None:
    """python-docx writes comments since 1.2; odfpy writes annotations."""
    document = other_docx.Document()
    runs = [document.add_paragraph().add_run(f"N: line number {n}") for n in range(4)]
    for n, words, author in said:
        document.add_comment(runs[n], words, author)
    kept = BytesIO()
    document.save(kept)
    found = read_margins("a.docx", ".docx", kept.getvalue(), (), lambda anchor: 1).notes
    told = sorted((f'"N: line number {n}"', words, author) for n, words, author in said)
    assert sorted((note.place, note.text, note.author) for note in found) == told
    theirs = {(each.text, each.author) for each in other_docx.Document(BytesIO(kept.getvalue())).comments}
    assert {(note.text, note.author) for note in found} == theirs


@_SLOWLY
@given(_SAID)
def test_annotations_are_those_that_odfpy_wrote(said: list[tuple[int, str, str]]) -> None:
    document = OpenDocumentText()
    for n in range(4):
        line = P(text=f"N: line number {n}")
        for at, words, author in said:
            if at == n:
                note = Annotation()
                note.addElement(Creator(text=author))
                note.addElement(Date(text="2026-02-12T10:05:00"))
                note.addElement(P(text=words))
                line.addElement(note)
        document.text.addElement(line)
    kept = BytesIO()
    document.save(kept)
    found = read_margins("a.odt", ".odt", kept.getvalue(), (), lambda anchor: 1).notes
    told = sorted((f'"N: line number {n}"', words, author, "2026-02-12") for n, words, author in said)
    assert sorted((note.place, note.text, note.author, note.date) for note in found) == told
