"""`compare` of drafts as word processors keep them: no book, no repository, lines count paragraphs."""

from __future__ import annotations

from pathlib import Path

from tests.cli.conftest import Tell
from tests.schema_check import checked
from tests.word_files import docx, odt, p

_OLD = p("The slipway", style="Kapitel") + p("The shed", style="Szene") + p("Rain on tin.") + p("NELL: Push.")


def test_a_docx_against_an_odt(tell: Tell, tmp_path: Path) -> None:
    (tmp_path / "old.docx").write_bytes(docx(_OLD))
    (tmp_path / "new.odt").write_bytes(
        odt(
            '<text:h text:outline-level="1">The slipway</text:h><text:h text:outline-level="2">The shed</text:h>'
            "<text:p>Rain on tin.</text:p><text:p>NELL: Push harder.</text:p>"
        )
    )
    document = checked(tell(tmp_path, "compare", "old.docx", "new.odt", "--json").out)
    (line,) = document["scenes"][0]["lines"]
    assert (line["kind"], line["old"]["line"], line["new"]["line"]) == ("reworded", 4, 4)
    assert line["old"]["path"] == "old.docx" and document["scenes"][0]["kind"] in ("polished", "rewritten")


def test_the_same_draft_typed_and_from_a_word_processor(tell: Tell, tmp_path: Path) -> None:
    (tmp_path / "old.docx").write_bytes(docx(_OLD))
    (tmp_path / "new.md").write_text("# The slipway\n\n## The shed\n\nRain on tin.\n\nNELL: Push.\n")
    document = checked(tell(tmp_path, "compare", "old.docx", "new.md", "--json").out)
    assert [scene["kind"] for scene in document["scenes"]] == ["kept"]


def test_tracked_changes_are_counted_and_a_patch_shows_typed_words(tell: Tell, tmp_path: Path) -> None:
    (tmp_path / "old.docx").write_bytes(docx(_OLD))
    added = p("<w:ins><w:r><w:t>NELL: Listen.</w:t></w:r></w:ins>")
    (tmp_path / "new.docx").write_bytes(docx(_OLD + added))
    said = tell(tmp_path, "compare", "old.docx", "new.docx").out
    assert "a tracked change was read as accepted (1 insertion)" in " ".join(said.split())
    assert "+NELL: Listen." in tell(tmp_path, "compare", "old.docx", "new.docx", "--patch").out


def test_what_is_no_document_is_named(tell: Tell, tmp_path: Path) -> None:
    (tmp_path / "old.docx").write_bytes(b"NELL: Push.\n")
    (tmp_path / "new.docx").write_bytes(docx(_OLD))
    said = tell(tmp_path, "compare", "old.docx", "new.docx", code=2)
    assert "old.docx: it is no document of a word processor" in said.err
    assert (
        checked(tell(tmp_path, "compare", "old.docx", "new.docx", "--json", code=2).out)["error"]["path"] == "old.docx"
    )


def test_a_folder_of_documents(tell: Tell, tmp_path: Path) -> None:
    for name in ("old", "new"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "~$01.docx").write_bytes(b"a lock of the word processor")
        (tmp_path / name / "01.docx").write_bytes(docx(_OLD))
    assert [s["kind"] for s in checked(tell(tmp_path, "compare", "old", "new", "--json").out)["scenes"]] == ["kept"]
