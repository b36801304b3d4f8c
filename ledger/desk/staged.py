"""What the commit about to be made must answer for: the question that the hooks ask.

Hooks pass through here, so nothing is imported that is slow to start.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ledger.desk.history.carried import last_book, lost_by_tags
from ledger.desk.pictures.when_asked import looked_at_when_asked
from ledger.gitedge import snapshots
from ledger.gitedge.merging import parents_of_next
from ledger.gitedge.repository import Repository
from ledger.judge.agreed.doors import CastOf, charged
from ledger.judge.agreed.ledger_rules import Kept, book_gone, entry_files
from ledger.judge.levels import apply_rules
from ledger.model.finding import RULES, Finding
from ledger.model.overlay import overlaid
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.state import BookState, read_state

#: Rules that pictures have to be opened for, which the hooks do only where `[rules]` has one of them block.
_OF_EXPORTS = frozenset((*RULES["exports"], "page-number", "page-gap"))


def staged_findings(folder: str, *, told: bool = True) -> tuple[Finding, ...]:
    """Judges the index against every parent of the next commit, of the repository that git finds for a folder.

    `told` is whether the environment may name heads being merged. Where neither holds a book there is nothing to judge.
    """
    repo = Repository.find(folder)
    parents = _parents(repo, told=told)
    bases = _books(repo, parents)
    staged = snapshots.of_index(repo)
    if "book.toml" not in staged.files:
        if not bases or any("book.toml" in parent.files for parent in parents):
            return book_gone(bases)
        staged = _with_book(staged, bases[0].snapshot)
    change = read_state(staged)
    kept = {**lost_by_tags(repo, [base.snapshot for base in bases]), **_first_recorded(repo, bases, change)}
    casts = casts_of_old(repo, bases, change)
    with looked_at_when_asked(repo) as pictures:
        found = charged(bases, change, change.snapshot.store, kept=kept, cast_then=casts, pictures=pictures)
    return (*found, *_raised(bases, change))


def bases_of_next(repo: Repository, *, told: bool = True) -> list[BookState]:
    """The parents of the next commit that hold a book; where its `book.toml` was taken out, as they last were one."""
    return _books(repo, _parents(repo, told=told))


def _parents(repo: Repository, *, told: bool) -> list[Snapshot]:
    return [snapshots.of_commit(repo, oid) for oid in parents_of_next(repo, told=told)]


def _books(repo: Repository, parents: Sequence[Snapshot]) -> list[BookState]:
    held = [read_state(each) for each in parents if "book.toml" in each.files]
    if held or not parents:
        return held
    sound = last_book(repo, [parent.name for parent in parents])
    return [read_state(_with_book(parent, sound)) for parent in parents] if sound is not None else []


def _with_book(snapshot: Snapshot, sound: Snapshot) -> Snapshot:
    """A state with the `book.toml` of another."""
    file = sound.files["book.toml"]
    return overlaid(snapshot, taken={"book.toml": file}, source=sound.store, name=snapshot.name)


def casts_of_old(repo: Repository, bases: Sequence[BookState], change: BookState) -> CastOf | None:
    """The casts of old are asked for only where the cast changes: history is slow to ask."""
    if all(base.book.cast == change.book.cast for base in bases):
        return None
    from ledger.desk.casts import cast_lookup

    return cast_lookup(repo)


def _first_recorded(repo: Repository, bases: Sequence[BookState], change: BookState) -> Mapping[str, Kept]:
    """Entries that this change touches, as their tags hold them: an entry put back as it was is free."""
    now = entry_files(change)
    touched = {
        path for base in bases for path, kept in entry_files(base).items()
        if path not in now or not kept.same_as(now[path])
    }  # fmt: skip
    if not touched:
        return {}
    from ledger.gitedge.tags import tag_of

    found: dict[str, Kept] = {}
    for entry in (entry for base in bases for entry in base.entries if entry.path in touched):
        tag = tag_of(entry)
        commit = snapshots.resolve_commit(repo, f"refs/tags/{tag}") if tag else None
        then = snapshots.at_commit(repo, commit) if commit else None
        if then and entry.path in then.files:
            found[entry.path] = Kept(then.files[entry.path], then)
    return found


def _raised(bases: Sequence[BookState], change: BookState) -> tuple[Finding, ...]:
    """Findings of drafts and staged exports that `[rules]` raised until they block, where no base had them."""
    books = [*(base.book for base in bases), change.book]
    raised = {rule for book in books for rule, level in book.rules.items() if level == "block"}
    if not raised:
        return ()
    had = [finding for base in bases for finding in draft_findings(base)]
    new = draft_findings(change)
    if raised & _OF_EXPORTS:
        there = change.snapshot.files
        fresh = {path for path in there if all(_other(base, path, there[path]) for base in bases)}
        had += [finding for base in bases for finding in (*_export_findings(base, fresh), *_number_findings(base))]
        new += _export_findings(change, fresh)
    known = {_value(finding) for finding in had}
    new = [finding for finding in new if _value(finding) not in known]
    return tuple(f for f in apply_rules(new, *(book.rules for book in books)) if f.blocks)


def _other(base: BookState, path: str, file: FileAt) -> bool:
    """Whether a file is another than a base has under this name."""
    return path not in base.snapshot.files or base.snapshot.files[path].oid != file.oid


def _export_findings(state: BookState, paths: set[str]) -> tuple[Finding, ...]:
    """What the rules of exports have to say of these files, and of no other."""
    from ledger.judge.exports.judged import judge_exports

    return judge_exports(state, state.snapshot.read, paths=paths)


def _number_findings(state: BookState) -> Iterator[Finding]:
    """What is to be said of the numbers of all exports, for which none has to be opened."""
    from ledger.judge.exports.page_rules import PassExports, holes, twice

    for pass_ in state.book.passes:
        if pass_.kind == "art":
            exports = PassExports(state, pass_, state.exports(pass_), frozenset())
            yield from (*twice(exports), *holes(exports))


def _value(finding: Finding) -> tuple[object, ...]:
    """A finding without the line it stands on."""
    return finding.rule, finding.message, finding.path, finding.page, finding.panel, finding.scene


def draft_findings(state: BookState) -> list[Finding]:
    """What the script rules have to say of every draft."""
    from ledger.judge.draft import judge_draft

    texts = [pass_ for pass_ in state.book.passes if pass_.kind == "text"]
    return [finding for pass_ in texts for finding in judge_draft(state.draft(pass_.name), state.book)]
