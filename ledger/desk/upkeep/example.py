"""The example book: built step by step by the installed command, then shown."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

from ledger.desk.upkeep.example_history import History, Step, export, project_folder, put, read_history
from ledger.model.errors import Refusal
from ledger.model.story import Shown, Story

#: In the git folder of an example book: the commit it was built with. Says that this folder is ours to show again.
MARK = "inkledger-example"
#: What is drawn before the history is told: the folder, and the drawing command's words.
DRAWINGS = {
    "thumbs": ("thumbs",),
    "pencils": ("pencils",),
    "inks": ("inks",),
    "pencils-early": ("pencils", "--early"),
    "inks-early": ("inks", "--early"),
}
#: The main job on the example: why, the command, how many lines of its answer are shown.
TOUR: tuple[tuple[str, str, int], ...] = (
    ("What changed between two drafts", "compare script-3 script-4", 24),
    ("The same as a memo, to send to a reader", "memo script-3 script-4", 24),
    ("The readers' notes, and what became of each", "notes list", 22),
    ("Where the book stands, and what to do next", "status", 22),
)

Tell = Callable[[str], None]


def show_example(here: Path, target: str | None, tell: Tell) -> Story:
    """Builds the example book in a folder, or takes the one built there before, and runs the main job on it.

    `tell` is given a word now and then while it takes time. Raises Refusal for a folder that is not ours.
    """
    place = here / (target or "demo-book")
    history = read_history(project_folder())
    built = not _built_before(place)
    if built:
        _build(place, history, tell)
    return _shown(place, built, history, tell)


def _built_before(place: Path) -> bool:
    """Whether an example book lies there, ready to be shown. Raises Refusal for anything else that is there."""
    if (place / ".git" / MARK).is_file():
        if _said(_git("status", "--porcelain", cwd=place, env=environment(place))):
            raise Refusal(
                f"{place}: this example book holds changes of yours that are not recorded",
                remedy="record them (inkledger save), or name another folder: inkledger demo other-book",
            )
        return True
    if place.exists() and (not place.is_dir() or any(place.iterdir())):
        raise Refusal(
            f"{place}: something else is there, and nothing of it was touched",
            remedy="name an empty or a new folder: inkledger demo other-book",
        )
    return False


def _build(place: Path, history: History, tell: Tell) -> None:
    """Builds beside the place and moves it there when it is whole."""
    place.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=".example-", dir=place.parent) as folder:
        book, studio = Path(folder, "book"), Path(folder, "studio")
        tell("drawing the pages")
        with _drawing(studio, history):
            book.mkdir()
            _run("init --yes --title 'The Upper Stair' --pages 26", cwd=book,
                 env=environment(book, history, history.steps[0].when))  # fmt: skip
        _tell_history(book, studio, history, tell)
        _name_yourself(book, history)
        head = _said(_git("rev-parse", "HEAD", cwd=book, env=environment(book)))
        (book / ".git" / MARK).write_text(head + "\n", "utf-8")
        _move(book, place)


def _move(book: Path, place: Path) -> None:
    """Puts the whole book where it was asked for; an empty folder that is there stays the same folder."""
    if not place.exists():
        book.rename(place)
        return
    for part in sorted(book.iterdir(), key=lambda path: path.name == ".git"):
        part.rename(place / part.name)


@contextmanager
def _drawing(studio: Path, history: History) -> Iterator[None]:
    """Draws every pass at once while the book is laid out. Raises Refusal where a drawing fails."""
    env = environment(studio, history)
    hands = [
        subprocess.Popen([sys.executable, "-B", "-m", "drawing", *words, "--to", str(studio / name)],
                         cwd=project_folder(), env=env, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        for name, words in DRAWINGS.items()
    ]  # fmt: skip
    try:
        yield
        said = [hand.communicate()[1].decode("utf-8", "replace") for hand in hands]
    finally:
        for hand in hands:
            hand.kill()
            hand.wait()
            if hand.stderr:
                hand.stderr.close()
    if any(hand.returncode for hand in hands):
        raise Refusal(f"the example's pages could not be drawn: {''.join(said).strip().splitlines()[-1:]}",
                      remedy="see that Pillow is whole: python -m pip install --force-reinstall pillow")  # fmt: skip


def _tell_history(book: Path, studio: Path, history: History, tell: Tell) -> None:
    for step in history.steps:
        tell(f"{step.when:%B %Y}")
        _one_step(book, studio, history, step)


def _one_step(book: Path, studio: Path, history: History, step: Step) -> None:
    put(project_folder(), book, step.put)
    export(studio, book, step.draw)
    for number, words in enumerate(step.run):
        _run(words, cwd=book, env=environment(book, history, step.when + timedelta(minutes=2 * number)))


def _run(words: str, *, cwd: Path, env: Mapping[str, str]) -> None:
    """One command of the history. Raises Refusal with its own words where it fails."""
    done = _inkledger(*shlex.split(words), cwd=cwd, env=env)
    if done.returncode:
        raise Refusal(
            f"the example book could not be built: inkledger {words}\n{_said(done)}",
            remedy="mend what these words name, and run it again; nothing was left behind",
        )


def _name_yourself(book: Path, history: History) -> None:
    """Where git knows no name for the user, the author's stands in this book alone, so that it can be worked on."""
    own = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    if not _said(_git("config", "user.email", cwd=book, env=own)):
        _git("config", "user.name", history.name, cwd=book, env=own)
        _git("config", "user.email", history.email, cwd=book, env=own)


