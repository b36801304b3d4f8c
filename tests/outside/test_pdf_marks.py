"""Marks of published PDFs, made in many programs: their kinds, words, readers, groups, and the words under them.

The files are in the source archives of pdfannots 0.5 (MIT, tests included) and pypdf 7.1.1 (BSD-3-Clause), which are
fetched and never kept here. What the files of pdfannots hold is what its own `tests.py` says of them; that reads words
with another library, letter by letter, where we read whole words.
"""

from __future__ import annotations

import re
import tarfile
from collections import Counter
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from ledger.desk.notes.marked_pages import look
from ledger.model.errors import Refusal
from ledger.read.marginalia.pdf import MarkedPdf, read_pdf
from ledger.read.marginalia.pdf_notes import pdf_notes


def pdfs(archive: Path, folder: str) -> dict[str, bytes]:
    """Name -> bytes of the PDFs of a folder in an archive."""
    found = {}
    with tarfile.open(archive) as packed:
        for member in packed:
            _, _, name = member.name.partition(f"/{folder}/")
            if member.isfile() and name.endswith(".pdf"):
                file = packed.extractfile(member)
                assert file is not None
                found[name] = file.read()
    return found


@pytest.fixture(scope="module")
def marked(pdf_marks: Path) -> dict[str, MarkedPdf]:
    """The files of pdfannots, read."""
    return {name: read_pdf(name, data, look) for name, data in pdfs(pdf_marks, "tests").items()}


#: File -> page, kind, words of the mark, words under it: as `tests.py` of pdfannots 0.5 has them, in the order of the
#: page from the top. Of a stroke through the one letter "e" we tell the word it is in.
SAID = {
    "hotos17.pdf": [
        (1, "Text", "This is a note with no text attached.", ""),
        (1, "StrikeOut", "", "are"),
        (1, "Squiggly", "", "recent Intel CPUs have introduced"),
        (2, "Highlight", "", "TSX launched with Haswell in 2013 but was later disabled due to a bug. Broadwell CPUs "
         "with the bug fix shipped in late 2014."),
        (2, "Highlight", "This is at the top of column two", "The jump is due to extensions introduced with the "
         "Skylake microarchitecture"),
        (2, "Highlight", "This is lower in column 1", "user-mode access to FS/GS registers, and TLB tags for non-VM "
         "address spaces"),
        (2, "Highlight", "", "segmentation, task switching, and 16-bit modes."),
        (4, "Squiggly", "This is a nit.", "Control transfer in x86 is already very complex"),
        (4, "Underline", "This is a different nit", "Besides modifying semantics of all indirect control transfers"),
        (4, "StrikeOut", "", "While we may disagree with some of the design choices,"),
    ],
    "issue13.pdf": [(1, "Highlight", "", "This is a sample statement.")],
    "issue46.pdf": [(1, "Highlight", "", "C – Curate"), (1, "Square", "", ""),
                    (1, "Highlight", "", "This was a novel idea at the time")],
    "issue61.pdf": [(1, "Caret", "and machine learning", "")],
    "pr24.pdf": [
        (1, "Highlight", "long highlight", "Heading Link to heading that is working with vim-pandoc. "
         "Link to heading that"),
        (1, "Highlight", "short highlight", "not working"),
        (1, "Text", "", ""),
        (1, "Highlight", "", "Some more text"),
        (1, "Text", "s", ""),
        (1, "Text", "dual\n\npara note", ""),
    ],
    "word2column.pdf": [
        (1, "Squiggly", "Nonsense!", "Itaque earum rerum hic tenetur a sapiente delectus, ut aut reiciendis "
         "voluptatibus maiores alias consequatur aut perferendis doloribus asperiores repellat."),
        (1, "StrikeOut", "", "nostrud exercitation"),
        (1, "StrikeOut", "", "Duis"),
        (1, "StrikeOut", "", "laborum"),
        (1, "Highlight", "", "At vero eos et accusamus et iusto odio dignissimos ducimus, qui blanditiis praesentium "
         "voluptatum deleniti atque corrupti,"),
        (1, "StrikeOut", "blah blah", "equal"),
        (2, "StrikeOut", "", "duty"),
        (2, "StrikeOut", "", "In a free hour,"),
    ],
    "FreeText-annotation.pdf": [(1, "FreeText", 'Annotation with subtype "FreeText".', "")],
}  # fmt: skip


def letters(words: str) -> str:
    return re.sub(r"[\W_]", "", words).lower()


@pytest.mark.pdf_marks
@pytest.mark.parametrize("name", list(SAID))
def test_marks_and_the_words_under_them(marked: dict[str, MarkedPdf], name: str) -> None:
    found = [(m.page, m.kind, m.text, letters(m.words)) for m in marked[name].marks]
    told = [(page, kind, text, letters(words)) for page, kind, text, words in SAID[name]]
    assert found[: len(told)] == told and len(found) - len(told) == (1 if name == "word2column.pdf" else 0)


@pytest.mark.pdf_marks
def test_a_struck_word_and_its_caret(marked: dict[str, MarkedPdf]) -> None:
    """`caret.pdf`: "Adobe Acrobat Reader" is struck out, "Google Chrome" stands in the caret of the same group."""
    found = pdf_notes("caret.pdf", marked["caret.pdf"], {1: "1"}, lambda anchor: 0).notes
    assert Counter(note.kind for note in found) == {"replace": 1, "strikeout": 1, "highlight": 1, "underline": 1}
    (replaced,) = [note for note in found if note.kind == "replace"]
    assert replaced.text == "replace “Adobe Acrobat Reader” with “Google Chrome”"
    assert (replaced.date, replaced.name[:8]) == ("2024-06-25", "aa7207e6") and replaced.author


@pytest.mark.pdf_marks
def test_links_are_no_marks(marked: dict[str, MarkedPdf]) -> None:
    """`hotos17.pdf` holds 100 links beside its ten marks."""
    assert len(marked["hotos17.pdf"].marks) == 10 and marked["hotos17.pdf"].pages == 8


@pytest.fixture(scope="module")
def odd(pypdf: Path) -> dict[str, bytes]:
    """The files of pypdf."""
    return pdfs(pypdf, "resources")


@pytest.mark.pypdf
def test_marks_in_files_of_pypdf(odd: dict[str, bytes]) -> None:
    def kinds(name: str) -> Counter[str]:
        return Counter(mark.kind for mark in read_pdf(name, odd[name], look).marks)

    assert kinds("commented.pdf") == {"Text": 2, "Highlight": 1}
    assert kinds("example.pdf") == {"Stamp": 1, "Text": 1, "Highlight": 1, "FileAttachment": 1}
    assert kinds("crazyones.pdf") == {}


@pytest.mark.pypdf
def test_every_file_is_read_or_refused_by_name(odd: dict[str, bytes]) -> None:
    encrypted = [name for name in odd if name.startswith("encryption/") and "unencrypted" not in name]
    assert len(encrypted) > 10
    for name, data in odd.items():
        try:
            found = read_pdf(name, data, look)
        except Refusal as refused:
            assert refused.path == name and refused.remedy
            assert name not in encrypted or refused.message == "it is encrypted"
        else:
            # Some open without a password; pypdf itself says which.
            assert found.pages > 0 and (name not in encrypted or PdfReader(BytesIO(data)).decrypt(""))
