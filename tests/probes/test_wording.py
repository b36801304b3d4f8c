"""Every lettered word closed: words changed in ways the eye or a reader of Markdown may miss, at four doors."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.books import Book
from tests.probes import edits
from tests.probes.edits import typed
from tests.probes.ground import TOML, Ground, act
from tests.probes.pushes import free_after_commit, refused_after_commit, stopped, told

LETTERS = """
[[pass]]
name = "letters"
kind = "art"
files = "art/letters/p{page}.png"
from = ["inks", "script"]
locks = ["wording"]
"""
WAS = "T: It was."


@pytest.fixture(scope="session")
def _lettered(tmp_path_factory: pytest.TempPathFactory, _ground: Ground) -> Ground:
    """The ground with a pass more, letters, whose sign-off closes the wording."""
    ground = _ground.copied(tmp_path_factory.mktemp("lettered") / "home")
    ground.book.write({"book.toml": TOML + LETTERS})
    ground.book.commit("a pass more")
    code, said = ground.ledger("lock", "letters", "-m", "every word stands")
    assert code == 0, said
    for name in ("guarded", "open"):
        ground.book.git("push", "-q", "--no-verify", name, "HEAD:main", "--tags")
    return ground


@pytest.fixture
def lettered(_lettered: Ground, tmp_path: Path) -> Ground:
    return _lettered.copied(tmp_path / "home")


def said(now: str) -> edits.Change:
    """Tomas's line as it reads now."""
    return typed((WAS, now))


def after(more: str) -> edits.Change:
    return typed(("T: Not me.", f"T: Not me.{more}"))


def whole(book: Book, data: bytes) -> None:
    book.write({"script/01.md": data})


LATE: dict[str, tuple[str, edits.Change]] = {
    "a word more": ("wording-changed", said("T: It really was.")),
    "another sign at its end": ("wording-changed", said("T: It was?")),
    "a letter of another script": ("wording-changed", said("T: It w\u0430s.")),
    "a wide letter": ("wording-changed", said("T: \uff29t was.")),
    "words turned around": ("wording-changed", said("T: It \u202ewas.")),
    "a sign nobody sees": ("wording-changed", said("T: It wa\u200bs.")),
    "a soft hyphen": ("wording-changed", said("T: It wa\u00ads.")),
    "a stroke through it": ("wording-changed", said("T: It wa\u0336s.")),
    "struck out": ("wording-changed", said("T: ~~It was.~~")),
    "a tag of HTML": ("wording-changed", said("T: It <del>was</del>.")),
    "words behind numbers of signs": ("wording-changed", said("T: It &#119;as &#110;ot.")),
    "words under a link": ("wording-changed", said("T: It [was](never).")),
    "words of a picture": ("wording-changed", said("T: It ![never](x.png) was.")),
    "a line that goes on": ("wording-changed", after("\nNever.")),
    "a line that goes on behind a backslash": ("wording-changed", after("\\\nNever.")),
    "a line in a fence": ("line-added", after("\n\n```\nT: Never.\n```\n")),
    "a line set in": ("line-added", after("\n\n    T: Never.\n")),
    "a line in a list": ("line-added", after("\n\n- T: Never.\n")),
    "a line that is quoted": ("line-added", after("\n\n> T: Never.\n")),
    "a line made a heading": ("line-added", after("\n\nT: Never.\n===\n")),
    "a line behind a bare return": ("line-added", after("\rT: Never.")),
    "a line behind another line end": ("wording-changed", after("\u2028T: Never.")),
    "a line after a panel mark": ("line-added", typed(("[panel 2]\nTomas", "[panel 2] T: Never.\nTomas"))),
    "a line after what was taken out": ("line-added", typed(
        ("[panel 2]\nTomas", "[panel 2]\n[omitted] T: Never.\n\nTomas"))),
    "before everything else": ("wording-changed", lambda book: whole(
        book, b"---\nT: Never.\n---\n" + book.read("script/01.md"))),
    "another encoding": ("wording-changed", lambda book: whole(
        book, book.read("script/01.md").decode().replace("It was", "It is").encode("utf-16"))),
    "bytes that are no text": ("wording-changed", lambda book: whole(
        book, book.read("script/01.md").replace(b"It was", b"It w\xe4s"))),
    "a balloon that has grown": ("balloon-tight", said("T: It was here yesterday, I tell you, on the table.")),
}  # fmt: skip


