"""Rules of the ledger itself: entries are written once, what was agreed is not loosened by the way."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from ledger.judge.levels import level_under, rank
from ledger.model.book import Book, Limits, Pass
from ledger.model.entry import Entry, Lock
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.finding import RULE_NAMES, Finding
from ledger.model.snapshot import FileAt, Snapshot, Store
from ledger.read.entries import entry_name, read_entry
from ledger.read.state import BookState

_NUMBER_LINE = re.compile(rb"^((?:round|number)[ \t]*=[ \t]*)\d+", re.MULTILINE)
_FROM_NOW_ON = "fine if it was meant; it counts from the next change on"
#: What a rule is where `[rules]` says nothing; those that block by themselves are never lowered.
_UNSAID = "query"
_PUT_BACK = "entries are written once; put it back as it was recorded: git restore --source=HEAD --staged --worktree {}"


class Kept(NamedTuple):
    """An entry's file as it was recorded, and the snapshot that holds it."""

    file: FileAt
    snapshot: Snapshot

    def read(self) -> bytes:
        """Its bytes. Raises ContentMissing."""
        return self.snapshot.store.read(self.file)

    def same_as(self, other: Kept) -> bool:
        """Whether two files hold the same bytes; ids settle it where both are known."""
        if self.file.regular != other.file.regular:
            return False
        if self.file.oid is not None and other.file.oid is not None:
            return self.file.oid == other.file.oid
        return self.read() == other.read()


def entry_files(state: BookState) -> dict[str, Kept]:
    """Every file of a state that is an entry by its name, readable or not."""
    snapshot, files = state.snapshot, state.snapshot.files
    return {path: Kept(files[path], snapshot) for path in state.entry_paths()}


def entries_stand(base: BookState, now: BookState) -> bool:
    """Whether it can be seen at a glance, by the ids alone, that every entry of a base is as it was."""
    paths = base.entry_paths()
    files = [base.snapshot.files[path] for path in paths]
    return files == list(map(now.snapshot.files.get, paths)) and all(file.oid is not None for file in files)


def entry_findings(
    bases: Sequence[Mapping[str, Kept]], kept: Mapping[str, Kept], now: Mapping[str, Kept]
) -> Iterator[Finding]:
    """Entries that are not as they were recorded: `bases` is what each parent holds.

    `kept` are entries as they were first recorded, where a parent holds them no more: putting one back is free.
    """
    seen: set[tuple[str, str | None]] = set()
    for base in ({**each, **kept} for each in bases or [{}]):
        for path, entry in base.items():
            there = now.get(path)
            if there is not None and there.file == entry.file and entry.file.oid is not None:
                continue
            if (path, entry.file.oid) in seen or _stands(entry, there) or _renumbered(entry, path, bases, now):
                continue
            seen.add((path, entry.file.oid))
            yield _told(path, entry, [] if path in kept else bases, now)


def _stands(kept: Kept, there: Kept | None) -> bool:
    return there is not None and kept.same_as(there)


def _told(path: str, kept: Kept, bases: Sequence[Mapping[str, Kept]], now: Mapping[str, Kept]) -> Finding:
    name = path.removeprefix("ledger/").removesuffix(".toml")
    there = now.get(path)
    if there is None:
        return Finding("entry-removed", "block", f"the entry {name} was taken out of the ledger", path,
                       remedy=_PUT_BACK.format(path))  # fmt: skip
    if any(path in base and not base[path].same_as(kept) and base[path].same_as(there) for base in bases):
        return Finding(
            "number-taken", "block", f"both sides of this merge have an entry {name}, and only one of them was kept",
            path, remedy="give the other the next free number: inkledger doctor --renumber",
        )  # fmt: skip
    return Finding("entry-changed", "block", f"the entry {name} is not as it was recorded", path,
                   remedy=_PUT_BACK.format(path))  # fmt: skip


def _renumbered(kept: Kept, path: str, bases: Sequence[Mapping[str, Kept]], now: Mapping[str, Kept]) -> bool:
    """Whether a merge keeps an entry, whose number both sides took, under a free number: the bytes else the same."""
    named = entry_name(path)
    if named is None or not kept.file.regular or sum(path in base for base in bases) < 2:
        return False
    bare = _NUMBER_LINE.sub(rb"\1?", kept.read(), count=1)
    for other, there in now.items():
        new = entry_name(other)
        if new is None or new[:2] != named[:2] or not there.file.regular or any(other in base for base in bases):
            continue
        if _NUMBER_LINE.sub(rb"\1?", there.read(), count=1) == bare:
            return True
    return False


def renumbered(gone: FileAt, held: Iterable[FileAt], store: Store) -> bool:
    """Whether an entry stands under another number among `held`, its bytes else the same. Raises ContentMissing."""
    named = entry_name(gone.path)
    if not gone.regular:
        return False
    bare = _NUMBER_LINE.sub(rb"\1?", store.read(gone), count=1)
    plain = [file for file in held if file.regular]
    others = (file for file in plain if (new := entry_name(file.path)) and named and new[:2] == named[:2])
    return any(_NUMBER_LINE.sub(rb"\1?", store.read(file), count=1) == bare for file in others)


