"""Signed-off pages kept by git-lfs itself: pointers swapped, content missing, raw files, cleverness; allowed work.

Each act that must be refused has its control: with our hooks taken away the same act goes through.
"""

from __future__ import annotations

import hashlib
import io
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from tests.schema_check import checked
from tests.typed_book import TypedBook, typed_book

pytestmark = pytest.mark.needs_lfs

PAGE, OTHER = "art/inks/p001.png", "art/inks/p002.png"
Change = Callable[[TypedBook], None]


@pytest.fixture(scope="module")
def _signed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book whose art git-lfs keeps, two inked pages signed off; two bare copies, one with our hook."""
    home = tmp_path_factory.mktemp("large")
    book = typed_book(home / "book")
    (book.top / ".gitattributes").unlink()
    book.ledger("init", "--yes", "--lfs")
    book.ledger("save", "-m", "large files apart")
    book.ledger("enter", "script", "-m", "first draft")
    book.draw("inks", "001", 1)
    book.draw("inks", "002", 2)
    book.ledger("enter", "inks", "-m", "two pages")
    book.ledger("lock", "inks", "--pages", "1-2", "-m", "final")
    assert book.git("cat-file", "-p", f"HEAD:{PAGE}").startswith("version https://git-lfs")
    for name in ("guarded.git", "open.git"):
        book.git("clone", "-q", "--bare", ".", f"../{name}")
        book.git("remote", "add", name.removesuffix(".git"), f"../{name}")
        shutil.copytree(book.top / ".git/lfs/objects", home / name / "lfs/objects")
    book.ledger("-C", "../guarded.git", "hook", "install", "--server")
    return home


@pytest.fixture
def book(_signed: Path, tmp_path: Path) -> TypedBook:
    shutil.copytree(_signed, tmp_path / "home", symlinks=True)
    return TypedBook(tmp_path / "home/book")


def picture(seed: int) -> bytes:
    """A page of the book's size that no other is like."""
    made = Image.new("L", (50, 75), 255)
    made.paste(0, (5 + seed, 10, 25 + seed, 60))
    out = io.BytesIO()
    made.save(out, "PNG")
    return out.getvalue()


def pointer(content: bytes, **said: str) -> bytes:
    digest = said.get("oid", "sha256:" + hashlib.sha256(content).hexdigest())
    return f"version https://git-lfs.github.com/spec/v1\noid {digest}\nsize {said.get('size', len(content))}\n".encode()


def kept(book: TypedBook, content: bytes, at: str = ".git/lfs/objects") -> None:
    """A content put into a store."""
    digest = hashlib.sha256(content).hexdigest()
    book.write(f"{at}/{digest[:2]}/{digest[2:4]}/{digest}", content)


def staged_as(book: TypedBook, path: str, blob: bytes) -> None:
    """A blob put into the index as it is, no filter between."""
    book.write("../blob", blob)
    oid = book.git("hash-object", "-w", "--no-filters", "../blob").strip()
    book.git("update-index", "--cacheinfo", f"100644,{oid},{path}")


def swapped(book: TypedBook) -> None:
    first, second = (book.git("rev-parse", f"HEAD:{path}").strip() for path in (PAGE, OTHER))
    book.git("update-index", "--cacheinfo", f"100644,{second},{PAGE}", "--cacheinfo", f"100644,{first},{OTHER}")


def redrawn(book: TypedBook) -> None:
    book.write(PAGE, picture(9))
    book.git("add", PAGE)


def of_other_content(book: TypedBook) -> None:
    kept(book, picture(11))
    staged_as(book, PAGE, pointer(picture(11)))


