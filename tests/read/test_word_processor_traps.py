"""Files that are no documents, or traps: a clear word each, bounded time and memory, never a traceback."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.model.errors import Refusal
from ledger.read.word_processor.drafts import document_findings, read_document
from tests.word_files import W, docx, docx_parts, odt, p, packed

_ENTITIES = '<!DOCTYPE a [<!ENTITY a "lol">' + "".join(
    f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9)
)  # fmt: skip


def bomb(entity: str) -> bytes:
    parts = docx_parts("")
    xml = str(parts["word/document.xml"]).replace("<w:document", f"{_ENTITIES}]><w:document", 1)
    return packed(
        parts | {"word/document.xml": xml.replace("<w:body>", f"<w:body>{p(f'<w:r><w:t>{entity}</w:t></w:r>')}")}
    )


REFUSED = {
    "empty.docx": (b"", "it is empty"),
    "text.docx": (b"N: Push.\n", "no document of a word processor"),
    "old.docx": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(512), "locked with a password, or an old binary"),
    "rich.docx": (b"{\\rtf1 N: Push.}", "RTF under another name"),
    "other.docx": (odt("<text:p>N: Push.</text:p>"), "an OpenDocument under another name"),
    "other.odt": (docx(p("N: Push.")), "this is no .odt"),
    "half.docx": (docx(p("N: Push.") * 99)[:-40], "damaged"),
    "broken.docx": (docx("<w:p>"), "breaks off or is not well formed"),
    "pictures.docx": (packed({"a.png": b"x"}), "this is no .docx"),
    "entities.docx": (bomb("&j;"), "declares entities"),
    "locked.odt": (odt("", manifest="<manifest:file-entry><manifest:encryption-data/></manifest:file-entry>"),
                   "encrypted with a password"),
    "lzma.docx": (packed(docx_parts(p("N: Push.")), zipfile.ZIP_LZMA), "no word processor packs"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused_in_words(name: str) -> None:
    data, said = REFUSED[name]
    with pytest.raises(Refusal) as refusal:
        read_document(name, data)
    assert said in refusal.value.message and refusal.value.path == name and refusal.value.remedy


def test_entities_outside_the_file_are_not_fetched(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("secret words")
    parts = docx_parts("")
    xml = str(parts["word/document.xml"])
    trap = f'<!DOCTYPE a [<!ENTITY x SYSTEM "file://{tmp_path}/secret">]>'
    xml = xml.replace("<w:document", f"{trap}<w:document", 1).replace("<w:body>", f"<w:body>{p('&x;')}")
    with pytest.raises(Refusal, match="declares entities"):
        read_document("a.docx", packed(parts | {"word/document.xml": xml}))


def test_macros_are_not_run_and_the_words_are_read() -> None:
    data = packed({**docx_parts(p("N: Push.")), "word/vbaProject.bin": b"Sub AutoOpen()"})
    document = read_document("a.docx", data)
    assert [each.text for each in document.paragraphs] == ["N: Push."]
    assert document_findings(document)[0].message == "it holds macros, which were not run and not taken in"


#: What a bomb repeats, and how often: some hundred MiB each, which never stand whole in memory.
BOMBS = {
    "blanks": ("<w:p><w:r><w:t>", " " * 1024, 300 << 10),
    "one paragraph of nothing": ("<w:p>", "<w:r/>" * 1024, 50 << 10),
    "elements around no paragraph": ("", "<w:x/>" * 1024, 50 << 10),
    "paragraphs without end": ("", "<w:p/>" * 1024, 40 << 10),
    "depth": ("", "<w:sdt>" * 1024, 1 << 10),
}

_READ = """
import sys
from ledger.model.errors import Refusal
from ledger.read.word_processor.drafts import read_document
try:
    read_document("bomb.docx", open(sys.argv[1], "rb").read())
except Refusal as refusal:
    print(open("/proc/self/status").read().split("VmHWM:")[1].split()[0], refusal.message)
"""


@pytest.mark.parametrize("kind", BOMBS)
def test_a_bomb_is_refused_in_bounded_memory(kind: str, tmp_path: Path) -> None:
    parts = docx_parts("@")
    head, tail = str(parts.pop("word/document.xml")).split("@")
    place = tmp_path / "bomb.docx"
    first, again, times = BOMBS[kind]
    with zipfile.ZipFile(place, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as package:
        for name, part in parts.items():
            package.writestr(name, part)
        with package.open("word/document.xml", "w") as out:
            out.write((head + first).encode())
            for _ in range(times):
                out.write(again.encode())
            out.write(tail.encode())
    done = subprocess.run([sys.executable, "-c", _READ, str(place)], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0 and done.stdout, done.stderr
    assert int(done.stdout.split()[0]) < 600 << 10, done.stdout


@settings(deadline=None)  # nothing is timed outside the benchmarks
@given(st.binary(max_size=300), st.integers(0, 4000))
def test_any_damage_is_read_or_refused(damage: bytes, at: int) -> None:
    for name, data in (("a.docx", docx(p("N: Push.") + p("Rain."))), ("a.odt", odt("<text:p>N: Push.</text:p>"))):
        at_most = min(at, len(data))
        try:
            read_document(name, data[:at_most] + damage + data[at_most + len(damage) :])
        except Refusal as refusal:
            assert refusal.path == name


@pytest.mark.parametrize("odd", ["²", "-1", "9" * 400, "", "x", "1e999", "nan", "inf"])
def test_odd_numbers_in_a_file_are_no_fault(odd: str) -> None:
    look = f'<w:outlineLvl w:val="{odd}"/><w:ind w:left="{odd}"/>'
    look += f'<w:numPr><w:ilvl w:val="{odd}"/><w:numId w:val="1"/></w:numPr>'
    body = p(f'<w:r><w:rPr><w:sz w:val="{odd}"/></w:rPr><w:t>Rain.</w:t></w:r>', more=look)
    levels = f'<w:lvl w:ilvl="{odd}"><w:start w:val="{odd}"/><w:lvlText w:val="Panel %1"/></w:lvl>'
    numbering = f'<w:numbering xmlns:w="{W}"><w:abstractNum w:abstractNumId="1">{levels}</w:abstractNum></w:numbering>'
    document = read_document("a.docx", docx(body, numbering=numbering))
    assert document.paragraphs[0].text == "Rain."
    text = f'<text:h text:outline-level="{odd}">Rain.<text:s text:c="{odd}"/></text:h>'
    item = f'<text:list-item text:start-value="{odd}"><text:p>Tin.</text:p></text:list-item>'
    text += f'<text:list text:style-name="L">{item}</text:list>'
    style = (
        f'<style:style style:name="P" style:family="paragraph" style:default-outline-level="{odd}"/><text:list-style '
    )
    style += (
        f'style:name="L"><text:list-level-style-number text:level="{odd}" text:start-value="{odd}"/></text:list-style>'
    )
    assert read_document("a.odt", odt(text, style)).paragraphs[1].text == "Tin."
