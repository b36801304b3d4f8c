"""`bring FILE`: a draft from a word processor or plain text becomes files of the script, one for each chapter."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from ledger.desk.arriving.chapter_places import placed, target_of
from ledger.desk.arriving.speakers import as_people, unknown_speakers
from ledger.desk.arriving.written import Record, state_of
from ledger.desk.opening import OpenBook, open_book
from ledger.gitedge.placing import Content, put_files
from ledger.model.book import Pass, Person
from ledger.model.bringing import BroughtFile, BroughtPages, BroughtScript, Clash
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.script import Line
from ledger.read.cast_edit import add_people
from ledger.read.chapters import Piece, chapters_of, with_headings
from ledger.read.patterns import in_reading_order
from ledger.read.state import OUTLINE

#: Drafts that are read, and others with the way to make one of these of them.
DRAFTS = (".docx", ".odt", ".md", ".txt")
_LIKE = {".doc": ".docx", ".rtf": ".docx", ".pages": ".docx", ".fodt": ".odt", ".docm": ".docx", ".dotx": ".docx",
         ".ott": ".odt", ".sxw": ".odt", ".html": ".docx", ".htm": ".docx", ".pdf": ".docx"}  # fmt: skip
#: What a reader could not take as it was meant; limits and sides are for `check` to tell.
_NOT_UNDERSTOOD = ("unknown-key", "page-number", "panel-count", "text-dropped", "encoding")


@dataclass(frozen=True)
class BringWish:
    """What `bring` was asked; the names are those of its options."""

    source: Path
    to: str | None = None
    cast: bool = False
    pass_name: str | None = None
    first: int | None = None


@dataclass(frozen=True)
class _Taken:
    """A draft as it would be written: path -> its piece, files it has no more, its lines, what there is to say."""

    pieces: Mapping[str, Piece]
    gone: tuple[str, ...]
    lines: tuple[Line, ...]
    findings: tuple[Finding, ...]


def bring(here: Path, wish: BringWish) -> BroughtScript | BroughtPages:
    """Brings a draft or exports in. Raises Refusal for wrong use and for what can't be read; nothing is recorded."""
    book = open_book(here)
    source = here / wish.source
    if not source.exists():
        raise Refusal("no such file or folder", path=str(wish.source), remedy="name it as it lies on your disk")
    if wish.pass_name is None and source.is_dir():
        raise Refusal(
            "a folder is brought in as the exports of a pass", path=str(wish.source),
            remedy="name the pass with --pass inks; a draft is brought in file by file",
        )  # fmt: skip
    if wish.pass_name is None:
        if wish.first is not None:
            raise Refusal("--first counts pages of exports", remedy="name their pass with --pass, or leave it out")
        return _bring_script(book, here, source, wish)
    if wish.to is not None or wish.cast:
        raise Refusal("--to and --cast are for a draft, --pass is for exports", remedy="give one or the other")
    from ledger.desk.arriving.bringing_pages import bring_pages

    return bring_pages(book, source, wish.pass_name, wish.first, str(wish.source))


def _bring_script(book: OpenBook, here: Path, source: Path, wish: BringWish) -> BroughtScript:
    data = draft_bytes(source, str(wish.source))
    state = book.working
    pass_, to = target_of(book, here, wish.to)
    taken = _taken(book, source.name, data, (), pass_, to)
    unknown = unknown_speakers(taken.lines, state.book.cast)
    people: tuple[Person, ...] = ()
    if wish.cast and unknown:
        people = as_people(unknown, state.book.cast)
        taken = _taken(book, source.name, data, people, pass_, to)
        unknown = unknown_speakers(taken.lines, (*state.book.cast, *people))
    return _written(book, pass_, taken, people, unknown, wish)


