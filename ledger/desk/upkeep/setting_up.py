"""`init`: a book is laid out in a folder, with its repository and its hooks; what is there is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from ledger.desk.upkeep.backing_up import make_again
from ledger.desk.upkeep.layout import LEDGER_README, attributes, folders, ledger_readme, lines_for_lfs
from ledger.gitedge import hooks, set_up
from ledger.gitedge.intake import kept_as
from ledger.gitedge.placing import put_files
from ledger.gitedge.record import Recording, record
from ledger.gitedge.repository import Repository
from ledger.gitedge.snapshots import resolve_commit
from ledger.model.book import Book
from ledger.model.errors import Refusal
from ledger.model.outcome import Outcome
from ledger.read.book_like import book_like
from ledger.read.config import default_book_toml, read_book


@dataclass(frozen=True)
class Plan:
    """What `init` was asked; what is None is chosen by what is usual. `script` is a folder or a pattern.

    `like` is another book's folder: page, limits, cast and passes are taken from it. `copy` is a copy made by `backup`,
    from which the book is made again.
    """

    title: str | None = None
    pages: int | None = None
    reading: str | None = None
    script: str | None = None
    called: str | None = None
    lfs: bool = False
    like: Path | None = None
    copy: Path | None = None


@dataclass(frozen=True)
class Question:
    """One of the five things `init` asks on a terminal; `key` is the field of the plan it fills."""

    key: str
    words: str
    usual: str

    def answered(self, plan: Plan, answer: str) -> Plan:
        """The plan with this answer in it. Raises Refusal for an answer that can't be meant."""
        given = answer.strip()
        if self.key == "pages":
            return replace(plan, pages=_count(given))
        if self.key == "reading":
            return replace(plan, reading=_direction(given))
        text = {"title": plan.title, "script": plan.script, "called": plan.called, self.key: given or self.usual}
        return replace(plan, title=text["title"], script=text["script"], called=text["called"])


def questions(place: Path, plan: Plan) -> Sequence[Question]:
    """What is still to be asked, with what is usual; nothing where a book.toml is there already."""
    if (place / "book.toml").exists() or plan.copy is not None:
        return ()
    asked = [
        Question("title", "Title of the book", _title(place)),
        Question("pages", "How many story pages", "160"),
        Question("reading", "Reading direction, ltr (left to right) or rtl", "ltr"),
        Question("script", "Where the script is, a folder", _script_folder(place)),
        Question("called", "What to call you", set_up.login_name()),
    ]
    known = {"script"} if plan.like is not None else set()
    return [question for question in asked if getattr(plan, question.key) is None and question.key not in known]


def set_up_book(place: Path, plan: Plan) -> Outcome:
    """Lays the book out. Raises Refusal inside another book, for a broken book.toml, and for `lfs` without git-lfs."""
    if plan.lfs and not set_up.lfs_is_here():
        raise Refusal("git-lfs is not installed here", remedy="install git-lfs, or lay the book out without --lfs")
    if plan.copy is not None:
        _refuse_beside_a_copy(plan)
        return _again(place, plan.copy)
    if place.exists() and not place.is_dir():
        raise Refusal("this is a file, not a folder", path=str(place), remedy="name a folder for the book")
    _as_laid_out(place, plan)  # what can't be read is refused before anything is made
    place.mkdir(parents=True, exist_ok=True)
    repo, made = _repository(place)
    written = _lay_out(repo, plan)
    said = [_told(repo.top, written)]
    name = plan.called or set_up.login_name()
    if set_up.give_identity(repo, name):
        said.append(f"git knew no name for you: in this book alone you are {name!r}.")
    if plan.lfs:
        set_up.use_lfs(repo)
        said += _lfs_told(repo.top)
    said.append(_hooks(repo))
    commit = None
    if made and written:
        taken = kept_as(repo, written)
        commit = record(repo, Recording({}, taken, (), {}, "Lay out the book", None, "")).commit
    set_up.lays_out(repo, ())
    said.append(_next(repo.top))
    return Outcome(bool(written or made), tuple(said), commit=commit, paths=tuple(written))


def _refuse_beside_a_copy(plan: Plan) -> None:
    """A copy holds the whole book: what a new one would be like is not asked then. Raises Refusal."""
    beside = {"--title": plan.title, "--pages": plan.pages, "--reading": plan.reading, "--like": plan.like,
              "--lfs": plan.lfs or None}  # fmt: skip
    given = [option for option, said in beside.items() if said is not None]
    if given:
        raise Refusal(
            f"--from makes the book as it was, so {given[0]} can't go with it", remedy=f"leave {given[0]} away"
        )


def _again(place: Path, copy: Path) -> Outcome:
    """The book made again from a copy, with its hooks and a name to write under."""
    said = make_again(place, copy)
    repo = Repository.find(place, own=True)
    name = set_up.login_name()
    if set_up.give_identity(repo, name):
        said.append(f"git knew no name for you: in this book alone you are {name!r}.")
    said += [_hooks(repo), "See that nothing is missing: inkledger doctor"]
    return Outcome(True, tuple(said), commit=resolve_commit(repo, "HEAD"))