@pytest.mark.group("late words", "refused")
@pytest.mark.parametrize("name", LATE)
def test_a_late_word_is_told_at_every_door(lettered: Ground, tmp_path: Path, name: str) -> None:
    rule, make = LATE[name]
    make(lettered.book)
    lettered.book.git("add", "-A")
    control, before = lettered.without_hooks(tmp_path / "control"), lettered.held()
    stopped(act(lettered.book, "commit", "-q", "-m", "work"), "pre-commit", rule)
    assert lettered.held() == before
    code, heard = act(control.book, "commit", "-q", "-m", "work")
    assert code == 0, heard
    refused_after_commit(control, (rule,), by_git=False)


FREE: dict[str, edits.Change] = {
    "case and emphasis alone": said("T: It **WAS**."),
    "a cue": said("T: It was. {whisper}"),
    "a cue before": said("T (whisper): It was."),
    "quotes and dashes": typed(("M: Two and", "M: Two  and")),
    "a comment": said("T: It <!-- mind the hinge --> was."),
    "a letter by its number": said("T: It &#119;as."),
    "a scene's title": typed(("## The long pier", "## The pier at night")),
    "action": typed(("Tomas lifts the lamp.", "Tomas looks away.")),
    "a name in full": said("TOMAS ARDE: It was."),
    "line ends": lambda book: whole(book, book.read("script/01.md").replace(b"\n", b"\r\n")),
    "a page drawn that nobody signed": edits.drawn("art/inks/p003.png", edits.page(9)),
}


@pytest.mark.group("allowed words", "allowed")
@pytest.mark.parametrize("name", FREE)
def test_what_is_no_word_goes_through(lettered: Ground, name: str) -> None:
    FREE[name](lettered.book)
    lettered.book.git("add", "-A")
    code, heard = act(lettered.book, "commit", "-q", "-m", "work")
    assert code == 0, heard
    free_after_commit(lettered)


#: What is told and stops nobody: how it is laid, the change, the rule.
LOOK: dict[str, tuple[str, edits.Change]] = {
    "action rewritten": ("action-changed", typed(("Tomas lifts the lamp.", "A moth, nothing else."))),
    "one pixel": ("touch-up", lambda book: one_pixel(book)),
    "a page moved by two pixels": ("touch-up", lambda book: moved(book)),
    "the locks of a pass emptied": ("lock-loosened", lambda book: book.write(
        {"book.toml": (TOML + LETTERS).replace('locks = ["structure", "drawing"]', "locks = []")})),
    "a limit raised": ("rules-loosened", lambda book: book.write(
        {"book.toml": TOML + LETTERS + "\n[limits]\nballoon_growth = 0.5\n"})),
}  # fmt: skip


def one_pixel(book: Book) -> None:
    with edits.Image.open(book.top / "art/inks/p001.png") as picture:
        grey = picture.convert("L")
    grey.putpixel((10, 10), 255 - grey.getpixel((10, 10)))
    grey.save(book.top / "art/inks/p001.png")


def moved(book: Book) -> None:
    with edits.Image.open(book.top / "art/inks/p001.png") as picture:
        grey = picture.convert("L")
    sheet = edits.Image.new("L", grey.size, 255)
    sheet.paste(grey, (2, 0))
    sheet.save(book.top / "art/inks/p001.png")


@pytest.mark.group("told, not stopped", "allowed")
@pytest.mark.parametrize("name", LOOK)
def test_what_is_only_told_is_told_and_goes_through(lettered: Ground, name: str) -> None:
    rule, make = LOOK[name]
    make(lettered.book)
    lettered.book.git("add", "-A")
    code, heard = act(lettered.book, "commit", "-m", "work")
    assert code == 0 and f"look: {rule}" in heard, heard
    assert told(lettered)[rule] == "query"
    free_after_commit(lettered)


@pytest.mark.group("told, not stopped", "refused")
@pytest.mark.parametrize("rule", ["touch-up", "action-changed"])
def test_a_rule_that_the_book_raises_stops(lettered: Ground, tmp_path: Path, rule: str) -> None:
    book = lettered.book
    book.write({"book.toml": f'{TOML}{LETTERS}\n[rules]\n"{rule}" = "block"\n'})
    book.commit("a rule raised")
    for name in ("guarded", "open"):
        book.git("push", "-q", "--no-verify", name, "HEAD:main")
    next(make for each, make in LOOK.values() if each == rule)(book)
    book.git("add", "-A")
    control, before = lettered.without_hooks(tmp_path / "control"), lettered.held()
    stopped(act(book, "commit", "-q", "-m", "work"), "pre-commit", rule)
    assert lettered.held() == before
    assert act(control.book, "commit", "-q", "-m", "work")[0] == 0
    refused_after_commit(control, (rule,), by_git=False)
