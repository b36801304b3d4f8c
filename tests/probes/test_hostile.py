"""A stranger's repository: reading commands run nothing of it, fetch nothing, write nothing, read nothing outside.

The ways in are those of published advisories against programs that open other people's repositories, in general words:
configuration that names programs (CWE-78, CWE-426), links that lead out (CWE-59), names and texts that talk to the
terminal (CWE-150), modules that lie where Python looks first (CWE-427).
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from ledger.gitedge import hooks
from ledger.model.entry import Delivery, Round
from ledger.read.entries import write_entry
from tests.books import Book
from tests.desk.signed_book import BY, WHEN
from tests.probes.ground import TOML, Ground, act, signed
from tests.typed_book import SOMEBODY

pytestmark = pytest.mark.group("hostile", "kept")
SECRET = "the safe opens with nine"
COMMANDS = [
    ("status",), ("compare", "HEAD~4", "HEAD"), ("compare", "HEAD~1", "."), ("compare", "lock-inks-1", "HEAD"),
    ("audit",), ("audit", "HEAD~2..HEAD"), ("check",), ("check", "--staged"), ("notes", "list"),
    ("notes", "agenda"),
    ("memo", "HEAD~4", "HEAD"),
    ("rounds",), ("trace", "Three hours"), ("page", "1"), ("page", "2"), ("doctor",),
    ("weigh",), ("weigh", "HEAD~4", "HEAD"), ("weigh", "--add", "1@1"), ("spreads",), ("repage",), ("forecast",),
    ("wallchart",), ("recall", "inks-2", "--to", "/nowhere/out"), ("deliver", "inks", "--to", "/nowhere/out"),
    ("receive", "art/inks", "--proofs", "--check"),
]  # fmt: skip
#: Settings of git's that name a program, or make it talk to somebody.
PROGRAMS = (
    "core.fsmonitor", "core.pager", "core.editor", "core.sshCommand", "core.askPass", "core.gitProxy", "diff.external",
    "diff.own.textconv", "diff.own.command", "filter.own.clean", "filter.own.smudge", "filter.own.process",
    "merge.own.driver", "credential.helper", "gpg.program", "gpg.ssh.program", "pager.log", "pager.status",
    "interactive.diffFilter", "sequence.editor", "uploadpack.packObjectsHook", "core.alternateRefsCommand",
    "trailer.own.command", "alias.log", "alias.rev-parse", "remote.origin.uploadpack", "remote.origin.vcs",
    "submodule.x.update", "init.templateDir", "browser.own.cmd", "man.own.cmd", "difftool.own.cmd",
)  # fmt: skip


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory, program: Path) -> Path:
    """A book full of traps; `ran` is written by any of its programs."""
    home = tmp_path_factory.mktemp("hostile")
    ground = signed(home / "home", program)
    book = ground.book
    outside = home / "outside"
    outside.mkdir()
    (outside / "secret.md").write_text(f"# {SECRET}\n\n[page 1]\n[panel 1]\nW: {SECRET}\n")
    trap = home / "trap"
    trap.write_text(f'#!/bin/sh\necho "$0 $@" >> "{home}/ran"\nexec cat\n')
    trap.chmod(0o755)
    talk = "\x1b]0;owned\x07\x1b[31mred\x1b[0m\x9b31m\u202egnorw"
    book.write({
        "book.toml": TOML.replace("Salt Lantern", "Salt \\u001b]0;owned\\u0007 Lantern"),
        ".gitattributes": "* diff=own filter=own merge=own\nart/** filter=lfs diff=lfs\n",
        ".gitmodules": '[submodule "x"]\n\tpath = x\n\turl = ext::sh -c touch% ran\n\tupdate = !touch ran\n',
        ".lfsconfig": "[lfs]\n\turl = http://127.0.0.1:9/\n[lfs \"customtransfer.own\"]\n\tpath = " + str(trap) + "\n",
        ".mailmap": f"{talk} <a@b.example> <ada@quill.example>\n",
        "ledger/README.md": talk, "ledger/__init__.py": f"open({str(home / 'ran')!r}, 'w')\n",
        "sitecustomize.py": f"open({str(home / 'ran')!r}, 'w')\n", "click.py": f"open({str(home / 'ran')!r}, 'w')\n",
        "subprocess.py": f"open({str(home / 'ran')!r}, 'w')\n", "git": trap.read_text(), "less": trap.read_text(),
        "notes/2026-03-03-ida.md": f"# Ida\n\n- p1: {talk}\n",
        f"script/9{talk[:4]}.md": f"[page 9]\n[panel 1]\n{talk}\n",
        "art/inks/p003.png": "version https://git-lfs.github.com/spec/v1\noid sha256:" + "cd" * 32 + "\nsize 9\n",
    })  # fmt: skip
    for path in ("git", "less"):
        (book.top / path).chmod(0o755)
    (book.top / "script/08.md").symlink_to(outside / "secret.md")
    (book.top / "notes/2026-03-04-bo.md").symlink_to(outside / "secret.md")
    (book.top / "ledger/inks-1.toml").symlink_to(outside / "secret.md")
    (book.top / "art/inks/p004.png").symlink_to("/dev/zero")
    os.mkfifo(book.top / "art/inks/p005.png")
    book.git("add", "-A", ":!art/inks/p005.png")
    book.git("commit", "-q", "--no-verify", "-m", f"hello {talk}")
    for pass_name, number in (("script", 1), ("inks", 2)):
        files = {
            path: oid for path, oid in book.staged().items() if path.startswith((f"{pass_name}/", f"art/{pass_name}/"))
        }
        entry = Round(
            path=f"ledger/{pass_name}-{number}.toml", number=number, date=WHEN, by=BY, pass_name=pass_name, files=files
        )
        book.write({entry.path: write_entry(entry)})
        book.git("add", entry.path)
    sent = Delivery(path="ledger/delivery-1.toml", number=1, date=WHEN, by=BY, passes=("inks",), files=files)
    book.write({sent.path: write_entry(sent)})
    book.git("add", sent.path)
    book.git("commit", "-q", "--no-verify", "-m", "rounds of what is here")
    assert "pass/inks/2" in ground.ledger("doctor")[1]
    for hook in (*hooks.NAMES, "post-checkout", "post-index-change", "reference-transaction", "fsmonitor-watchman"):
        shutil.copy(trap, book.top / f".git/hooks/{hook}")
    for setting in PROGRAMS:
        book.git("config", setting, str(trap))
    config = book.top / ".git/config"
    config.write_text(
        config.read_text() + f'[include]\n\tpath = {home}/more\n[protocol "ext"]\n\tallow = always\n'
        f'[remote "origin"]\n\turl = ext::{trap}\n\tpromisor = true\n\tpartialCloneFilter = blob:none\n'
    )
    (home / "more").write_text(f'[core]\n\thooksPath = {book.top}/.git/hooks\n[filter "lfs"]\n\tprocess = {trap}\n')
    (home / "ran").unlink(missing_ok=True)
    return home


def everything(place: Path) -> dict[str, str]:
    """Every file below a folder: content, mode, where links lead. Times and what pipes hold are left out.

    So is what `check` remembers of pictures, for itself, in the git folder.
    """
    found = {}
    for path in sorted(place.rglob("*")):
        if ".git/inkledger" in str(path):
            continue
        if path.is_symlink():
            found[str(path)] = str(path.readlink())
        elif path.is_file():
            found[str(path)] = hashlib.sha256(path.read_bytes()).hexdigest() + oct(path.stat().st_mode)
        else:
            found[str(path)] = oct(path.stat().st_mode)
    return found


def run_safely(hostile: Path, program: Path, tmp_path: Path, *words: str) -> str:
    """What a command says in the stranger's book, where nothing was run, written, fetched or shown that must not be."""
    book, before = Book(hostile / "home/book"), everything(hostile)
    (tmp_path / "tmp").mkdir()
    env = {**os.environ, "TMPDIR": str(tmp_path / "tmp"), "PATH": os.environ["PATH"] + ":."}
    line = [program, "-C", book.top, *words]
    done = subprocess.run(line, cwd=tmp_path, env=env, capture_output=True, timeout=60)
    said = done.stdout + done.stderr
    assert b"Traceback" not in said, said.decode()
    assert done.returncode in (0, 1, 2), said.decode()
    assert everything(hostile) == before, "something was run or written"
    assert list((tmp_path / "tmp").iterdir()) == []
    unharming(said.decode())
    return said.decode()


