"""The verbs that are killed, and how the book is laid out before each."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from typing import NamedTuple

from tests.typed_book import SCRIPT, TypedBook

HOOK = "#!/bin/sh\nexit 0\n"


class Case(NamedTuple):
    """A verb that is killed: how the book is laid out before it, and what is typed.

    `whole` is whether the kill itself must leave the book as before or as after; else the same command, typed again,
    must bring it there.
    """

    words: tuple[str, ...]
    lay: Callable[[TypedBook], object]
    whole: bool = True


def at_work(book: TypedBook) -> None:
    """Work of somebody's, half of it staged, that no command may touch."""
    book.write("outline/own.txt", "half\n")
    book.git("add", "outline/own.txt")
    book.write("outline/own.txt", "whole\n")
    book.write("not known.txt", "mine\n")


def late_line(book: TypedBook) -> None:
    book.change("script/01.md", "N: Push.\n", "N: Push.\nJ: I am pushing.\n")


def staged_late_line(book: TypedBook) -> None:
    late_line(book)
    book.git("add", "script/01.md")


def entered_again(book: TypedBook) -> None:
    book.draw("pencils", "004", 9)
    book.ledger("enter", "pencils", "-m", "redrawn")


def of_somebody(book: TypedBook) -> None:
    """Hooks of somebody's own, ours not in."""
    book.ledger("hook", "remove")
    for name in ("pre-commit", "pre-push", "post-commit"):
        place = book.write(f".git/hooks/{name}", HOOK)
        place.chmod(0o755)


def both_hooks(book: TypedBook) -> None:
    of_somebody(book)
    book.ledger("hook", "install")


def page_more(book: TypedBook) -> None:
    """A page more in the script, before the pages that are drawn and signed off; not recorded."""
    page = "[panel 1]\nNell looks into the lamp.\n\nN: Whose oil is that?"
    book.change("script/01.md", "[page 3]\n", f"[page 3]\n{page}\n\n[page 4]\n")


def drafted(book: TypedBook) -> None:
    """A draft that was brought in before and has changed since, with somebody new in it."""
    book.write("draft.md", "[page 5]\n[panel 1]\nThe quay.\n\nN: Pull.\n")
    book.ledger("bring", "draft.md", "--to", "script/02.md")
    book.change("draft.md", "N: Pull.\n", "N: Pull.\n\nHARBOUR MASTER: Not here.\n")


def scanned(book: TypedBook) -> None:
    """Exports under names of their own."""
    for label in ("001", "002", "003"):
        book.write(f"scans/scan-{label}.png", (book.top / f"art/letters/p{label}.png").read_bytes())
        (book.top / f"art/letters/p{label}.png").unlink()


def made_by_a_helper(book: TypedBook) -> None:
    """Two pages of letters that came back from a helper as asked."""
    book.ledger("handoff", "letters", "--pages", "1-2", "--to", "../out")
    shutil.move(book.top.parent / "out", book.top / "returned")
    for page in sorted((book.top / "returned/inks").iterdir()):
        shutil.copy(page, book.top / "returned/letters" / page.name)


def proof_of_a_printer(book: TypedBook) -> None:
    """A printer's sheets of what was delivered, one of which can't be read: that becomes a note."""
    book.ledger("deliver", "letters", "--to", "../out")
    shutil.rmtree(book.top.parent / "out")
    shutil.copytree(book.top / "art/letters", book.top / "proof")
    book.write("proof/p004.png", b"no picture")


def older_packet(book: TypedBook) -> None:
    """A packet that was sent before lies where this one goes."""
    (book.top.parent / "out.html").write_text("an older packet\n")


def copied_before(book: TypedBook) -> None:
    """A copy made before; since then a round came, and history was written anew."""
    book.ledger("backup", "../out")
    entered_again(book)
    book.git("branch", "-m", "main", "trunk")