def _written(
    book: OpenBook, pass_: Pass, taken: _Taken, people: tuple[Person, ...], unknown: Counter[str], wish: BringWish
) -> BroughtScript:
    """Writes the files, or nothing where one was changed since, or another draft would be lost."""
    record, source = Record(book.repo), str(wish.source)
    states = {path: state_of(record, path, piece.data) for path, piece in taken.pieces.items()}
    drafts = {} if wish.to is not None else _other_drafts(book, record, source, taken.pieces, states)
    clashes = [path for path, state in states.items() if state == "clash" or path in drafts]
    clashes += [path for path in taken.gone if not record.ours(path)]
    lines: dict[str, list[Line]] = {path: [] for path in states}
    for line in taken.lines:
        lines[line.path].append(line)
    files = tuple(_file(path, taken.pieces[path], states[path], lines[path]) for path in states)
    found = BroughtScript(
        source, pass_.name, (*files, *(BroughtFile(path, "gone") for path in taken.gone)),
        tuple(_clash(book, path, taken.pieces, drafts.get(path)) for path in clashes),
        tuple(unknown.most_common()), people,
        _by_cause(taken.findings), tuple(p for p in book.working.paths(pass_) if p not in (*states, *taken.gone)),
    )  # fmt: skip
    if clashes:
        return found
    contents: dict[str, Content] = {
        path: piece.data for path, piece in taken.pieces.items() if states[path] != "unchanged"
    }
    was: dict[str, bytes | str] = {path: record.was(path) for path in (*contents, *taken.gone) if record.ours(path)}
    if people:
        was["book.toml"] = toml = book.working.snapshot.read("book.toml")
        contents["book.toml"] = add_people(toml, people)
    put_files(book.repo, contents, was, taken.gone)
    record.keep({path: piece.data for path, piece in taken.pieces.items()}, taken.gone, _along(source, taken.pieces))
    return found


def _along(source: str, pieces: Mapping[str, Piece]) -> str:
    """What the files of one draft have in common: its name and the place where it begins."""
    return f"{Path(source).name}|{next(iter(pieces))}"


def _other_drafts(
    book: OpenBook, record: Record, source: str, pieces: Mapping[str, Piece], states: Mapping[str, str]
) -> dict[str, str]:
    """Files that would be replaced, but hold a text that came from a draft of another name: path -> that name.

    A later version under another name has lines in common with what it replaces, and what is recorded is not lost.
    """
    found: dict[str, str] = {}
    for path in (path for path, state in states.items() if state == "replaced"):
        name = record.came_with(path).rpartition("|")[0]
        there = (book.repo.top / path).read_bytes()
        recorded = path in book.head_snapshot.files and book.head_snapshot.read(path) == there
        if name != Path(source).name and not recorded and not _alike(there, pieces[path].data):
            found[path] = name
    return found


#: Share of the lines of the shorter text that two versions of one text have in common at least, and how many words a
#: line has that says something of it: marks and names stand in every draft.
_IN_COMMON, _TELLING = 0.2, 3


def _alike(one: bytes, other: bytes) -> bool:
    """Whether two texts are versions of one, by the lines that both have."""
    old, new = ({row.strip() for row in text.decode("utf-8", "replace").splitlines()} - {""} for text in (one, other))
    telling = [{row for row in rows if len(row.split()) >= _TELLING} for rows in (old, new)]
    if all(telling):
        old, new = telling
    return len(old & new) >= _IN_COMMON * min(len(old), len(new))


def _gone(record: Record, source: str, pieces: Mapping[str, Piece]) -> tuple[str, ...]:
    """Files that the same draft had when it was brought before, and has no more."""
    before = record.with_the_same(_along(source, pieces))
    return tuple(path for path in before if path not in pieces and (record.repo.top / path).is_file())


# -- reading


def draft_bytes(source: Path, shown: str) -> bytes:
    """The bytes of a draft of a kind that is read. Raises Refusal with the way to make one."""
    suffix = source.suffix.lower()
    if suffix not in DRAFTS:
        like = _LIKE.get(suffix)
        remedy = f"save it as {like} where it was written" if like else f"save it as one of {', '.join(DRAFTS)}"
        raise Refusal(
            f"a draft is read from {', '.join(DRAFTS)}, not from this kind of file", path=shown, remedy=remedy
        )
    if not source.is_file():
        raise Refusal("this is no plain file", path=shown, remedy="name the draft itself")
    return source.read_bytes()