def unharming(text: str) -> None:
    """Nothing from outside the book, and nothing that talks to a terminal or turns the line around."""
    assert SECRET not in text
    assert not [sign for sign in text if (sign < " " and sign != "\n") or "\x7f" <= sign <= "\x9f" or sign == "\u202e"]


@pytest.mark.parametrize("words", [*COMMANDS, *((*words, "--json") for words in COMMANDS[:8:2])], ids=" ".join)
def test_a_reading_command_is_safe(hostile: Path, program: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    run_safely(hostile, program, tmp_path, *words)
    assert [each.name for each in tmp_path.iterdir()] == ["tmp"]


@pytest.mark.parametrize("pass_name", ["script", "inks"])
def test_a_packet_is_written_where_it_is_asked_for_and_holds_nothing_from_outside(
    hostile: Path, program: Path, tmp_path: Path, pass_name: str
) -> None:
    said = run_safely(hostile, program, tmp_path, "packet", pass_name, "--out", str(tmp_path / "p.html"))
    assert "p.html" in said and {each.name for each in tmp_path.iterdir()} == {"tmp", "p.html"}
    text = (tmp_path / "p.html").read_text("utf-8")
    assert SECRET not in text and "\x1b" not in text


def test_pages_handed_out_from_it_hold_nothing_from_outside(hostile: Path, program: Path, tmp_path: Path) -> None:
    """Nothing of the book is run and no link followed. On a copy, since an entry is written.

    Filters are left out: whoever records goes through them, as `git add` does (gitattributes(5)).
    """
    shutil.copytree(hostile / "home/book", tmp_path / "book", symlinks=True, ignore=shutil.ignore_patterns("p005.png"))
    (tmp_path / "book/.git/info").mkdir(exist_ok=True)
    (tmp_path / "book/.git/info/attributes").write_text("* -filter\n")
    toml = (tmp_path / "book/book.toml").read_text()
    colours = (
        '\n[[pass]]\nname = "colours"\nkind = "art"\nfiles = "art/colours/p{page}.png"\nfrom = ["inks", "script"]\n'
    )
    (tmp_path / "book/book.toml").write_text(toml + colours)
    before = everything(hostile)
    env = {**os.environ, **SOMEBODY, "PATH": os.environ["PATH"] + ":."}
    out, codes = tmp_path / "out", []
    for pages in (("--pages", "1-2"), ("--pages", "3"), ("--pages", "4"), ()):
        line = [program, "-C", tmp_path / "book", "handoff", "colours", "--to", out, *pages]
        done = subprocess.run(line, cwd=tmp_path, env=env, capture_output=True, timeout=60)
        said = (done.stdout + done.stderr).decode()
        assert "Traceback" not in said and done.returncode in (0, 1, 2), said
        unharming(said)
        codes.append((done.returncode, said))
        assert everything(hostile) == before, "something was run or written"
        for path in (p for p in out.rglob("*") if p.is_file()):
            assert not path.is_symlink() and SECRET.encode() not in path.read_bytes()
            if path.suffix in (".txt", ".toml"):
                unharming(path.read_text("utf-8").replace("\t", " "))
        shutil.rmtree(out, ignore_errors=True)
    assert codes[0][0] == 0, codes


def test_the_traps_are_set(hostile: Path, tmp_path: Path) -> None:
    """The control: git itself, told nothing, runs them."""
    shutil.copytree(hostile / "home/book", tmp_path / "book", symlinks=True, ignore=shutil.ignore_patterns("p005.png"))
    book = Book(tmp_path / "book")
    ran = hostile / "ran"
    for words in (("status",), ("diff", "HEAD~2"), ("add", "letter.txt"), ("commit", "-q", "-m", "x", "--allow-empty")):
        act(book, *words)
        assert ran.exists(), words
        ran.unlink()


def plan(move: str = "", branch: str = "refs/heads/main") -> str:
    """A plan as a journal tells it, as if a command had been killed when the branch had moved."""
    head = f'{{"plan": {{"branch": "{branch}", "old": "HEAD", "new": "HEAD", "refs": [], "reflog": "", "info": "",'
    return f'{head} "index_was": null, "moves": [{move}]}}}}'


JOURNALS = {
    "a file outside": '{"stray": "OUT/secret.md"}',
    "a file outside by way of the book": '{"stray": "TOP/art/../../outside/secret.md"}',
    "a file outside by a link": '{"stray": "TOP/away/secret.md"}',
    "a file of the book": '{"stray": "TOP/letter.txt"}',
    "git's own file": '{"stray": "TOP/.git/config"}',
    "no journal at all": "[]\n7\nnull\n" + '{"plan": 3}\n{"stray": 4}\n{"plan": {"moves": [{"path": 1}]}}',
    "a plan that leads out": plan('{"path": "../outside/new.md", "fresh": ".inkledger-0", "before": null}'),
    "a plan that takes away": plan('{"path": "../outside/secret.md", "fresh": null, "before": "SUM"}'),
    "a ref that leads out": plan(branch="refs/heads/../../../outside/secret"),
}  # fmt: skip


@pytest.mark.parametrize("name", JOURNALS)
def test_a_journal_of_a_strangers_making_touches_nothing(ground: Ground, name: str) -> None:
    """A repository that comes as a folder brings its git folder, and whatever somebody wrote there in our name."""
    book, outside = ground.book, ground.home / "outside"
    outside.mkdir()
    for file in ("secret.md", ".inkledger-0", "secret.lock"):
        (outside / file).write_text(SECRET)
    (book.top / "away").symlink_to(outside)
    kept = book.top / ".git/inkledger"
    kept.mkdir(exist_ok=True)
    text = JOURNALS[name].replace("OUT", str(outside)).replace("TOP", str(book.top))
    text = text.replace("SUM", hashlib.sha256(SECRET.encode()).hexdigest())
    (kept / "journal").write_text(text.replace('"HEAD"', f'"{book.git("rev-parse", "HEAD")}"') + "\n")
    before = everything(ground.home)
    code, said = ground.ledger("status")
    assert code == 0, said
    assert everything(ground.home) == before


@pytest.mark.parametrize("below", ["", "work", "journal"])
def test_a_link_in_the_place_of_what_we_keep(ground: Ground, below: str) -> None:
    book, outside = ground.book, ground.home / "outside"
    (outside / "work").mkdir(parents=True)
    (outside / "work/secret.md").write_text(SECRET)
    (outside / "journal").write_text('{"begun": 1}\n')
    shutil.rmtree(book.top / ".git/inkledger", ignore_errors=True)
    place = book.top / ".git/inkledger" / below
    place.parent.mkdir(exist_ok=True)
    place.symlink_to(outside / below if below else outside)
    before = everything(outside)
    for words in (("status",), ("check",)):
        code, said = ground.ledger(*words)
        assert code == 0, said
    book.write({"script/01.md": book.read("script/01.md") + b"\n"})
    code, said = ground.ledger("save", "-m", "more")
    assert code == 2 and "link" in said, said
    assert everything(outside) == before
