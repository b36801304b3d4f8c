"""Drafts as a unified diff."""

from __future__ import annotations

from unidiff.patch import PatchSet

from ledger.render.changes.patch import patch_text


def test_two_files_of_different_names_are_one_diff() -> None:
    patch = patch_text([("old.md", b"W: One.\nW: Two.\n")], [("new.md", b"W: One.\nW: Three.\n")])
    assert patch == "--- a/old.md\n+++ b/new.md\n@@ -1,2 +1,2 @@\n W: One.\n-W: Two.\n+W: Three.\n"


def test_a_chapter_more_and_one_less() -> None:
    old = [("script/01.md", b"W: One.\n"), ("script/02.md", b"W: Two.\n")]
    new = [("script/01.md", b"W: One.\n"), ("script/03.md", b"W: Three.\n")]
    read = PatchSet.from_string(patch_text(old, new))
    assert [(f.path, f.is_added_file, f.is_removed_file) for f in read] == [
        ("script/02.md", False, True),
        ("script/03.md", True, False),
    ]


def test_the_same_drafts_and_odd_bytes() -> None:
    assert patch_text([("a.md", b"W: One.\r\n")], [("a.md", b"W: One.\r\n")]) == ""
    assert "+W: caf\\xe9" in patch_text([("a.md", b"")], [("a.md", b"W: caf\xe9\n")])