LATE: dict[str, tuple[str, Change]] = {
    "two pointers swapped": ("page-swapped", swapped),
    "a page redrawn": ("panel-redrawn", redrawn),
    "a pointer to other content": ("panel-redrawn", of_other_content),
    "another picture raw, where a pointer belongs": ("panel-redrawn", lambda b: staged_as(b, PAGE, picture(9))),
    "words in place of a pointer": ("export-unreadable", lambda b: staged_as(b, PAGE, b"version 2\n")),
    "a pointer without a digest": ("export-unreadable", lambda b: staged_as(b, PAGE, pointer(b"", oid="md5:12"))),
    "a pointer to nothing": ("export-unreadable", lambda b: (kept(b, b""), staged_as(b, PAGE, pointer(b"")))[-1]),
    "a page gone": ("export-missing", lambda b: b.git("rm", "-q", PAGE) and None),
    "a pointer behind a link": ("export-unreadable", lambda b: b.git(
        "update-index", "--cacheinfo", f"120000,{b.git('rev-parse', f'HEAD:{PAGE}').strip()},{PAGE}") and None),
    "the attributes taken out, and another picture": ("panel-redrawn", lambda b: (
        b.write(".gitattributes", "*.md -text\n"), b.git("add", ".gitattributes"), redrawn(b))[-1]),
    "another store named, that shows the old picture": ("panel-redrawn", lambda b: (
        redrawn(b), shutil.copytree(b.top / ".git/lfs", b.top / ".git/elsewhere"),
        b.git("config", "lfs.storage", "elsewhere"))[-1]),
}  # fmt: skip


@pytest.mark.group("large files kept apart", "refused")
@pytest.mark.parametrize("what", LATE)
def test_a_late_page_is_refused(book: TypedBook, what: str) -> None:
    rule, change = LATE[what]
    change(book)
    tree = book.git("write-tree")
    told = book.git("commit", "-m", "late", code=1)
    assert rule in told and "lock-inks-1" in told
    assert book.git("write-tree") == tree
    book.ledger("hook", "remove")
    book.git("commit", "-q", "-m", "late")
    assert rule in {f["rule"] for f in checked(book.ledger("audit", "--json", code=1).out)["findings"]}


@pytest.mark.group("large files kept apart", "refused")
@pytest.mark.parametrize("what", ["two pointers swapped", "a page redrawn", "a pointer to other content",
                                  "another picture raw, where a pointer belongs", "a page gone"])  # fmt: skip
def test_a_late_page_is_refused_where_it_is_pushed_to(book: TypedBook, what: str) -> None:
    rule, change = LATE[what]
    change(book)
    book.git("commit", "-q", "--no-verify", "-m", "late")
    for name in ("guarded", "open"):
        shutil.copytree(book.top / ".git/lfs/objects", book.top.parent / f"{name}.git/lfs/objects", dirs_exist_ok=True)
    refs = book.git("ls-remote", "guarded")
    told = book.git("push", "-q", "--no-verify", "guarded", "HEAD:main", code=1)
    assert rule in told
    assert book.git("ls-remote", "guarded") == refs
    book.git("push", "-q", "--no-verify", "open", "HEAD:main")


@pytest.mark.group("large files kept apart", "kept")
def test_a_content_that_is_not_here_is_told_and_stops_only_where_it_is_pushed_to(book: TypedBook) -> None:
    staged_as(book, PAGE, pointer(picture(21)))
    found = checked(book.ledger("check", "--staged", "--json").out)["findings"]
    assert [(f["rule"], f["level"], f["page"]) for f in found] == [("export-unreadable", "query", "1")]
    assert "not fetched" in found[0]["message"]
    book.git("commit", "-q", "-m", "from another machine")
    assert "export-unreadable" in book.git("push", "-q", "--no-verify", "guarded", "HEAD:main", code=1)
    book.git("push", "-q", "--no-verify", "open", "HEAD:main")


@pytest.mark.group("large files kept apart", "refused")
def test_a_damaged_content_is_not_taken_for_the_signed_one(book: TypedBook) -> None:
    """The store shows the signed picture under another picture's name."""
    signed = (book.top / PAGE).read_bytes()
    fake = picture(23)
    digest = hashlib.sha256(fake).hexdigest()
    book.write(f".git/lfs/objects/{digest[:2]}/{digest[2:4]}/{digest}", signed)
    staged_as(book, PAGE, pointer(fake, size=str(len(signed))))
    (finding,) = checked(book.ledger("check", "--staged", "--json").out)["findings"]
    assert finding["rule"] == "export-unreadable" and "damaged" in finding["message"]
    book.git("commit", "-q", "--no-verify", "-m", "late")
    shutil.copytree(book.top / ".git/lfs/objects", book.top.parent / "guarded.git/lfs/objects", dirs_exist_ok=True)
    assert "export-unreadable" in book.git("push", "-q", "--no-verify", "guarded", "HEAD:main", code=1)
    book.git("push", "-q", "--no-verify", "open", "HEAD:main")


