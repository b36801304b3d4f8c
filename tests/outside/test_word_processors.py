"""One script as LibreOffice 7.4, Pandoc 2.17 and AbiWord 3.0 write it: `.docx`, `.odt`, and Markdown made of it.

`word_processors/the-toll.md` is the script, of our own invention; the README beside it says how each file was made. In
those named `by-look` headings are set by size, bold capitals and centring alone.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.compare import compare_drafts
from ledger.model.change import DraftChange
from ledger.model.finding import Finding
from ledger.read.word_processor.drafts import read_any_script

HERE = Path(__file__).parent / "word_processors"
WRITTEN = sorted({path.name for path in HERE.iterdir()} - {"README.md", "the-toll.md"})
SAME = [name for name in WRITTEN if "tracked" not in name]


def against(name: str) -> tuple[DraftChange, tuple[Finding, ...]]:
    """What a program's file says beside the script itself, and what there was to say about reading it."""
    old, new = (read_any_script([(each, (HERE / each).read_bytes())], ()) for each in ("the-toll.md", name))
    return compare_drafts(old, new), new.findings


def changed(change: DraftChange) -> list[tuple[str, str, str]]:
    lines = [line for scene in change.scenes for line in scene.lines if line.kind != "same"]
    return [(line.kind, line.old.text if line.old else "", line.new.text if line.new else "") for line in lines]


def test_what_every_program_wrote_is_here() -> None:
    assert len(SAME) == 9 and {name.partition(".")[2] for name in SAME} == {"docx", "odt", "md"}


@pytest.mark.parametrize("name", SAME)
def test_the_same_script_whoever_wrote_the_file(name: str) -> None:
    change, findings = against(name)
    assert [(scene.kind, scene.renamed, scene.moved) for scene in change.scenes] == [("kept", False, False)] * 5
    assert changed(change) == [] and {page.kind for page in change.pages} == {"kept"} and not findings
    assert not (change.cast.added or change.cast.gone or change.cast.renamed)


@pytest.mark.parametrize("name", [name for name in WRITTEN if "tracked" in name])
def test_tracked_changes_are_read_as_accepted(name: str) -> None:
    change, (finding,) = against(name)
    assert [scene.kind for scene in change.scenes] == ["kept", "polished", "kept", "kept", "kept"]
    assert changed(change) == [
        ("reworded", "They say you once took a whole wedding over in a storm.",
         "They say you once took a whole village over in a storm."),
        ("reworded", "The dead don't mind the rain.", "The drowned don't mind the rain."),
    ]  # fmt: skip
    assert finding.message == "4 tracked changes were read as accepted (2 insertions, 2 deletions)"
