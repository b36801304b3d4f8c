"""Cleverness: what git is told to show instead of what is there. Each late change is stopped all the same."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.books import Book
from tests.probes import edits
from tests.probes.ground import Ground, act, signed
from tests.probes.pushes import free_after_commit, refused_after_commit, stopped, told

CUT = edits.STRUCTURE["a line cut"].make
SCRIPT = "script/01.md"
COMMIT = ("commit", "-q", "-m", "work")


def cut_staged(book: Book) -> None:
    CUT(book)
    book.git("add", "-A")


def replaced_blob(book: Book) -> None:
    """Git is told to show the signed script wherever the late one stands."""
    cut_staged(book)
    book.git("replace", book.git("rev-parse", f":{SCRIPT}"), book.git("rev-parse", f"HEAD:{SCRIPT}"))


def replaced_head(book: Book) -> None:
    """Git is told that the newest commit is one from before the sign-off."""
    cut_staged(book)
    book.git("replace", "HEAD", "HEAD~2")


def grafted(book: Book) -> None:
    """Git is told that history begins here."""
    cut_staged(book)
    (book.top / ".git/info").mkdir(exist_ok=True)
    (book.top / ".git/info/grafts").write_text(book.git("rev-parse", "HEAD") + "\n")


def unseen(flag: str) -> Callable[[Book], None]:
    """The late script is staged, and git is told not to look at the file."""

    def lay(book: Book) -> None:
        signed_words = book.read(SCRIPT)
        cut_staged(book)
        book.write({SCRIPT: signed_words})
        book.git("update-index", flag, SCRIPT)

    return lay


def sparse(book: Book) -> None:
    """A page that does not lie on disk is taken out of what will be recorded."""
    book.git("sparse-checkout", "set", "--no-cone", "/script/", "/book.toml")
    cut_staged(book)
    book.git("rm", "-q", "--sparse", "--cached", "art/inks/p001.png")


def other_index(book: Book) -> None:
    """What is to be recorded stands in an index of its own."""
    cut_staged(book)
    (book.top / ".git/index").rename(book.top / ".git/mine")
    book.git("read-tree", "HEAD")


def configured(*settings: str, attributes: str = "") -> Callable[[Book], None]:
    def lay(book: Book) -> None:
        cut_staged(book)
        for setting in settings:
            book.git("config", *setting.split("=", 1))
        if attributes:
            (book.top / ".git/info").mkdir(exist_ok=True)
            (book.top / ".git/info/attributes").write_text(attributes)

    return lay


#: How the ground is laid, and what the environment says at the commit.
TRICKS: dict[str, tuple[Callable[[Book], None], dict[str, str]]] = {
    "a replaced file": (replaced_blob, {}),
    "a replaced commit": (replaced_head, {}),
    "a graft": (grafted, {}),
    "a file git is not to look at": (unseen("--skip-worktree"), {}),
    "a file assumed unchanged": (unseen("--assume-unchanged"), {}),
    "a page that does not lie on disk": (sparse, {}),
    "an index of its own": (other_index, {"GIT_INDEX_FILE": ".git/mine"}),
    "a text conversion": (configured("diff.hide.textconv=true", attributes="* diff=hide\n"), {}),
    "another diff": (configured("diff.external=true"), {"GIT_EXTERNAL_DIFF": "true"}),
    "a filter": (configured("filter.hide.smudge=true", "filter.hide.clean=cat", attributes="* filter=hide\n"), {}),
    "all is binary": (configured(attributes="* -diff -text binary\n"), {}),
    "line ends turned": (configured("core.autocrlf=true"), {}),
    "case is nothing": (configured("core.ignoreCase=true"), {}),
    "names in both forms": (configured("core.precomposeUnicode=true"), {}),
    "a watcher that says nothing changed": (configured("core.fsmonitor=true"), {}),
    "submodules ignored": (configured("diff.ignoreSubmodules=all"), {}),
    "colours and prefixes": (configured("color.ui=always", "diff.noprefix=true", "log.showSignature=true"), {}),
    "another language": (lambda book: cut_staged(book), {"LC_ALL": "de_DE.UTF-8", "LANGUAGE": "de"}),
    "no locale at all": (lambda book: cut_staged(book), {"LC_ALL": "C", "PYTHONUTF8": "0"}),
    "a short path": (lambda book: cut_staged(book), {"PATH": "/usr/bin:/bin"}),
    "Python told to load other things": (lambda book: (cut_staged(book), book.write({"shadow/ledger/__init__.py":
        "raise SystemExit(90)\n"}), None)[-1], {"PYTHONPATH": "shadow", "PYTHONSTARTUP": "shadow/ledger/__init__.py"}),
    "settings in the environment": (lambda book: cut_staged(book), {
        "GIT_CONFIG_COUNT": "1", "GIT_CONFIG_KEY_0": "diff.external", "GIT_CONFIG_VALUE_0": "true"}),
    "literal names switched": (lambda book: cut_staged(book), {"GIT_ICASE_PATHSPECS": "1"}),
    "no attributes wanted": (lambda book: cut_staged(book), {"GIT_ATTR_SOURCE": "HEAD"}),
}  # fmt: skip


@pytest.mark.group("cleverness", "refused")
@pytest.mark.parametrize("name", TRICKS)
def test_a_trick_does_not_get_through(ground: Ground, tmp_path: Path, name: str) -> None:
    lay, env = TRICKS[name]
    lay(ground.book)
    control, before = ground.without_hooks(tmp_path / "control"), ground.held()
    stopped(act(ground.book, *COMMIT, **env), "pre-commit", "line-cut")
    assert ground.held() == before
    code, said = act(control.book, *COMMIT, **env)
    assert code == 0, said
    if name != "a replaced commit":
        refused_after_commit(control, ("line-cut",), by_git=False)


@pytest.mark.group("cleverness", "refused")
def test_sha256(program: Path, tmp_path: Path) -> None:
    ground = signed(tmp_path / "home", program, "sha256")
    cut_staged(ground.book)
    before = ground.held()
    stopped(act(ground.book, *COMMIT), "pre-commit", "line-cut")
    assert ground.held() == before
    assert act(ground.book, *COMMIT, "--no-verify")[0] == 0
    refused_after_commit(ground, ("line-cut",))


@pytest.mark.group("allowed", "allowed")
def test_sha256_innocent(program: Path, tmp_path: Path) -> None:
    ground = signed(tmp_path / "home", program, "sha256")
    edits.ALLOWED["a line polished"](ground.book)
    ground.book.git("add", "-A")
    assert act(ground.book, *COMMIT)[0] == 0
    free_after_commit(ground)


@pytest.mark.group("cleverness", "refused")
@pytest.mark.parametrize("how", ["--depth=1", "--filter=blob:none", "--filter=tree:0"])
def test_a_clone_that_holds_a_part(ground: Ground, tmp_path: Path, how: str) -> None:
    """Being cut short makes nothing block; a late change is stopped in it all the same."""
    book = ground.book
    book.git("--git-dir=../guarded.git", "config", "uploadpack.allowFilter", "true")
    book.git("clone", "-q", how, (ground.home / "guarded.git").as_uri(), str(tmp_path / "part"))
    part = Book(tmp_path / "part")
    assert ground.ledger("-C", str(part.top), "hook", "install")[0] == 0
    edits.ALLOWED["a line polished"](part)
    part.git("add", "-A")
    for words in (COMMIT, ("push", "-q", "origin", "HEAD:main")):
        code, said = act(part, *words)
        assert code == 0, said
    cut_staged(part)
    held = part.git("rev-parse", "HEAD"), part.git_bytes("ls-files", "-s", "-z"), part.all_files()
    stopped(act(part, *COMMIT), "pre-commit", "line-cut")
    assert (part.git("rev-parse", "HEAD"), part.git_bytes("ls-files", "-s", "-z"), part.all_files()) == held
    assert act(part, *COMMIT, "--no-verify")[0] == 0
    before = ground.held()
    stopped(act(part, "push", "-q", "origin", "HEAD:main"), "pre-push", "line-cut")
    stopped(act(part, "push", "-q", "--no-verify", "origin", "HEAD:main"), "pre-receive", "line-cut")
    assert ground.held() == before
    shutil.rmtree(ground.home / "guarded.git/hooks")
    code, said = act(part, "push", "-q", "--no-verify", "origin", "HEAD:main")
    assert code == 0, said


@pytest.mark.group("late edits by our own verbs", "refused")
@pytest.mark.parametrize("words", [("enter", "script", "-m", "late"), ("save", "-m", "late")])
@pytest.mark.parametrize("flag", [None, "--assume-unchanged", "--skip-worktree"])
def test_our_own_verbs_are_doors_too(ground: Ground, tmp_path: Path, words: tuple[str, ...], flag: str | None) -> None:
    """Also where git is told not to look at the file; git itself, without our hooks, records it."""
    CUT(ground.book)
    if flag:
        ground.book.git("update-index", flag, SCRIPT)
    control, before = ground.without_hooks(tmp_path / "control"), ground.held()
    code, said = ground.ledger(*words)
    assert code == 1 and "line-cut" in said, said
    assert ground.held() == before
    if flag:
        control.book.git("update-index", flag.replace("--", "--no-"), SCRIPT)
    control.book.git("add", "-A")
    assert act(control.book, *COMMIT)[0] == 0


@pytest.mark.group("tampering", "refused")
def test_a_lock_taken_out_long_ago(ground: Ground) -> None:
    book = ground.book
    book.git("rm", "-q", edits.LOCK)
    book.git("commit", "-q", "--no-verify", "-m", "out with it")
    for copy in ("guarded", "open"):
        (ground.home / f"{copy}.git/hooks/pre-receive").unlink(missing_ok=True)
        book.git("push", "-q", "--no-verify", copy, "main")
    assert ground.ledger("-C", "../guarded.git", "hook", "install", "--server")[0] == 0
    book.write({"other.txt": "innocent\n"})
    book.git("add", "-A")
    assert act(book, *COMMIT)[0] == 0
    assert act(book, "push", "-q", "guarded", "HEAD:main")[0] == 0
    cut_staged(book)
    assert act(book, *COMMIT, "--no-verify")[0] == 0
    refused_after_commit(ground, ("line-cut",))
    assert told(ground)["entry-removed"] == "block"


@pytest.mark.group("cleverness", "refused")
def test_a_parent_that_only_the_environment_names(ground: Ground, tmp_path: Path) -> None:
    """A late commit named as a head being merged would have what the next one is charged with."""
    book = ground.book
    cut_staged(book)
    late = book.git("commit-tree", book.git("write-tree"), "-p", "HEAD", "-m", "late")
    control, before = ground.without_hooks(tmp_path / "control"), ground.held()
    stopped(act(book, *COMMIT, **{f"GITHEAD_{late}": "side"}), "pre-commit", "line-cut")
    assert ground.held() == before
    assert act(control.book, *COMMIT)[0] == 0
    refused_after_commit(control, ("line-cut",))


#: Settings of somebody's under which allowed work goes on.
SETTINGS = {
    "line ends turned": ("core.autocrlf=true", ""),
    "line ends of another system": ("core.eol=crlf", "* text=auto\n"),
    "case is nothing": ("core.ignoreCase=true", ""),
    "names composed": ("core.precomposeUnicode=true", ""),
    "a text conversion": ("diff.hide.textconv=true", "* diff=hide\n"),
    "another diff": ("diff.external=true", ""),
    "all is binary": ("core.quotePath=false", "* -diff -text binary\n"),
    "modes are nothing": ("core.fileMode=false", ""),
    "an index with more in it": ("index.version=4", ""),
    "submodules ignored": ("diff.ignoreSubmodules=all", ""),
    "renames sought": ("diff.renames=copies", ""),
}


@pytest.mark.group("allowed", "allowed")
@pytest.mark.parametrize("name", SETTINGS)
def test_a_setting_stops_nothing_that_is_allowed(ground: Ground, name: str) -> None:
    book, (setting, attributes) = ground.book, SETTINGS[name]
    book.git("config", *setting.split("=", 1))
    if attributes:
        (book.top / ".git/info").mkdir(exist_ok=True)
        (book.top / ".git/info/attributes").write_text(attributes)
    if "index" in setting:
        book.git("update-index", "--index-version", "4")
    edits.ALLOWED["a line polished"](book)
    edits.ALLOWED["an export saved again"](book)
    book.git("add", "-A")
    code, said = act(book, *COMMIT)
    assert code == 0, said
    code, said = ground.ledger("check", "--staged")
    assert code == 0, said
    free_after_commit(ground)


@pytest.mark.group("cleverness", "refused")
@pytest.mark.parametrize("name", ["a link in place of a folder of pages", "a page that git only means to add",
                                  "a split index"])  # fmt: skip
def test_more_tricks_of_the_index(ground: Ground, tmp_path: Path, name: str) -> None:
    book, rule = ground.book, "line-cut"
    if name == "a link in place of a folder of pages":
        (book.top / "art/inks").rename(tmp_path / "inks")
        (book.top / "art/inks").symlink_to(tmp_path / "inks")
        book.git("add", "-A")
        rule = "export-missing"
    elif name == "a page that git only means to add":
        book.git("rm", "-q", "--cached", "art/inks/p001.png")
        book.git("add", "-N", "art/inks/p001.png")
        rule = "export-missing"
    else:
        book.git("update-index", "--split-index")
        cut_staged(book)
    control, before = ground.without_hooks(tmp_path / "control"), ground.held()
    stopped(act(book, *COMMIT), "pre-commit", rule)
    assert ground.held() == before
    code, said = act(control.book, *COMMIT)
    assert code == 0, said
    refused_after_commit(control, (rule,), by_git=False)