def saved_again(book: TypedBook) -> None:
    with Image.open(book.top / PAGE) as made:
        made.convert("RGB").save(book.top / PAGE, compress_level=1)
    book.git("add", PAGE)


def slipped(book: TypedBook) -> None:
    redrawn(book)
    book.ledger("alter", "--reason", "the lamp must be lit", "--class", "EA")


ALLOWED: dict[str, Change] = {
    "the same picture saved again": saved_again,
    "the signed picture raw": lambda b: staged_as(b, PAGE, (b.top / PAGE).read_bytes()),
    "a redrawn page with its slip": slipped,
    "a page that is not signed off": lambda b: (b.draw("inks", "003", 4), b.git("add", "-A"))[0],
    "another pass": lambda b: (b.draw("letters", "001", 4), b.git("add", "-A"))[0],
    "a page not signed off whose content is not here": lambda b: (
        b.draw("inks", "003", 4), b.git("add", "-A"), staged_as(b, "art/inks/p003.png", pointer(picture(30))))[0],
}  # fmt: skip


@pytest.mark.group("large files kept apart", "allowed")
@pytest.mark.parametrize("what", ALLOWED)
def test_allowed_work_passes_everywhere(book: TypedBook, what: str) -> None:
    ALLOWED[what](book)
    book.git("commit", "-q", "-m", "work")
    assert checked(book.ledger("audit", "--json").out)["ok"]
    shutil.copytree(book.top / ".git/lfs/objects", book.top.parent / "guarded.git/lfs/objects", dirs_exist_ok=True)
    book.git("push", "-q", "--no-verify", "guarded", "HEAD:main")


@pytest.mark.group("large files kept apart", "allowed")
def test_a_raw_file_where_a_pointer_belongs_is_named(book: TypedBook) -> None:
    staged_as(book, "art/inks/p002.png", (book.top / OTHER).read_bytes())
    book.git("commit", "-q", "-m", "raw")
    raw = [f for f in checked(book.ledger("check", "--json").out)["findings"] if f["rule"] == "lfs-raw"]
    assert [(f["page"], f["level"]) for f in raw] == [("2", "query")]


@pytest.mark.group("large files kept apart", "allowed")
@pytest.mark.parametrize("skip", [True, False])
def test_a_clone_without_the_content_stops_nothing_of_its_own(book: TypedBook, skip: bool) -> None:
    """GIT_LFS_SKIP_SMUDGE, or a machine on which git-lfs was never set up: pointers lie where pictures would."""
    if skip:
        book.env["GIT_LFS_SKIP_SMUDGE"] = "1"
    else:
        book.env |= {"HOME": str(book.top.parent), "XDG_CONFIG_HOME": str(book.top.parent)}
    book.git("clone", "-q", "../open.git", "../clone")
    clone = TypedBook(book.top.parent / "clone")
    clone.env = {"GIT_LFS_SKIP_SMUDGE": "1"}
    clone.ledger("hook", "install")
    assert (clone.top / PAGE).read_bytes().startswith(b"version https://git-lfs")
    assert not any(f["level"] == "block" for f in checked(clone.ledger("check", "--json").out)["findings"])
    assert clone.ledger("status").code == 0 and checked(clone.ledger("audit", "--json").out)["ok"]
    clone.write("letter.txt", "Dear Ida\n")
    clone.git("add", "letter.txt")
    clone.git("commit", "-qm", "a letter")
    assert "not on this machine" not in clone.ledger("rounds").out
    missing = checked(clone.ledger("doctor", "--json", code=1).out)["missing"]
    assert {each["path"] for each in missing} == {PAGE, OTHER}
    clone.git("rm", "-q", PAGE)
    assert "export-missing" in clone.git("commit", "-m", "gone", code=1)