def _shown(place: Path, built: bool, history: History, tell: Tell) -> Story:
    env = environment(place, history)
    shown = []
    for why, words, most in TOUR:
        tell(words)
        done = _inkledger(*shlex.split(words), cwd=place, env=env)
        shown.append(_as_shown(why, f"inkledger {words}", done, most))
    tell("the late edit")
    edit, refused = _late_edit(place, history, env)
    left = _said(_git("status", "--porcelain", cwd=place, env=env))
    return Story(_where(place), built, "The Upper Stair", (*shown, *edit), refused, not left)


def _where(place: Path) -> str:
    """The book's path; as short as was asked where the whole one holds blanks."""
    whole = str(place.resolve())
    return os.path.relpath(whole) if " " in whole else whole


def _late_edit(place: Path, history: History, env: Mapping[str, str]) -> tuple[list[Shown], bool]:
    """Changes a signed-off line, tries to commit it, takes it back; gives what was seen, and whether it was refused."""
    late = history.late
    before = _said(_git("rev-parse", "HEAD", cwd=place, env=env))
    text = (place / late.path).read_text("utf-8")
    if late.old not in text:
        raise Refusal(f"the line {late.old!r} is no longer there", path=late.path,
                      remedy="build the example anew: inkledger demo other-book")  # fmt: skip
    (place / late.path).write_text(text.replace(late.old, late.new), "utf-8")
    seen = _git("diff", "--unified=0", "--no-color", "--", late.path, cwd=place, env=env)
    words = [line for line in _said(seen).splitlines() if line[:1] in "+-" and line[:3] not in ("+++", "---")]
    done = _git("commit", "-a", "-m", late.message, cwd=place, env=env)
    after = _said(_git("rev-parse", "HEAD", cwd=place, env=env))
    refused = done.returncode != 0 and after == before and "speaker-changed" in _said(done)
    told = [
        Shown(
            "A late edit: page 25 is signed off, and a line is given to somebody else",
            f"git diff {late.path}",
            tuple(words),
            0,
            0,
        ),
        _as_shown("", f'git commit -a -m "{late.message}"', done, 24),
    ]
    undo = ("restore", "--staged", "--worktree", late.path) if after == before else ("reset", "-q", "--hard", before)
    back = _git(*undo, cwd=place, env=env)
    return [
        *told,
        _as_shown("The edit is taken back; the book is as it was", f"git {' '.join(undo)}", back, 6),
    ], refused


def _as_shown(why: str, command: str, done: subprocess.CompletedProcess[bytes], most: int) -> Shown:
    lines = _said(done).splitlines()
    return Shown(why, command, tuple(lines[:most]), max(0, len(lines) - most), done.returncode)


def environment(book: Path, history: History | None = None, when: datetime | None = None) -> dict[str, str]:
    """The surroundings in which the example is made: nobody's own git settings, the author's name, the hour.

    With no settings of the user's the book comes out the same everywhere, and nothing of theirs is touched.
    """
    env = {key: value for key, value in os.environ.items() if not key.startswith(("GIT_", "PYTHON"))}
    env |= {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", "GIT_CEILING_DIRECTORIES": str(book.parent)}
    env["NO_COLOR"] = "1"
    if history:
        for who in ("AUTHOR", "COMMITTER"):
            env |= {f"GIT_{who}_NAME": history.name, f"GIT_{who}_EMAIL": history.email}
            if when:
                env[f"GIT_{who}_DATE"] = when.isoformat()
    return env


def _inkledger(*words: str, cwd: Path, env: Mapping[str, str]) -> subprocess.CompletedProcess[bytes]:
    """Runs the installed command."""
    return subprocess.run([str(command_path()), *words], cwd=cwd, env=env, stdin=subprocess.DEVNULL,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False)  # fmt: skip


def command_path() -> Path:
    """The installed `inkledger`: beside the Python that runs us, else on the PATH. Raises Refusal where it is not."""
    beside = Path(sys.executable).with_name("inkledger")
    found = str(beside) if beside.exists() else shutil.which("inkledger")
    if not found:
        raise Refusal("the command inkledger is not installed beside this Python", remedy="pip install inkledger")
    return Path(found)


def _git(*words: str, cwd: Path, env: Mapping[str, str]) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(["git", *words], cwd=cwd, env=env, stdin=subprocess.DEVNULL,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False)  # fmt: skip


def _said(done: subprocess.CompletedProcess[bytes]) -> str:
    return done.stdout.decode("utf-8", "replace").strip("\n")
