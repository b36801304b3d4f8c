"""`enter --from`: years of old drafts and exports, in the formats and under the names they were kept."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.schema_check import checked
from tests.typed_book import TypedBook
from tests.word_files import docx, odt, p

OLD = p("Chapter 1: The slipway", style="Kapitel") + p("NELL: First words.")
CHANGED = p("<w:ins><w:r><w:t>NELL: Later words.</w:t></w:r></w:ins>")


def enter(book: TypedBook, name: str, source: Path, day: str, code: int = 0) -> dict[str, object]:
    done = book.ledger("enter", name, "--from", str(source), "--date", day, "--json", code=code)
    return checked(done.out)


def test_old_drafts_of_word_processors_as_past_rounds(laid_out: TypedBook, tmp_path: Path) -> None:
    now = (laid_out.top / "script/01.md").read_bytes()
    (tmp_path / "one.docx").write_bytes(docx(OLD + CHANGED))
    (tmp_path / "two.odt").write_bytes(
        odt('<text:h text:outline-level="1">The slipway</text:h><text:p>N: Then.</text:p>')
    )
    said = enter(laid_out, "script", tmp_path / "one.docx", "2024-03-01")
    messages = [finding["message"] for finding in said["findings"]]  # type: ignore[attr-defined]
    assert "a tracked change was read as accepted (1 insertion)" in messages
    enter(laid_out, "script", tmp_path / "two.odt", "2025-03-01")
    assert (laid_out.top / "script/01.md").read_bytes() == now
    assert laid_out.git("show", "pass/script/1:script/01.md") == (
        "# Chapter 1: The slipway\n\nNELL: First words.\n\nNELL: Later words.\n"
    )
    assert laid_out.git("show", "pass/script/2:script/01.md") == "# The slipway\n\nN: Then.\n"


def test_a_folder_of_old_drafts(laid_out: TypedBook, tmp_path: Path) -> None:
    folder = tmp_path / "old"
    folder.mkdir()
    (folder / "01 slipway.docx").write_bytes(docx(OLD))
    (folder / "02 far room.md").write_text("# The far room\n\nN: Push.\n")
    (folder / "~$01 slipway.docx").write_bytes(b"lock")
    assert set(enter(laid_out, "script", folder, "2024-03-01")["paths"]) >= {  # type: ignore[call-overload]
        "script/01 slipway.md", "script/02 far room.md",
    }  # fmt: skip
    (folder / "01 slipway.md").write_text("# Twice\n")
    said = laid_out.ledger("enter", "script", "--from", str(folder), "--date", "2025-03-01", code=2).err
    assert "two drafts of this folder would both be script/01 slipway.md" in said


def test_old_exports_under_names_of_their_own(laid_out: TypedBook, tmp_path: Path) -> None:
    folder = tmp_path / "scans"
    folder.mkdir()
    for number in (1, 2):
        laid_out.draw("inks", "999", number)
        shutil.move(laid_out.top / "art/inks/p999.png", folder / f"supper_{number}_v3.png")
    said = enter(laid_out, "inks", folder, "2024-03-01")
    assert {"art/inks/p001.png", "art/inks/p002.png"} <= set(said["paths"])  # type: ignore[call-overload]
    assert laid_out.git("status", "--porcelain", "art") and not (laid_out.top / "art/inks/p001.png").exists()
    shutil.copy(folder / "supper_1_v3.png", folder / "supper_1_v2.png")
    told = laid_out.ledger("enter", "inks", "--from", str(folder), "--date", "2025-03-01", code=2).err
    assert "are both page 1" in told


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [("a.docx", b"N: Hm.", "no document of a word processor"), ("a.rtf", b"{\\rtf", "save it as .docx")],
)
def test_what_can_not_be_read(laid_out: TypedBook, tmp_path: Path, name: str, data: bytes, said: str) -> None:
    (tmp_path / name).write_bytes(data)
    done = laid_out.ledger("enter", "script", "--from", str(tmp_path / name), "--date", "2024-03-01", code=2)
    assert said in done.err and laid_out.git("tag", "-l") == ""
