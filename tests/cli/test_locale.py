"""The locale plays no part: names and words of any script, on the command line too, under whatever encoding it has."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from tests.typed_book import TypedBook

#: Plain ASCII, which Python is told to believe; a real locale of the 8-bit kind is made where the parts of it are here.
ASCII = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}


@pytest.fixture(scope="session")
def latin1(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    folder = tmp_path_factory.mktemp("locales")
    name = "en_US.ISO-8859-1"
    try:
        subprocess.run(["localedef", "-i", "en_US", "-f", "ISO-8859-1", str(folder / name)], check=True, timeout=60)
    except (OSError, subprocess.CalledProcessError):
        return ASCII
    return {"LOCPATH": str(folder), "LC_ALL": name}


@pytest.fixture(params=["ascii", "latin-1"])
def locale(request: pytest.FixtureRequest) -> dict[str, str]:
    found: dict[str, str] = ASCII if request.param == "ascii" else request.getfixturevalue("latin1")
    return found


def test_words_and_names_of_the_command_line_are_utf8(
    entered: TypedBook, locale: dict[str, str], tmp_path: Path
) -> None:
    entered.env = locale
    entered.write("script/02 Grüße — 港.md", "## Kai\n\n[page 5]\n\nN: Grüße aus dem Hafen 港.\n")
    entered.ledger("enter", "script", "-m", "größer — 港")
    assert 'message = "größer — 港"' in (entered.top / "ledger/script-2.toml").read_text("utf-8")
    assert 'One line holds "Grüße aus"' in entered.ledger("trace", "Grüße aus").out
    entered.ledger("notes", "add", "größe", "Schön 港", "--at", "p5")
    entered.ledger("notes", "answer", "größe/1", "query", "Wäre das möglich?")
    assert "Wäre das möglich?" in (entered.top / "notes/größe.md").read_text("utf-8")
    compared = entered.ledger("compare", "script/02 Grüße — 港.md", "script/01.md", "--json").document
    assert compared["old"]["name"] == "script/02 Grüße — 港.md"
    entered.ledger("recall", "script-2", "--to", f"../{tmp_path.name} Kopie ü 港")
    assert (entered.top.parent / f"{tmp_path.name} Kopie ü 港/script/02 Grüße — 港.md").is_file()
    assert "'nosüch' is no pass" in entered.ledger("enter", "nosüch", code=2).err
