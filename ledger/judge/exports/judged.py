"""Every export of a book judged: its header, its size and mode, its number, its place among the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from ledger.judge.exports.large_files import LargeFileRules, large_file_rules
from ledger.judge.exports.page_rules import PAGE_RULES, PassExports
from ledger.judge.exports.rules import EXPORT_RULES, Export
from ledger.judge.resting.made_from import blob_id, form_of
from ledger.model.book import Book, Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.pages import label_order, page_name
from ledger.model.snapshot import FileAt
from ledger.pictures.examined import WHITE, Asked, Examined, examined
from ledger.pictures.files.decode import blank_digest
from ledger.pictures.files.header import Look, Unreadable
from ledger.pictures.files.ink import Heaviest
from ledger.pictures.guarded import digest, look
from ledger.read.state import BookState

Read = Callable[[str], bytes]

#: How many px of one pass are decoded to find the same picture saved twice; beyond it only bytes are compared.
DECODED_FOR_DOUBLES = 250_000_000


@dataclass
class _Reading:
    """What was found out about the files of a state."""

    read: Read
    entered: frozenset[str]
    large: LargeFileRules
    prints: dict[str, str]
    looks: dict[str, Look] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)
    ids: dict[str, str] = field(default_factory=dict)
    raw: set[str] = field(default_factory=set)


def judge_exports(
    state: BookState, read: Read, *, paths: Collection[str] | None = None, prints: dict[str, str] | None = None,
    looks: dict[str, Look] | None = None,
) -> tuple[Finding, ...]:  # fmt: skip
    """What the export rules say of a state; all of it queries, which `enter` and `deliver` may raise.

    `read` gives the bytes of a path. With `paths` only these are opened (and unpacked whole, as `enter` needs it),
    and other pages of their passes are compared by object id. Without, every export is looked at, those that no
    round holds are unpacked whole, and the pictures of a pass are compared decoded where it is not too large.
    `prints` is what pictures decoded before are known by, by object id, which of them are whole, and how much ink they
    lay down, by limit and object id; what is decoded now is added to it.
    """
    held = frozenset(oid for entry in state.entries if isinstance(entry, Round) for oid in entry.files.values())
    reading = _Reading(read, held if paths is None else frozenset(), large_file_rules(state),
                       {} if prints is None else prints, {} if looks is None else looks)  # fmt: skip
    chosen = None if paths is None else frozenset(paths)
    found: list[Finding] = []
    for pass_ in state.book.passes:
        if pass_.kind == "art":
            found += _pass_findings(state, pass_, reading, chosen)
    if state.book.page is None and reading.looks:
        found.append(_no_page())
    return tuple(found)


def _pass_findings(
    state: BookState, pass_: Pass, reading: _Reading, chosen: frozenset[str] | None
) -> Iterator[Finding]:
    files = state.exports(pass_)
    asked = [
        (label, file)
        for label in sorted(files, key=label_order)
        for file in files[label]
        if chosen is None or file.path in chosen
    ]
    if not asked:
        return
    for _, file in asked:
        _open(reading, file)
    _examine(reading, state.book, [file for _, file in asked if file.path in reading.looks], every=chosen is None)
    for label, file in asked:
        seen = reading.looks.get(file.path)
        if seen is not None:
            export = Export(state.book, pass_, label, file, seen, _ink(reading, state.book, file.path, seen))
            for export_rule in EXPORT_RULES:
                yield from export_rule(export)
        else:
            yield _unreadable(pass_, label, file, reading.faults[file.path])
        if file.path in reading.raw:
            yield _raw(pass_, label, file)
    exports = PassExports(state, pass_, files, chosen, _prints(reading, files, chosen), reading.ids)
    for rule in PAGE_RULES:
        yield from rule(exports)


def _open(reading: _Reading, file: FileAt) -> None:
    """Takes down the header of an export, or why it can't be read."""
    try:
        if not file.regular:
            raise Unreadable(f"it is {file.instead}, not a picture")
        data = reading.read(file.path)
        reading.ids[file.path] = file.oid or blob_id(data, _form(reading))
        if file.oid and reading.large.sends(file.path) and blob_id(data, form_of(file.oid)) == file.oid:
            reading.raw.add(file.path)
        reading.looks[file.path] = look(data)
    except Unreadable as fault:
        reading.faults[file.path] = fault.reason
    except ContentMissing as fault:
        reading.faults[file.path] = fault.why
    except OSError as fault:
        reading.faults[file.path] = fault.strerror or "it can't be opened"


