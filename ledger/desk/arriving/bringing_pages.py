"""`bring FOLDER --pass inks`: exports under names of their own become pages of a pass."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path, PurePosixPath

from ledger.desk.arriving.written import Record, state_of
from ledger.desk.numbers import the_pass
from ledger.desk.opening import OpenBook
from ledger.gitedge.placing import Content, put_files
from ledger.model.book import Pass
from ledger.model.bringing import BroughtPage, BroughtPages, Clash
from ledger.model.errors import Refusal
from ledger.model.pages import label_order, page_numbers
from ledger.read.page_names import PICTURES, natural, pages_by_name, pages_in_order
from ledger.read.patterns import label_of


def bring_pages(book: OpenBook, source: Path, pass_name: str, first: int | None, shown: str) -> BroughtPages:
    """Copies exports under the names of the pass; nothing where two are one page or a page was changed since.

    Raises Refusal for a pass that takes no pictures, a folder without any, and an ending that the pass has no name for.
    """
    pass_ = the_pass(book.working.book, pass_name)
    if pass_.kind != "art":
        raise Refusal(f"{pass_name} is a text pass", remedy="bring a draft in without --pass")
    folder = source if source.is_dir() else source.parent
    names = sorted((each.name for each in source.iterdir()), key=natural) if source.is_dir() else [source.name]
    labels, left = page_files(folder, names, first)
    if not labels:
        raise Refusal(
            "no picture that says its page lies here", path=shown, remedy="count them in name order: --first 1"
        )
    placed = {name: place_of(pass_, label, name, book) for name, label in labels.items()}
    doubles = _doubles(labels)
    record = Record(book.repo)
    states = {name: state_of(record, path, folder / name) for name, path in placed.items()} if not doubles else {}
    found = BroughtPages(
        shown, pass_name,
        tuple(BroughtPage(name, placed[name], labels[name], states.get(name, "new")) for name in _in_order(labels)),
        tuple(Clash(placed[name]) for name, state in states.items() if state == "clash"),
        _holes(labels.values()), doubles, tuple(left),
    )  # fmt: skip
    if found.blocked:
        return found
    contents: dict[str, Content] = {
        placed[name]: folder / name for name, state in states.items() if state != "unchanged"
    }
    put_files(book.repo, contents, {path: record.was(path) for path in contents if record.ours(path)})
    record.keep({placed[name]: folder / name for name in placed}, [], f"{pass_name}:{shown}")
    return found


def page_files(folder: Path, names: Sequence[str], first: int | None) -> tuple[dict[str, str], list[str]]:
    """Name of a picture -> the page it is, and the files that are none."""
    shown = [name for name in names if not name.startswith((".", "~$"))]
    pictures = [
        name for name in shown
        if Path(name).suffix.lower() in PICTURES and (folder / name).is_file() and not (folder / name).is_symlink()
    ]  # fmt: skip
    said = pages_by_name(pictures) if first is None else pages_in_order(pictures, first)
    labels = {name: label for name, label in said.items() if label is not None}
    return labels, [name for name in shown if name not in labels]


def place_of(pass_: Pass, label: str, name: str, book: OpenBook | None = None) -> str:
    """Where the export of a page belongs: where that page's is, else as the pass names its files."""
    suffix = Path(name).suffix.lower()
    there = book.working.exports(pass_).get(label, ()) if book else ()
    for file in there:
        if Path(file.path).suffix.lower() == suffix:
            return file.path
    for pattern in pass_.files:
        if PurePosixPath(pattern).suffix.lower() in (suffix, ""):
            for candidate in _candidates(pattern, label, suffix):
                if label_of(candidate, pass_) == label:
                    return candidate
    raise Refusal(
        f"the pass {pass_.name!r} keeps no {suffix} files ({', '.join(pass_.files)})", path=name,
        remedy=f"export them in that format, or mend `files` of the pass {pass_.name!r} in book.toml",
    )  # fmt: skip


def _candidates(pattern: str, label: str, suffix: str) -> Iterable[str]:
    numbers = page_numbers(label)
    padded = "-".join(f"{n:03d}" for n in ((numbers[0], numbers[-1]) if len(numbers) > 1 else numbers))
    token = padded or (f"{label[0]}{int(label[1:]):03d}" if label[1:].isdigit() else label)
    paged = f"p{token}" if padded else token
    yield pattern.replace("p{page}", paged).replace("{page}", token)
    yield pattern.replace("{page}", token)
    parent = PurePosixPath(pattern).parent
    yield str(parent / f"{paged}{PurePosixPath(pattern).suffix or suffix}")


def _in_order(labels: Mapping[str, str]) -> list[str]:
    return sorted(labels, key=lambda name: (label_order(labels[name]), natural(name)))


def _doubles(labels: Mapping[str, str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Pages that more than one file claims, a half of a spread too."""
    claims: dict[str, list[str]] = {}
    for name in _in_order(labels):
        for page in [str(n) for n in page_numbers(labels[name])] or [labels[name]]:
            claims.setdefault(page, []).append(name)
    return tuple((page, tuple(names)) for page, names in claims.items() if len(names) > 1)


def _holes(labels: Iterable[str]) -> tuple[str, ...]:
    numbers = {n for label in labels for n in page_numbers(label)}
    return tuple(str(n) for n in range(min(numbers), max(numbers)) if n not in numbers) if numbers else ()
