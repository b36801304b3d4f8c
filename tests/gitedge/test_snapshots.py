"""Snapshots are what git itself says, read from real repositories."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.gitedge import objects, snapshots
from ledger.gitedge.intake import kept_as
from ledger.gitedge.repository import Repository
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.snapshot import FileAt, Snapshot
from tests.books import Book

Maker = Callable[..., Book]

DRAFT = "# Chapter 1: The weighing house\n\n## Quay, morning\n\nW: You said the map was here.\n"
ODD_NAMES = {
    "script/two\nlines.md": "a name of two lines",
    'script/"quoted".md': "quotes",
    "script/back\\slash.md": "a backslash",
    "script/-n.md": "begins like an option",
    "script/:(top)x.md": "looks like git's magic",
    "script/*.md": "a star",
    "script/kapitel-a\u0308.md": "decomposed",
    "script/kapitel-\u00e4.md": "composed",
    "script/latin-\udce9.md": "no UTF-8 at all",
    "script/\ttab.md": "a tab",
}


def ids(snapshot: Snapshot) -> dict[str, str | None]:
    return {path: file.oid for path, file in snapshot.files.items()}


@pytest.mark.parametrize("form", ["sha1", "sha256"])
def test_every_snapshot_of_a_clean_book_is_what_git_lists(new_repo: Maker, form: str) -> None:
    book = new_repo({"book.toml": "[book]\n", "script/01.md": DRAFT, **ODD_NAMES}, form=form)
    repo = Repository.find(book.top)
    assert repo.object_format == form
    listed = book.staged()
    assert set(ODD_NAMES) <= set(listed)
    for snapshot in (snapshots.at_commit(repo, "HEAD"), snapshots.of_index(repo), snapshots.of_worktree(repo)):
        assert ids(snapshot) == listed
        assert {path: snapshot.read(path).decode() for path in ODD_NAMES} == ODD_NAMES
        assert snapshot.store.blob(listed["script/01.md"]).decode() == DRAFT


def test_the_names_by_which_snapshots_go(new_repo: Maker) -> None:
    repo = Repository.find(new_repo({"a.md": "a"}).top)
    names = [snapshots.at_commit(repo, "main").name, snapshots.of_index(repo).name, snapshots.of_worktree(repo).name]
    assert names == ["main", ":index", "."]
    assert snapshots.empty(repo).files == {}


def test_files_now_carry_an_id_only_where_they_are_as_the_index_has_them(new_repo: Maker) -> None:
    book = new_repo({"kept.md": "kept", "changed.md": "old", "gone.md": "gone", "run.sh": "#!/bin/sh\n"})
    book.write({"changed.md": "new words", "new.md": "new", "ignored.tmp": "x", ".gitignore": "*.tmp\n"})
    (book.top / "gone.md").unlink()
    (book.top / "run.sh").chmod(0o755)
    (book.top / "link.md").symlink_to("kept.md")
    snapshot = snapshots.of_worktree(Repository.find(book.top))
    assert ids(snapshot) == {
        "kept.md": book.staged()["kept.md"], "changed.md": None, "run.sh": None, "new.md": None, "link.md": None,
        ".gitignore": None,
    }  # fmt: skip
    assert {path: file.mode for path, file in snapshot.files.items() if file.mode != "100644"} == {
        "run.sh": "100755",
        "link.md": "120000",
    }
    assert snapshot.read("changed.md") == b"new words"
    assert snapshot.read("link.md") == b"kept.md"


def test_a_copied_or_touched_file_is_known_as_the_same(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo({"a.md": "a", "b.md": "b", "c.md": "c"})
    shutil.copytree(book.top, tmp_path / "copy")
    copy = Book(tmp_path / "copy")
    for path in ("a.md", "b.md"):
        os.utime(copy.top / path, (1, 1))
    copy.write({"b.md": "B"})
    index = (copy.top / ".git/index").read_bytes()
    now = snapshots.of_worktree(Repository.find(copy.top))
    assert ids(now) == {**copy.staged(), "b.md": None}
    assert (copy.top / ".git/index").read_bytes() == index


@pytest.mark.needs_lfs
def test_a_large_file_is_known_as_the_same_without_its_filter(new_repo: Maker) -> None:
    book = new_repo({".gitattributes": "*.png filter=lfs -text\n", "p001.png": "one", "p002.png": "two", "a.md": "a"})
    for path in ("p001.png", "p002.png", "a.md"):
        os.utime(book.top / path, (1, 1))
    book.write({"p002.png": "owt"})
    assert ids(snapshots.of_worktree(Repository.find(book.top))) == {**book.staged(), "p002.png": None}


def test_a_pipe_in_the_place_of_a_file_is_not_waited_for(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo({"a.md": "a", "b.md": "b"})
    (book.top / "a.md").unlink()
    os.mkfifo(book.top / "a.md")
    os.mkfifo(book.top / "new.md")
    now = snapshots.of_worktree(Repository.find(book.top))
    with pytest.raises(ContentMissing, match=r"^a\.md: it is no plain file$"):
        now.read("a.md")
    assert "new.md" not in now.files
    folder = snapshots.of_folder(book.top)
    with pytest.raises(ContentMissing, match="no plain file"):
        folder.read("new.md")


def test_a_folder_named_like_a_page_is_seen(tmp_path: Path) -> None:
    (tmp_path / "inks/p001.png").mkdir(parents=True)
    (tmp_path / "inks/p001.png/stray.txt").write_text("x")
    files = snapshots.of_folder(tmp_path).files
    assert set(files) == {"inks/p001.png", "inks/p001.png/stray.txt"}
    assert not files["inks/p001.png"].regular


def test_a_half_staged_file_is_three_things(new_repo: Maker) -> None:
    book = new_repo({"script/01.md": "one"})
    book.write({"script/01.md": "two"})
    book.git("add", "script/01.md")
    book.write({"script/01.md": "three"})
    repo = Repository.find(book.top)
    read = [s.read("script/01.md") for s in
            (snapshots.at_commit(repo, "HEAD"), snapshots.of_index(repo), snapshots.of_worktree(repo))]  # fmt: skip
    assert read == [b"one", b"two", b"three"]


def test_files_only_meant_to_be_added_are_not_about_to_be_recorded(new_repo: Maker) -> None:
    book = new_repo({"empty.md": "", "full.md": "full"})
    book.write({"meant.md": "later", "also-empty.md": "", 'odd"\n.md': ""})
    book.git("add", "-N", "meant.md", 'odd"\n.md')
    book.git("add", "also-empty.md")
    repo = Repository.find(book.top)
    assert set(snapshots.of_index(repo).files) == {"empty.md", "full.md", "also-empty.md"}
    now = snapshots.of_worktree(repo)
    assert now.files["meant.md"] == FileAt("meant.md", None)
    assert now.read("meant.md") == b"later"


def test_the_index_that_git_gave_a_hook_is_the_one_that_is_read(
    new_repo: Maker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = new_repo({"a.md": "a", "b.md": "b"})
    other = tmp_path / "next-index"
    book.git("read-tree", "--empty", GIT_INDEX_FILE=str(other))
    book.git("add", "b.md", GIT_INDEX_FILE=str(other))
    monkeypatch.setenv("GIT_INDEX_FILE", str(other))
    repo = Repository.find(book.top)
    assert set(snapshots.of_index(repo).files) == {"b.md"}
    assert repo.index_path == str(other)


def test_our_side_stands_for_a_file_that_is_not_merged_yet(new_repo: Maker) -> None:
    book = new_repo({"a.md": "base\n", "b.md": "base\n"})
    book.git("switch", "-q", "-c", "side")
    book.write({"a.md": "theirs\n", "b.md": "theirs\n"})
    book.commit("theirs")
    book.git("switch", "-q", "main")
    book.write({"a.md": "ours\n"})
    (book.top / "b.md").unlink()
    book.commit("ours")
    book.git("merge", "side", check=False)
    repo = Repository.find(book.top)
    index = snapshots.of_index(repo)
    assert index.read("a.md") == b"ours\n"
    assert index.read("b.md") == b"theirs\n"
    assert snapshots.of_worktree(repo).files["a.md"].oid is None


def test_another_repository_inside_is_told_as_one(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    Book.new(book.top / "art", {"p001.png": "picture"})
    now = snapshots.of_worktree(Repository.find(book.top))
    assert now.files["art"] == FileAt("art", None, "160000")
    assert not now.files["art"].regular


def test_reading_many_at_once_gives_what_reading_one_by_one_gives(new_repo: Maker) -> None:
    files = {f"script/{n:04}.md": f"page {n}\n" * (n % 7 * 100) for n in range(900)}
    repo = Repository.find(new_repo(files).top)
    snapshot = snapshots.at_commit(repo, "HEAD")
    snapshot.store.warm(list(snapshot.files.values()))
    assert {path: snapshot.read(path).decode() for path in files} == files


def test_what_is_kept_in_memory_is_bounded(new_repo: Maker, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(objects, "ALL_KEPT_BYTES", 5000)
    files = {f"{n}.md": f"page {n}\n" * 100 for n in range(30)}
    repo = Repository.find(new_repo(files).top)
    snapshot = snapshots.at_commit(repo, "HEAD")
    for _ in range(2):
        assert {path: snapshot.read(path).decode() for path in files} == files
    assert sum(map(len, repo.reader._kept.values())) <= 5000


def test_what_names_no_commit_is_none_and_writes_nothing(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a"})
    repo = Repository.find(book.top)
    before = book.all_files()
    for text in ("", "nowhere", "--output=x", "-x", "HEAD:a.md", "a\0b", "HEAD^9"):
        assert snapshots.resolve_commit(repo, text) is None
    assert snapshots.resolve_commit(repo, "HEAD") == book.git("rev-parse", "HEAD")
    assert book.all_files() == before
    with pytest.raises(Refusal, match="no state of this book"):
        snapshots.at_commit(repo, "nowhere")


def test_an_object_that_is_lost_is_said_to_be_missing_and_the_rest_is_read(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a", "b.md": "b", "c.md": "c"})
    lost = book.staged()["b.md"]
    (book.top / ".git/objects" / lost[:2] / lost[2:]).unlink()
    snapshot = snapshots.at_commit(Repository.find(book.top), "HEAD")
    snapshot.store.warm(list(snapshot.files.values()))
    assert (snapshot.read("a.md"), snapshot.read("c.md")) == (b"a", b"c")
    with pytest.raises(ContentMissing) as told:
        snapshot.read("b.md")
    assert (told.value.name, told.value.why) == ("b.md", "lost: git does not have it")


def test_a_partial_clone_is_read_without_fetching(new_repo: Maker, tmp_path: Path) -> None:
    files = {f"{n}.md": f"page {n}\n" for n in range(8)}
    book = new_repo(files)
    book.git("config", "uploadpack.allowFilter", "true")
    book.git("clone", "-q", "--no-checkout", "--filter=blob:none", f"file://{book.top}", str(tmp_path / "clone"))
    clone = Book(tmp_path / "clone")
    clone.git("cat-file", "blob", "HEAD:5.md")
    fetched = clone.git("count-objects", "-v")
    repo = Repository.find(clone.top)
    snapshot = snapshots.at_commit(repo, "HEAD")
    snapshot.store.warm(list(snapshot.files.values()))
    assert snapshot.read("5.md") == b"page 5\n"
    for path in files:
        if path != "5.md":
            with pytest.raises(ContentMissing, match=f"{path}: not fetched"):
                snapshot.read(path)
    gone = {file.oid for path, file in snapshot.files.items() if path != "5.md" and file.oid}
    assert objects.missing_objects(repo, [file.oid or "" for file in snapshot.files.values()]) == gone
    assert clone.git("count-objects", "-v") == fetched


def test_a_file_that_a_sparse_checkout_leaves_out_is_read_from_git(new_repo: Maker) -> None:
    book = new_repo({"script/01.md": "draft", "art/p001.png": "picture"})
    book.git("sparse-checkout", "set", "script")
    assert not (book.top / "art").exists()
    now = snapshots.of_worktree(Repository.find(book.top))
    assert now.read("art/p001.png") == b"picture"


@pytest.mark.needs_lfs
def test_large_files_are_followed_into_the_store_on_this_disk(new_repo: Maker) -> None:
    book = new_repo({".gitattributes": "*.png filter=lfs -text\n", "art/p001.png": b"\x89PNG" + b"drawing" * 999})
    repo = Repository.find(book.top)
    pointer = book.git_bytes("cat-file", "blob", "HEAD:art/p001.png")
    assert pointer.startswith(b"version https://git-lfs")
    snapshot = snapshots.at_commit(repo, "HEAD")
    oid = snapshot.files["art/p001.png"].oid
    assert oid is not None
    assert snapshot.read("art/p001.png") == book.read("art/p001.png")
    assert snapshot.store.blob(oid) == book.read("art/p001.png")
    assert repo.reader.raw(oid) == pointer
    book.write({"art/p001.png": pointer})
    assert snapshots.of_worktree(repo).read("art/p001.png").startswith(b"\x89PNG")
    for stored in (book.top / ".git/lfs/objects").rglob("*"):
        if stored.is_file():
            stored.unlink()
    with pytest.raises(ContentMissing, match=r"art/p001\.png: not fetched"):
        snapshot.read("art/p001.png")


@pytest.mark.needs_lfs
def test_a_store_elsewhere_is_heeded_and_a_short_file_is_damaged(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo()
    book.git("config", "lfs.storage", str(tmp_path / "store"))
    book.write({".gitattributes": "*.png filter=lfs -text\n", "p001.png": b"drawing"})
    book.commit()
    snapshot = snapshots.at_commit(Repository.find(book.top), "HEAD")
    assert snapshot.read("p001.png") == b"drawing"
    (stored,) = (place for place in (tmp_path / "store/objects").rglob("*") if place.is_file())
    stored.chmod(0o644)
    stored.write_bytes(b"draw")
    with pytest.raises(ContentMissing, match="damaged"):
        snapshot.read("p001.png")


def test_reading_runs_no_program_that_the_repository_names(new_repo: Maker, tmp_path: Path) -> None:
    trap = tmp_path / "ran"
    script = tmp_path / "trap.sh"
    script.write_text(f'#!/bin/sh\necho "$0 $*" >> "{trap}"\ncat\n')
    script.chmod(0o755)
    book = new_repo({"a.md": "a", ".gitattributes": "*.md filter=trap diff=trap\n"})
    for name in ("core.fsmonitor", "core.pager", "diff.external", "diff.trap.textconv", "core.sshCommand",
                 "filter.trap.clean", "filter.trap.smudge", "filter.trap.process", "gpg.program", "core.editor",
                 "core.alternateRefsCommand", "credential.helper"):  # fmt: skip
        book.git("config", name, str(script))
    book.git("config", "filter.trap.required", "true")
    book.write({"a.md": "b"})
    repo = Repository.find(book.top)
    for snapshot in (snapshots.at_commit(repo, "HEAD"), snapshots.of_index(repo), snapshots.of_worktree(repo)):
        snapshot.read("a.md")
    assert snapshots.of_worktree(repo).read("a.md") == b"b"
    assert not trap.exists(), trap.read_text()


def test_reading_writes_nothing_into_the_git_folder(new_repo: Maker) -> None:
    book = new_repo({"a.md": "a", "b.md": "b"})
    os.utime(book.top / "a.md", (1, 1))

    def git_folder() -> dict[str, bytes]:
        return {str(p): p.read_bytes() for p in sorted((book.top / ".git").rglob("*")) if p.is_file()}

    before = git_folder()
    (book.top / ".git/index.lock").write_bytes(b"")
    repo = Repository.find(book.top)
    assert snapshots.of_worktree(repo).read("a.md") == b"a"
    assert snapshots.of_index(repo).read("b.md") == b"b"
    (book.top / ".git/index.lock").unlink()
    assert git_folder() == before


def test_a_plain_folder_needs_no_repository(tmp_path: Path) -> None:
    top = tmp_path / "drafts"
    (top / "script").mkdir(parents=True)
    (top / "script/01.md").write_text(DRAFT)
    (top / ".git").mkdir()
    (top / ".git/HEAD").write_text("ref: refs/heads/main\n")
    (top / "link.md").symlink_to("script/01.md")
    snapshot = snapshots.of_folder(top)
    assert snapshot.files == {
        "script/01.md": FileAt("script/01.md", None),
        "link.md": FileAt("link.md", None, "120000"),
    }
    assert snapshot.read("script/01.md").decode() == DRAFT
    with pytest.raises(ContentMissing, match="no repository"):
        snapshot.store.blob("0" * 40)
    with pytest.raises(Refusal, match="no such folder"):
        snapshots.of_folder(top / "nowhere")
    (top / "script/01.md").unlink()
    with pytest.raises(ContentMissing, match=r"^script/01.md: No such file"):
        snapshot.read("script/01.md")


@pytest.mark.parametrize("flag", ["--assume-unchanged", "--skip-worktree"])
def test_a_file_that_git_is_told_not_to_look_at_is_looked_at(new_repo: Maker, flag: str) -> None:
    book = new_repo({"script/01.md": "one\n", "script/02.md": "two\n", "script/03.md": "three\n"})
    for name in ("01", "02", "03"):
        book.git("update-index", flag, f"script/{name}.md")
    book.write({"script/01.md": "other\n"})
    (book.top / "script/03.md").unlink()
    before = book.git_bytes("ls-files", "-s", "-v", "-z")
    repo = Repository.find(book.top)
    found = snapshots.of_worktree(repo)
    assert found.files["script/01.md"].oid is None and found.read("script/01.md") == b"other\n"
    assert found.files["script/02.md"].oid == book.staged()["script/02.md"]
    # What a sparse checkout leaves out is not gone.
    assert "script/03.md" in found.files
    taken = kept_as(repo, ["script/01.md", "script/02.md"])
    assert book.git("cat-file", "blob", taken["script/01.md"].oid or "") == "other"
    assert book.git_bytes("ls-files", "-s", "-v", "-z") == before