def tag_findings(moved: Iterable[tuple[str, str]]) -> list[Finding]:
    """Findings for moved tags, from (tag, path of the entry)."""
    return [
        Finding("tag-moved", "block", f"the tag {tag} stands on a commit that does not hold its entry", path,
                remedy=f"take it away, then have it made again: git tag -d {tag}, inkledger doctor")
        for tag, path in moved
    ]  # fmt: skip


def book_gone(bases: Sequence[BookState]) -> tuple[Finding, ...]:
    """A book that has signed-off pages keeps its `book.toml`: without it no door would know it for a book."""
    signed = [entry.name for base in bases for entry in base.entries if isinstance(entry, Lock)]
    if not signed:
        return ()
    message = f"book.toml would be gone, and {' and '.join(dict.fromkeys(signed))} could not be held any more"
    way = "put it back: git restore --staged --worktree -- book.toml"
    return (Finding("lock-loosened", "block", message, "book.toml", remedy=way),)


def loosened(bases: Sequence[Book], change: Book, locks: Sequence[Lock]) -> Iterator[Finding]:
    """What `book.toml` now says less strictly than it did; the stricter holds for this change."""
    for base in bases:
        yield from _locks_loosened(base, change, locks)
        yield from _rules_loosened(base, change)
        if locks:
            yield from _limits_loosened(base.limits, change.limits)


def _locks_loosened(base: Book, change: Book, locks: Sequence[Lock]) -> Iterator[Finding]:
    signed = {lock.pass_name for lock in locks}
    scripts = {script.name for name in signed if (script := base.script_of(name))}
    for pass_ in (p for p in base.passes if p.name in signed | scripts):
        told = _loosened(pass_, change.pass_named(pass_.name))
        if told:
            yield Finding(
                "lock-loosened", "query", f"{told}; what was signed off stays closed all the same", "book.toml",
                remedy=f"to open pages: inkledger reopen {pass_.name} --pages ... --reason ...",
            )  # fmt: skip


def _loosened(before: Pass, now: Pass | None) -> str | None:
    """What became less strict about a pass whose pages are closed."""
    if now is None:
        return f"the pass {before.name!r} is closed and no longer in book.toml"
    gone = [scope for scope in before.locks if scope not in now.locks]
    if gone:
        return f"the pass {before.name!r} no longer locks {' and '.join(gone)}"
    if before.files != now.files:
        return f"the files of the closed pass {before.name!r} are other ones in book.toml now"
    return None


def _rules_loosened(base: Book, change: Book) -> Iterator[Finding]:
    for rule in sorted((set(base.rules) | set(change.rules)) & RULE_NAMES):
        before, after = (level_under(rule, book.rules) or _UNSAID for book in (base, change))
        if rank(after) < rank(before):
            told = f"[rules] says {after!r} of {rule} now, it said {before!r}"
            if after == _UNSAID:
                told = f"[rules] no longer says that {rule} is {before!r}"
            yield Finding("rules-loosened", "query", f"{told}; for this change it still is", "book.toml",
                          remedy=_FROM_NOW_ON)  # fmt: skip


def _limits_loosened(base: Limits, change: Limits) -> Iterator[Finding]:
    for name in Limits._fields:
        before, after = getattr(base, name), getattr(change, name)
        if before is not None and after is not None and after > before:
            yield Finding(
                "rules-loosened", "query", f"[limits] {name} went from {before} to {after} after a sign-off; for this"
                " change the stricter one holds", "book.toml", remedy=_FROM_NOW_ON,
            )  # fmt: skip


def carried_values(kept: Mapping[str, Kept]) -> list[Entry]:
    """Entries as they were first recorded, read; one that never could be read says nothing."""
    found = []
    for path, each in kept.items():
        try:
            found.append(read_entry(path, each.read()))
        except Refusal:
            continue
    return found


def carried_entries(
    states: Sequence[BookState], carried: Sequence[Entry], change: BookState
) -> tuple[list[Entry], list[Entry]]:
    """The entries in force for a change: (those recorded before it, those it adds).

    An entry that was edited counts as it was first recorded. Of two sides of a merge both count.
    """
    first = {entry.path for entry in carried}
    recorded = list(carried)
    if len(states) == 1 and not carried:
        recorded = list(states[0].entries)
        states = ()
    known: dict[str, list[Entry]] = {}
    for entry in (entry for state in states for entry in state.entries if entry.path not in first):
        alike = known.setdefault(entry.path, [])
        if entry not in alike:
            alike.append(entry)
            recorded.append(entry)
    paths = {entry.path for entry in recorded}
    return recorded, [entry for entry in change.entries if entry.path not in paths]


def missing_text(lock: Lock, fault: ContentMissing) -> Finding:
    """The signed-off script is not on this machine, so nothing can be held against it."""
    return Finding(
        "export-unreadable", "query",
        f"the script as {lock.name} signed it is not here ({fault.why}), so it was not compared",
        remedy="fetch it, then run this again: git fetch",
    )  # fmt: skip
