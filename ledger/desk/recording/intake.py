"""What a round takes in: the working tree's files of a pass, as git would keep them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256

from ledger.desk.opening import OpenBook
from ledger.gitedge.intake import folders_among, ignored_files, kept_as, on_disk
from ledger.gitedge.objects import large_digests
from ledger.gitedge.repository import Repository
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.finding import Finding
from ledger.model.pages import PageSet, label_order
from ledger.model.snapshot import FOLDER, FileAt, byte_order
from ledger.read.patterns import label_of, matches

_FOLDER, _TAKE_AWAY = "a folder lies where a file belongs", "move the folder elsewhere, put the file back"


@dataclass(frozen=True)
class Intake:
    """The pass as it will stand: every file with its object id; those taken from your files now; those gone.

    `pages` are the labels entered by this round, None for a text pass; `findings` what there is to say of the files
    that it was taken from. `apart` are files that git-lfs keeps now and git itself kept before, their content the same.
    """

    files: Mapping[str, FileAt]
    taken: Mapping[str, FileAt]
    removed: frozenset[str]
    pages: tuple[str, ...] | None
    findings: tuple[Finding, ...] = ()
    apart: frozenset[str] = frozenset()

    @property
    def ids(self) -> dict[str, str]:
        """Path -> object id, in byte order: what the entry's `[files]` says."""
        return {path: self.files[path].oid or "" for path in sorted(self.files, key=byte_order)}


def gather(book: OpenBook, pass_: Pass, pages: PageSet, previous: Round | None) -> Intake:
    """Takes the files of a pass in. Raises Refusal for links, ignored files, and where no file matches."""
    here = _regular(book, pass_)
    before = {p: f for p, f in book.head_snapshot.files.items() if matches(p, pass_)}
    if not here:
        patterns = ", ".join(pass_.files)
        away = "; to record that they are gone without a round: inkledger save" if before else ""
        raise Refusal(
            f"no file of the pass {pass_.name!r} is here ({patterns})",
            remedy=f"put the files there, or mend `files` of the pass {pass_.name!r} in book.toml{away}",
        )
    wanted = [path for path in here if _chosen(path, pass_, pages)]
    gone = frozenset(path for path in before if path not in here and _chosen(path, pass_, pages))
    for path in folders_among(book.repo, sorted(gone)):
        raise Refusal(_FOLDER, path=path, remedy=_TAKE_AWAY)
    now, present = book.working.snapshot.files, on_disk(book.repo, wanted)
    left_out = {path: now[path] for path in wanted if path not in present and now[path].oid is not None}
    taken = kept_as(book.repo, [path for path in wanted if path not in left_out])
    files = {path: file for path, file in before.items() if path not in gone} | left_out | dict(taken)
    apart = kept_elsewhere(book.repo, files, previous.files if previous else {})
    entered = _entered(pass_, pages, files, gone, previous, apart) if pass_.kind == "art" else None
    return Intake(files, taken, gone, entered, apart=apart)


def kept_elsewhere(repo: Repository, files: Mapping[str, FileAt], old: Mapping[str, str]) -> frozenset[str]:
    """Files whose content is that of the round before, of which either is a large file's pointer and the other is not.

    Where git-lfs was switched on or off meanwhile, that alone changes no page.
    """
    pairs = {path: (old[path], file.oid or "") for path, file in files.items() if old.get(path, file.oid) != file.oid}
    large = large_digests(repo, (oid for pair in pairs.values() for oid in pair))
    found = set()
    for path, (before, now) in pairs.items():
        if (before in large) != (now in large):
            plain, pointer = (now, before) if before in large else (before, now)
            try:
                if sha256(repo.reader.raw(plain)).hexdigest() == large[pointer]:
                    found.add(path)
            except ContentMissing:
                continue
    return frozenset(found)


def _chosen(path: str, pass_: Pass, pages: PageSet) -> bool:
    return pass_.kind == "text" or pages.everything or label_of(path, pass_) in pages


def _regular(book: OpenBook, pass_: Pass) -> list[str]:
    """Paths of the pass that are plain files. Raises Refusal for anything else."""
    found = [file for path, file in book.working.snapshot.files.items() if matches(path, pass_)]
    for file in found:
        if file.mode == FOLDER:
            raise Refusal(_FOLDER, path=file.path, remedy=_TAKE_AWAY)
        if not file.regular:
            raise Refusal(f"this is {file.instead}, not a file", path=file.path, remedy="put the file itself there")
    for path in ignored_files(book.repo):
        if matches(path, pass_):
            raise Refusal(
                "git is told to ignore this file, so it can't be entered", path=path,
                remedy="take it out of .gitignore, or move it elsewhere",
            )  # fmt: skip
    return [file.path for file in found]


def _entered(
    pass_: Pass,
    pages: PageSet,
    files: Mapping[str, FileAt],
    gone: Iterable[str],
    previous: Round | None,
    apart: frozenset[str],
) -> tuple[str, ...]:
    """The pages this round enters: those named, else those whose file is new, changed or gone."""
    labels = {path: label for path in [*files, *gone] if (label := label_of(path, pass_))}
    if not pages.everything:
        chosen = {label for path, label in labels.items() if label in pages}
        if not chosen:
            raise Refusal(
                f"no page of {pass_.name!r} among {pages.text()} is here", remedy="name pages that have an export"
            )
        return tuple(sorted(chosen, key=label_order))
    old = previous.files if previous else {}
    kept = {path: file for path, file in files.items() if path not in apart}
    changed = {label for path, label in labels.items() if path in kept and old.get(path) != kept[path].oid}
    changed |= {label for path, label in labels.items() if path not in files}
    return tuple(sorted(changed, key=label_order))


def same_as_round(intake: Intake, previous: Round | None) -> bool:
    """Whether the pass stands as its newest round left it."""
    return previous is not None and dict(previous.files) == intake.ids | {
        path: previous.files[path] for path in intake.apart
    }
