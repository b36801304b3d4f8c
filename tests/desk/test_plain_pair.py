"""Two drafts that no book holds: compared the short way, they say what they say the long way."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.desk.comparing import compare
from ledger.desk.plain_pair import compare_plain

OLD = "## Quay\n\n[page 1]\n\nW: You are late again.\n\nPANEL 2. The tide.\n\n## Shed\n\n[pages 2-3]\n\nGulls.\n"
NEW = "## The quay\n\n[page 1]\n\nW: You are late once more. {low}\n\nThe tide.\n\n[pages 2-3]\n\nGulls & more gulls.\n"


@pytest.fixture
def here(tmp_path: Path) -> Path:
    (tmp_path / "old.md").write_text(OLD, "utf-8")
    (tmp_path / "two").mkdir()
    (tmp_path / "two" / "NEW.TXT").write_bytes(f"{NEW}\n## Empty chapter café\n".encode("cp1252"))
    (tmp_path / "never.md").write_text("# One\n\n<!-- never ends\n", "utf-8")
    (tmp_path / "p001.png").write_bytes(b"no picture")
    (tmp_path / "a:b.md").write_text(OLD, "utf-8")
    return tmp_path


@pytest.mark.parametrize(
    "names",
    [("old.md", "two/NEW.TXT"), ("two/NEW.TXT", "old.md"), ("./old.md", "old.md"), ("never.md", "old.md"),
     ("two/../old.md", "never.md")],
)  # fmt: skip
def test_it_is_the_same_comparison(here: Path, names: tuple[str, str]) -> None:
    found = compare_plain(str(here), names)
    assert found is not None
    assert found == compare(here, names)


@pytest.mark.parametrize(
    "names",
    [(), ("old.md",), ("old.md", "two"), ("old.md", "p001.png"), ("old.md", "gone.md"), ("old.md", "path:old.md"),
     ("a:b.md", "old.md"), ("old.md", ".")],
)  # fmt: skip
def test_what_may_mean_anything_else_goes_the_long_way(here: Path, names: tuple[str, ...]) -> None:
    assert compare_plain(str(here), names) is None


def test_inside_a_repository_a_name_may_be_a_round(here: Path) -> None:
    (here / ".git").mkdir()
    assert compare_plain(str(here), ("old.md", "two/NEW.TXT")) is None