def shared(book: TypedBook) -> None:
    """A bare repository that others push to, with a hook of somebody's own."""
    book.git("clone", "-q", "--bare", ".", "shared.git")
    (book.top / "shared.git/hooks/pre-receive").write_text(HOOK)
    (book.top / "shared.git/hooks/pre-receive").chmod(0o755)


def shared_and_held(book: TypedBook) -> None:
    shared(book)
    book.ledger("-C", "shared.git", "hook", "install", "--server")


def without_tags(book: TypedBook) -> None:
    book.git("tag", "-d", "pass/script/1", "lock/inks/1")


def bare_folder(book: TypedBook) -> None:
    """Nothing but a draft: no repository, no book."""
    for place in book.top.iterdir():
        shutil.rmtree(place) if place.is_dir() else place.unlink()
    book.write("script/01.md", SCRIPT)


CASES = {
    "enter": Case(("enter", "pencils", "-m", "redrawn"), lambda book: book.draw("pencils", "004", 9)),
    "enter --reason": Case(("enter", "script", "--reason", "she asks twice"), late_line),
    "lock": Case(("lock", "letters", "-m", "signed"), lambda book: None),
    "reopen": Case(("reopen", "inks", "--pages", "2", "--reason", "the flood"), lambda book: None),
    "alter": Case(("alter", "--reason", "she asks twice"), staged_late_line),
    "repage": Case(("repage", "--apply", "--reason", "a page more"), page_more),
    "save": Case(("save", "-m", "as it is"), lambda book: book.write("designs/nell.txt", "short hair\n")),
    "undo": Case(("undo",), entered_again),
    "notes add": Case(("notes", "add", "marsh-2", "Too dark?", "--at", "p2"), lambda book: None),
    "notes import": Case(
        ("notes", "import", "mail.txt", "--from", "Marsh"),
        lambda book: book.write("mail.txt", "p2 too dark\n\nAll in all good.\n"),
    ),
    "notes answer": Case(("notes", "answer", "marsh-1/1", "done", "brighter"), lambda book: None),
    "bring": Case(("bring", "draft.md", "--to", "script/02.md", "--cast"), drafted),
    "bring --pass": Case(("bring", "scans", "--pass", "letters"), scanned),
    "recall --put-back": Case(
        ("recall", "pencils", "--put-back"), lambda book: shutil.rmtree(book.top / "art/pencils")
    ),
    "packet": Case(("packet", "script", "--for", "Marsh"), lambda book: None),
    "deliver": Case(("deliver", "letters", "--to", "../out"), lambda book: None, False),
    "handoff": Case(("handoff", "letters", "--pages", "1-2", "--to", "../out"), lambda book: None, False),
    "handoff --zip": Case(("handoff", "letters", "--to", "../out.zip", "--zip"), lambda book: None, False),
    "recall": Case(("recall", "inks", "--to", "../out"), lambda book: None, False),
    "packet --out": Case(("packet", "script", "--out", "../out.html"), older_packet, False),
    "packet --for --out": Case(
        ("packet", "script", "--for", "Marsh", "--out", "../out.html"), lambda book: None, False
    ),
    "memo --out": Case(("memo", "HEAD~3", "--out", "../out.html"), lambda book: None, False),
    "backup": Case(("backup", "../out"), lambda book: None, False),
    "backup, again": Case(("backup", "../out"), copied_before, False),
    "doctor": Case(("doctor",), without_tags),
    "hook --server": Case(("-C", "shared.git", "hook", "install", "--server"), shared, False),
    "hook --server off": Case(("-C", "shared.git", "hook", "remove"), shared_and_held, False),
    "receive": Case(("receive", "returned"), made_by_a_helper),
    "receive --proofs": Case(("receive", "proof", "--proofs"), proof_of_a_printer),
    "hook install": Case(("hook", "install"), of_somebody, False),
    "hook remove": Case(("hook", "remove"), both_hooks, False),
    "init": Case(("init", "--yes"), bare_folder, False),
}
