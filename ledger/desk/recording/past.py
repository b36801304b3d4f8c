"""`enter --from`: an old draft, or old exports, taken in as a past round; your files now stay as they are."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path, PurePosixPath

from ledger.desk.arriving.bringing import DRAFTS, draft_bytes
from ledger.desk.arriving.bringing_pages import page_files, place_of
from ledger.desk.opening import OpenBook
from ledger.desk.recording.intake import Intake
from ledger.gitedge.intake import kept_bytes
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.pages import PageSet, label_order, page_name, pages_words
from ledger.read.patterns import label_of, matches
from ledger.read.state import OUTLINE
from ledger.read.word_processor.drafts import as_typed


def gather_past(
    book: OpenBook, pass_: Pass, source: Path, stated: datetime | date, pages: PageSet, previous: Round | None
) -> Intake:
    """Takes old files in under the pass's own names: a draft in place of the one before, exports page by page.

    Raises Refusal where a round of a later date is there already (past rounds are entered oldest first),
    where the source is not there or of another kind, and where a file fits no name of the pass.
    """
    _oldest_first(previous, stated)
    if pass_.kind == "text":
        contents, findings = _text(book, pass_, source)
        gone = frozenset(p for p in book.head_snapshot.files if matches(p, pass_) and p not in contents)
        taken = kept_bytes(book.repo, contents)
        return Intake(taken, taken, gone, None, tuple(findings))
    return _pages(book, pass_, _exports(pass_, source, pages))


def _pages(book: OpenBook, pass_: Pass, contents: dict[str, bytes]) -> Intake:
    """Old exports over what the pass holds: a page that is not among them stays as it is."""
    taken = kept_bytes(book.repo, contents)
    labels = {label for path in taken if (label := label_of(path, pass_))}
    kept, gone = {}, set()
    for path, file in book.head_snapshot.files.items():
        label = label_of(path, pass_)
        if label in labels and path not in taken:
            gone.add(path)
        elif label is not None:
            kept[path] = file
    return Intake(kept | taken, taken, frozenset(gone), tuple(sorted(labels, key=label_order)))


def _oldest_first(previous: Round | None, stated: datetime | date) -> None:
    if previous is not None and _day(previous.date) > _day(stated):
        raise Refusal(
            f"{previous.name} is dated {_day(previous.date)}, after {_day(stated)}: past rounds go in oldest first",
            remedy="take the later ones back with inkledger undo, then enter them in the order they were made",
        )


def _day(when: datetime | date) -> date:
    return when.date() if isinstance(when, datetime) else when


def _text(book: OpenBook, pass_: Pass, source: Path) -> tuple[dict[str, bytes], list[Finding]]:
    """An old draft: one file, or a folder of them, under the names the pass has; documents become typed scripts."""
    if source.is_dir():
        found = sorted(p for p in source.iterdir() if p.suffix.lower() in DRAFTS and not p.name.startswith((".", "~$")))
        if not found:
            raise Refusal(
                f"no draft ({', '.join(DRAFTS)}) lies in this folder", path=str(source),
                remedy="name the old draft itself",
            )  # fmt: skip
        return _all_typed(book, pass_, {each: _place(pass_, each.name) for each in found})
    there = book.head.paths(pass_) if book.head else book.working.paths(pass_)
    draft_bytes(_there(source), str(source))
    return _all_typed(book, pass_, {source: there[0] if len(there) == 1 else _place(pass_, source.name)})


def _all_typed(book: OpenBook, pass_: Pass, places: dict[Path, str]) -> tuple[dict[str, bytes], list[Finding]]:
    """The drafts as scripts. Raises Refusal where two of them would have one name in the book."""
    contents: dict[str, bytes] = {}
    findings: list[Finding] = []
    for draft, place in places.items():
        if place in contents:
            raise Refusal(
                f"two drafts of this folder would both be {place}", path=str(draft), remedy="take one of them out"
            )
        data = draft_bytes(draft, str(draft))
        cast = book.working.book.cast
        contents[place], said = as_typed(draft.name, data, cast, outline=pass_.name == OUTLINE)
        findings += said
    return contents, findings


def _exports(pass_: Pass, source: Path, pages: PageSet) -> dict[str, bytes]:
    """Old exports: a folder of them, or one, under the folder the pass keeps them in; foreign names are understood."""
    folder = source if source.is_dir() else _there(source).parent
    names = sorted(each.name for each in source.iterdir() if each.is_file()) if source.is_dir() else [source.name]
    found = {path: name for name in names if (path := _fitting(pass_, name))} or _foreign(pass_, folder, names)
    if found and not pages.everything:
        found = {path: name for path, name in found.items() if label_of(path, pass_) in pages}
        if not found:
            raise Refusal(
                f"no export of {pages_words(pages.text())} lies there", path=str(source), remedy="name other pages"
            )
    if not found:
        raise Refusal(
            f"no picture here says which page of {pass_.name} it is ({', '.join(pass_.files)})", path=str(source),
            remedy="give the files a number each, as in p012",
        )  # fmt: skip
    return {path: _bytes(folder / name) for path, name in found.items()}


def _foreign(pass_: Pass, folder: Path, names: list[str]) -> dict[str, str]:
    """Where exports under names of their own belong. Raises Refusal where two are one page."""
    found: dict[str, str] = {}
    for name, label in page_files(folder, names, None)[0].items():
        path = place_of(pass_, label, name)
        if path in found:
            raise Refusal(
                f"{name} and {found[path]} are both {page_name(label)}", path=str(folder),
                remedy="leave one file for each page there",
            )  # fmt: skip
        found[path] = name
    return found


def _place(pass_: Pass, name: str) -> str:
    """Where a draft of this name belongs. Raises Refusal where the pass has no such place."""
    stem = PurePosixPath(name).stem
    for candidate in (name, f"{stem}.md", f"{stem}.txt"):
        if path := _fitting(pass_, candidate):
            return path
    raise Refusal(
        f"{name!r} fits no place of the pass {pass_.name!r} ({', '.join(pass_.files)})",
        remedy="rename the old draft to the name it has in the book",
    )


def _fitting(pass_: Pass, name: str) -> str | None:
    """The path a file of this name has in the pass, or None."""
    for pattern in pass_.files:
        path = str(PurePosixPath(pattern).parent / name)
        if matches(path, pass_):
            return path
    return None


def _bytes(source: Path) -> bytes:
    return _there(source).read_bytes()


def _there(source: Path) -> Path:
    if not source.exists():
        raise Refusal("no such file or folder", path=str(source), remedy="name the old work as it lies on your disk")
    return source