@pytest.mark.group("large files kept apart", "kept")
def test_nothing_is_fetched(book: TypedBook) -> None:
    """Not by reading, not by judging: the store of the other copy stays untouched though it has the content."""
    book.env["GIT_LFS_SKIP_SMUDGE"] = "1"
    book.git("clone", "-q", "../open.git", "../clone")
    clone = TypedBook(book.top.parent / "clone")
    clone.git("config", "lfs.url", (book.top.parent / "open.git").as_uri())
    for words in (("check",), ("status",), ("compare", "inks-1", "."), ("audit",), ("doctor",)):
        clone.ledger(*words, code=None)
    assert not [path for path in (clone.top / ".git/lfs").rglob("*") if path.is_file()]


@pytest.fixture(scope="module")
def _switched(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """A round signed off in git itself; then git-lfs is switched on."""
    book = typed_book(tmp_path_factory.mktemp("switched") / "book")
    book.ledger("enter", "script", "-m", "first draft")
    book.draw("inks", "001", 1)
    book.draw("inks", "002", 2)
    book.ledger("enter", "inks", "-m", "two pages")
    book.ledger("lock", "inks", "--pages", "1", "-m", "page 1 is final")
    told = book.ledger("init", "--yes", "--lfs").out.splitlines()
    lines = [line for line in told if line.endswith("-text")]
    book.write(".gitattributes", (book.top / ".gitattributes").read_text() + "\n".join(lines) + "\n")
    book.ledger("save", "-m", "large files apart")
    return book


@pytest.fixture
def switched(_switched: TypedBook, tmp_path: Path) -> TypedBook:
    return _switched.copied(tmp_path / "book")


@pytest.mark.group("large files kept apart", "kept")
def test_switched_on_later_it_holds_for_new_rounds_only(switched: TypedBook) -> None:
    first = (switched.top / "ledger/inks-1.toml").read_bytes()
    switched.draw("inks", "002", 7)
    switched.ledger("enter", "inks", "-m", "page 2 again")
    assert b'pages   = "2"' in (switched.top / "ledger/inks-2.toml").read_bytes()
    assert (switched.top / "ledger/inks-1.toml").read_bytes() == first
    assert int(switched.git("cat-file", "-s", f"pass/inks/1:{PAGE}")) > 200, "the first round holds the picture itself"
    assert switched.git("cat-file", "-p", f"HEAD:{OTHER}").startswith("version https://git-lfs")
    assert switched.ledger("doctor").code == 0
    assert checked(switched.ledger("audit", "--json").out)["ok"]
    pictures = checked(switched.ledger("compare", "inks-1", "inks-2", "--json").out)["pictures"]
    assert [(each["page"], each["kind"]) for each in pictures] == [("2", pictures[0]["kind"])]


@pytest.mark.group("large files kept apart", "kept")
def test_switched_on_later_nothing_has_changed_by_that_alone(switched: TypedBook) -> None:
    told = checked(switched.ledger("enter", "inks", "-m", "nothing new", "--json").out)
    assert told["done"] is False and told["entry"] is None
    switched.git("add", "--renormalize", ".")
    switched.git("commit", "-qm", "all apart")
    inks = next(each for each in switched.ledger("status").out.splitlines() if each.startswith("inks"))
    assert "changed" not in inks
    switched.ledger("lock", "inks", "-m", "all final")


@pytest.mark.group("large files kept apart", "allowed")
def test_switched_on_later_a_signed_page_may_become_a_pointer(switched: TypedBook) -> None:
    switched.git("add", "--renormalize", PAGE)
    assert switched.git("cat-file", "-p", f":{PAGE}").startswith("version https://git-lfs")
    switched.git("commit", "-qm", "the same picture, apart")
    assert checked(switched.ledger("audit", "--json").out)["ok"]


@pytest.mark.group("large files kept apart", "refused")
def test_switched_on_later_a_late_page_is_refused(switched: TypedBook) -> None:
    switched.draw("inks", "001", 9)
    switched.git("add", PAGE)
    assert "lock-inks-1" in switched.git("commit", "-m", "late", code=1)
    switched.ledger("hook", "remove")
    switched.git("commit", "-qm", "late")