def typed_draft(name: str, data: bytes, cast: Sequence[Person], *, outline: bool) -> tuple[bytes, list[Finding]]:
    """A draft as a typed script in UTF-8, with what there is to say about it.

    Typed files are taken byte for byte unless they are in another encoding; in a plain text without any heading a line
    `CHAPTER TWO` becomes one. Raises Refusal for what can't be read.
    """
    from ledger.read.typed_text import decoded
    from ledger.read.word_processor.drafts import as_typed, is_document

    typed, findings = as_typed(name, data, cast, outline=outline)
    if not is_document(name):
        text, findings = decoded(name, typed)
        typed = text.encode("utf-8", "replace") if findings else typed
        if name.lower().endswith(".txt"):
            typed, lines = with_headings(name, typed)
            findings = [*findings, *(_made_heading(name, line) for line in lines)]
    if not typed.strip():
        said = findings[0].message if findings else "there are no words in it"
        raise Refusal(said, path=name, remedy="bring the draft itself in, as .docx, .odt, .md or .txt")
    return typed, findings


def _made_heading(path: str, line: int) -> Finding:
    return Finding("text-dropped", "query", "this line was made the heading of a chapter", path, line,
                   remedy="take the # before it out again where it is none")  # fmt: skip


def _taken(book: OpenBook, name: str, data: bytes, people: Sequence[Person], pass_: Pass, to: str | None) -> _Taken:
    """The draft as it would stand in the book, with these people in its cast; it is read along with its neighbours."""
    from ledger.judge.draft import judge_draft
    from ledger.read.outline import read_outline
    from ledger.read.script import read_script

    known = book.working.book._replace(cast=(*book.working.book.cast, *people))
    typed, findings = typed_draft(name, data, known.cast, outline=pass_.name == OUTLINE)
    pieces = placed([_ended(piece, name) for piece in chapters_of(name, typed)], pass_, to)
    gone = _gone(Record(book.repo), name, pieces)
    others = [path for path in book.working.paths(pass_) if path not in (*pieces, *gone)]
    there = {path: book.working.snapshot.read(path) for path in others}
    whole = there | {path: piece.data for path, piece in pieces.items()}
    read = read_outline if pass_.name == OUTLINE else read_script
    draft = read([(path, whole[path]) for path in in_reading_order(whole)], known.cast)
    judged = [f for f in judge_draft(draft, known) if f.rule in _NOT_UNDERSTOOD and f.path in pieces]
    if not known.cast:
        judged = [finding for finding in judged if finding.rule != "unknown-key"]
    return _Taken(pieces, gone, tuple(line for line in draft.lines if line.path in pieces), (*findings, *judged))


def _ended(piece: Piece, name: str) -> Piece:
    """A chapter of a document ends with its last line; a typed one keeps every byte."""
    from ledger.read.word_processor.drafts import is_document

    return piece._replace(data=piece.data.rstrip(b"\n") + b"\n") if is_document(name) else piece


# -- telling


def _file(path: str, piece: Piece, state: str, lines: Sequence[Line]) -> BroughtFile:
    from ledger.model.words import count_words

    words = sum(count_words(line.text) for line in lines if line.lettered)
    return BroughtFile(path, state, piece.title, words, len({line.scene for line in lines}))


def _clash(book: OpenBook, path: str, pieces: Mapping[str, Piece], of: str | None) -> Clash:
    brought = pieces[path].data if path in pieces else b""
    return Clash(path, (book.repo.top / path).read_bytes(), brought, of)


def _by_cause(findings: Sequence[Finding]) -> tuple[tuple[Finding, ...], ...]:
    """Findings that say the same but for names and numbers, the most frequent cause first; a name is a cause."""
    groups: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        said = finding.message
        if finding.rule != "unknown-key":
            said = re.sub(r"'[^']*'|\"[^\"]*\"|\d+", "…", said)
        groups.setdefault((finding.rule, said), []).append(finding)
    return tuple(tuple(group) for group in sorted(groups.values(), key=len, reverse=True))