def _examine(reading: _Reading, book: Book, files: Sequence[FileAt], *, every: bool) -> None:
    """Has what can be known from the pixels alone looked at: are they all there, what is shown, how much ink it takes.

    `every` is whether all pictures of a pass are compared decoded, where it is not too large.
    """
    decoded = every and sum(_pixels(reading.looks[file.path]) for file in files) <= DECODED_FOR_DOUBLES
    paths: dict[str, list[str]] = {}
    for file in files:
        paths.setdefault(reading.ids[file.path], []).append(file.path)
    sent: list[tuple[str, Asked]] = []

    def asked() -> Iterator[Asked]:
        for known, (path, *_) in paths.items():
            wish = _wish(reading, book, path, decoded=decoded)
            if any(wish):
                with suppress(ContentMissing, OSError):
                    data = reading.read(path)
                    sent.append((known, wish))
                    yield wish._replace(data=data)

    for number, found in examined(asked()):
        known, wish = sent[number]
        if found.fault is None:
            reading.prints.update(_found_out(known, wish, found))
            continue
        for path in paths[known]:
            reading.faults[path] = found.fault
            if wish.whole:
                del reading.looks[path]


def _wish(reading: _Reading, book: Book, path: str, *, decoded: bool) -> Asked:
    """What is not known of a picture yet."""
    known, limit = reading.ids[path], book.page.ink_limit if book.page else None
    inked = limit is not None and reading.looks[path].mode == "cmyk" and f"{limit:g}%:{known}" not in reading.prints
    whole = known not in reading.entered and f"whole:{known}" not in reading.prints
    return Asked(b"", whole, decoded and known not in reading.prints, limit if inked else None)


def _found_out(known: str, wish: Asked, found: Examined) -> Iterator[tuple[str, str]]:
    """What was found out about a picture, as it is kept."""
    if wish.whole:
        yield f"whole:{known}", "yes"
    if found.shown is not None:
        yield known, found.shown
    if found.ink is not None:
        yield f"{wish.ink_limit:g}%:{known}", f"{found.ink.most!r}/{found.ink.over!r}"


def _ink(reading: _Reading, book: Book, path: str, seen: Look) -> Heaviest | None:
    """The heaviest spot of a page in CMYK, where the book limits ink; None where that can't be had."""
    limit = book.page.ink_limit if book.page else None
    if limit is None or seen.mode != "cmyk":
        return None
    try:
        most, over = map(float, reading.prints.get(f"{limit:g}%:{reading.ids[path]}", "").split("/"))
    except ValueError:
        return None
    return Heaviest(most, over)


def _form(reading: _Reading) -> str:
    """The form of the object ids that the entries hold."""
    return "sha256" if any(len(oid) == 64 for oid in reading.entered) else "sha1"


def _unreadable(pass_: Pass, label: str, file: FileAt, reason: str) -> Finding:
    return Finding(
        "export-unreadable", "query", f"{page_name(label)} of {pass_.name} can't be read as a picture: {reason}",
        file.path, page=label, remedy="export the page again",
    )  # fmt: skip


def _raw(pass_: Pass, label: str, file: FileAt) -> Finding:
    return Finding(
        "lfs-raw", "query", f"{page_name(label)} of {pass_.name} is in git itself, though .gitattributes keeps such "
        "files in git-lfs", file.path, page=label,
        remedy=f"install git-lfs, then: git lfs install --local && git add --renormalize '{file.path}'",
    )  # fmt: skip


def _no_page() -> Finding:
    return Finding(
        "export-size", "query", "book.toml does not say how large a page is, so no size was judged", "book.toml",
        remedy="add [page] with trim_mm, bleed_mm and ppi",
    )  # fmt: skip


def _prints(
    reading: _Reading, files: Mapping[str, tuple[FileAt, ...]], chosen: frozenset[str] | None
) -> dict[str, str]:
    """Path -> what the picture is known by; white paper is left out, since an empty page is nobody's double."""
    exports = [file for several in files.values() for file in several if file.regular]
    if chosen is None:
        exports = [file for file in exports if file.path in reading.looks]
        if sum(_pixels(reading.looks[file.path]) for file in exports) <= DECODED_FOR_DOUBLES:
            return {file.path: shown for file in exports if (shown := _decoded(reading, file.path))}
    ids = {file.path: known for file in exports if (known := file.oid or reading.ids.get(file.path))}
    many = Counter(ids.values())
    blank = {oid for path, oid in ids.items() if many[oid] > 1 and _decoded(reading, path) is None}
    return {path: oid for path, oid in ids.items() if oid not in blank}


def _pixels(seen: Look) -> int:
    return seen.width * seen.height


def _decoded(reading: _Reading, path: str) -> str | None:
    """The digest of a picture, None for white paper and for what can't be unpacked."""
    oid = reading.ids.get(path)
    shown = reading.prints.get(oid) if oid else None
    if shown is None:
        if path in reading.faults:
            return None
        try:
            data = reading.read(path)
            shown = digest(data)
            shown = WHITE if shown == blank_digest(*look(data).size) else shown
        except (Unreadable, ContentMissing, OSError):
            return None
        if oid:
            reading.prints[oid] = shown
    return None if shown == WHITE else shown
