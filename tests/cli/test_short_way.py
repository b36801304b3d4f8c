"""Plain questions go a short way to their answer; it must be the same answer."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from ledger.cli.short_way import Asked, answer, understood
from tests.cli.conftest import Tell
from tests.typed_book import TypedBook


@pytest.mark.parametrize(
    "typed",
    ["compare", "compare script-1", "compare script-1 pencils-1", "compare script-1 . --all", "compare --patch",
     "status", "check", "check --staged", "notes list", "compare script-7", "compare inks",
     "audit", "audit --since-lock", "audit HEAD~1..", "audit nowhere"],
)  # fmt: skip
@pytest.mark.parametrize("form", ["", " --json"])
def test_the_short_way_says_what_the_long_way_says(
    tell: Tell, entered: TypedBook, capsysbinary: pytest.CaptureFixture[bytes], typed: str, form: str
) -> None:
    words = f"{typed}{form}".split()
    long = tell(entered.top, *words, code=None)
    asked = understood(["-C", str(entered.top), *words])
    assert asked is not None
    code = answer(asked)
    caught = capsysbinary.readouterr()
    assert (caught.out.decode(), caught.err.decode(), code) == (long.out, long.err, long.code)


def test_folder_flags_and_names_in_any_order() -> None:
    asked = Asked(("compare",), "b", True, {"all_lines": True}, ("old.md", "new.md"))
    assert understood(["-C", "a", "compare", "old.md", "--json", "-C", "b", "new.md", "--all-lines"]) == asked


@pytest.mark.parametrize(
    "typed",
    ["", "compare --help", "compare -h", "compare a b c", "compare --out x", "compare -- a b", "--json compare",
     "status now", "notes", "notes add lorn text", "notes list --at script-1", "check --stage", "compare -C",
     "-C", "enter script", "completion bash", "audit --out x.html", "audit a b"],
)  # fmt: skip
def test_everything_else_goes_the_long_way(typed: str) -> None:
    assert understood(typed.split()) is None


def test_shell_completion_goes_the_long_way(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("_INKLEDGER_COMPLETE", "bash_complete")
    assert understood(["status"]) is None


#: What takes long to import and no comparison of two plain files needs.
HEAVY = {"click", "dataclasses", "inspect", "subprocess", "tomllib", "markdown_it", "difflib", "numpy", "PIL", "git",
         "pathlib", "ledger.read.entries", "ledger.pictures", "ledger.judge", "ledger.model.book",
         "ledger.desk.reference"}  # fmt: skip


def test_two_plain_files_are_compared_without_anything_heavy(tmp_path: Path) -> None:
    (tmp_path / "old.md").write_text("## Quay\n\n[page 1]\n\nW: You are late again.\n", "utf-8")
    (tmp_path / "new.md").write_text("## Quay\n\n[page 1]\n\nW: You are late once more.\n", "utf-8")
    look = (
        "import sys; from ledger.cli.short_way import answer, understood;"
        "answer(understood(['compare', 'old.md', 'new.md', '--json'])); print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", look], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert json.loads(done.stdout)["scenes"][0]["lines"][0]["kind"] == "reworded"
    assert HEAVY & set(done.stderr.split()) == set()