def _repository(place: Path) -> tuple[Repository, bool]:
    """The book's own repository, and whether it was made now, or by an `init` that was killed meanwhile."""
    try:
        around = Repository.find(place, own=True)
    except Refusal:
        around = None
    if around is not None and around.top.samefile(place):
        begun = set_up.being_laid_out(around) is not None
        if begun:
            set_up.clear_aside(place)
        return around, begun and resolve_commit(around, "HEAD") is None
    if around is not None and (around.top / "book.toml").exists() and not set_up.is_ignored(around, place):
        raise Refusal(
            f"this folder lies inside the book at {around.top}",
            remedy="lay the new book out beside it, not inside it",
        )
    return set_up.make_repository(place), True


class _LaidOut(NamedTuple):
    """The book as it will be: the `book.toml` to write, None where one is there, and what it says."""

    text: str | None
    book: Book


def _as_laid_out(place: Path, plan: Plan) -> _LaidOut:
    """Raises Refusal for a `book.toml` that can't be read, the other book's too."""
    there = place / "book.toml"
    if there.exists():
        return _LaidOut(None, read_book(there.read_bytes()))
    text = _book_text(place, plan)
    return _LaidOut(text, read_book(text.encode()))


def _lay_out(repo: Repository, plan: Plan) -> list[str]:
    """Writes what is not there yet; gives the paths written, those of an `init` that was killed included."""
    top = repo.top
    text, book = _as_laid_out(top, plan)
    contents = {} if text is None else {"book.toml": text}
    contents[".gitattributes"] = attributes(book, lfs=plan.lfs)
    contents[LEDGER_README] = ledger_readme()
    for folder in folders(book):
        (top / folder).mkdir(parents=True, exist_ok=True)
    missing = [path for path in contents if not (top / path).exists()]
    begun = set_up.being_laid_out(repo)
    written = sorted({*missing, *(begun or ())}, key=[*contents, *(begun or ())].index)
    if begun is not None:
        set_up.lays_out(repo, written)
    put_files(repo, {path: contents[path].encode() for path in missing}, {})
    return written


def _book_text(top: Path, plan: Plan) -> str:
    """The `book.toml` of a new book."""
    usual = default_book_toml(
        plan.title or _title(top), pages=plan.pages or 160, reading=plan.reading or "ltr",
        script=_pattern(plan.script or _script_folder(top)),
    )  # fmt: skip
    if plan.like is None:
        return usual
    other = plan.like / "book.toml"
    if not other.is_file():
        raise Refusal("this folder holds no book.toml", path=str(plan.like), remedy="name the folder of a book")
    return book_like(other.read_bytes(), usual.partition("\n[page]")[0], str(other))


def _told(top: Path, written: list[str]) -> str:
    if not written:
        return f"The book in {top} is laid out already; nothing of yours was touched."
    return f"Laid out in {top}: {', '.join(written)}."


def _lfs_told(top: Path) -> list[str]:
    """What to add to a `.gitattributes` that was there already, one line each, for git-lfs to keep the art."""
    book = read_book((top / "book.toml").read_bytes())
    lines = lines_for_lfs(book, (top / ".gitattributes").read_bytes().decode("utf-8", "replace"))
    if not lines:
        return ["git-lfs keeps the art: its content lies beside git's own, git holds pointers."]
    return [
        "The .gitattributes that was here is kept. For git-lfs to keep the art, add to its end:", *lines,
        'then record it: inkledger save -m "large files apart". It holds for new rounds; the others stay as they are.',
    ]  # fmt: skip


def _hooks(repo: Repository) -> str:
    """Puts the hooks in; where git would not run them the book is laid out all the same, and says so."""
    try:
        hooks.install(repo)
    except Refusal as reason:
        way = f" {reason.remedy[:1].upper()}{reason.remedy[1:]}" if reason.remedy else ""
        return f"The hooks are not in: {reason.message}.{way}"
    return "The hooks are in: git commit refuses a late edit."


def _next(top: Path) -> str:
    book = read_book((top / "book.toml").read_bytes())
    script = book.main_script()
    if script is None:
        return "Next: name your passes in book.toml."
    place = script.files[0].replace("*", "01", 1)
    return f'Next: type a draft, for example in {place}, then: inkledger enter {script.name} -m "first draft"'


def _title(place: Path) -> str:
    return place.resolve().name or "A book"


def _script_folder(place: Path) -> str:
    """The folder a script already lies in, or the usual one."""
    usual = ("script", "manuscript", "drafts")
    return next((name for name in usual if any((place / name).glob("*.md"))), "script")


def _pattern(answer: str) -> str:
    """`script/*.md` of a folder; a pattern stands as typed."""
    if any(sign in answer for sign in "*?") or PurePosixPath(answer).suffix in (".md", ".txt"):
        return answer
    folder = answer.strip("/").removeprefix("./")
    return f"{folder}/*.md" if folder and folder != "." else "*.md"


def _count(answer: str) -> int:
    if not answer.isdecimal() or not 1 <= int(answer) <= 10_000:
        raise Refusal(f"{answer!r} is no number of pages", remedy="give a whole number, such as 160")
    return int(answer)


def _direction(answer: str) -> str:
    if answer.lower() not in ("ltr", "rtl"):
        raise Refusal(f"{answer!r} is no reading direction", remedy="ltr (left to right) or rtl (right to left)")
    return answer.lower()
