"""What is closed: sign-offs in force, what later sign-offs took over, what reopenings let go."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time
from typing import NamedTuple

from ledger.model.entry import Alteration, Entry, Lock, Reopen
from ledger.model.pages import PageSet

#: By these ends a file that a sign-off names is known as text, whatever `book.toml` has come to say.
_TEXT_ENDS = (".md", ".txt")

#: Scopes that close action or watch the length of a line, beside the scope of its own that each rule has.
_CLOSED_BY = {"action": ("drawing", "wording"), "balloon": ("structure", "wording")}


class Closing(NamedTuple):
    """One sign-off in force.

    `later` are newer sign-offs of the same pass, which take over what they cover; `reopens` those that came after it;
    `slips` the alteration slips that came after it, in number order. `pages` are the closed pages by the numbers of
    the baseline, which slips may have moved.
    """

    lock: Lock
    pages: PageSet
    later: tuple[Lock, ...] = ()
    reopens: tuple[Reopen, ...] = ()
    slips: tuple[Alteration, ...] = ()

    @property
    def texts(self) -> dict[str, str]:
        """Path -> object id of the script as it was signed off."""
        return _texts_of(self.lock.files)

    @property
    def pictures(self) -> dict[str, str]:
        """Path -> object id of the pictures as they were signed off."""
        return {path: oid for path, oid in self.lock.files.items() if not is_text(path)}

    def closes(self, scope: str, label: str | None) -> bool:
        """Whether this sign-off holds a page for a scope; a newer sign-off of the pass may have taken it over."""
        if label not in self.pages:
            return False
        return any(self._holds(each, label) for each in _CLOSED_BY.get(scope, (scope,)))

    def _holds(self, scope: str, label: str | None) -> bool:
        taken_over = any(scope in lock.scopes and label in lock.page_set for lock in self.later)
        return scope in self.lock.scopes and not taken_over

    def opened_by(self, label: str | None) -> Reopen | None:
        """The reopening that lets a page go, or None."""
        return next((reopen for reopen in self.reopens if label in reopen.page_set), None)


#: Files of sign-offs met last, each with the texts among them: every judgement asks several times.
_MET: dict[int, tuple[Mapping[str, str], dict[str, str]]] = {}


def _texts_of(files: Mapping[str, str]) -> dict[str, str]:
    met = _MET.get(id(files))
    if met is None or met[0] is not files:
        if len(_MET) > 64:
            _MET.clear()
        met = _MET[id(files)] = files, {path: oid for path, oid in files.items() if is_text(path)}
    return met[1]


def is_text(path: str) -> bool:
    """Whether a file that a sign-off names is a draft and no picture."""
    return path.lower().endswith(_TEXT_ENDS)


def closings(entries: Iterable[Entry], reopens: Iterable[Entry]) -> tuple[Closing, ...]:
    """Every sign-off among the entries with what came after it, by pass and number.

    `reopens` are the entries whose reopenings are in force: one is not yet so in its own commit.
    """
    kept = [entry for entry in entries if isinstance(entry, (Lock, Alteration))]
    locks = sorted((e for e in kept if isinstance(e, Lock)), key=lambda e: (e.pass_name, e.number))
    slips = sorted((e for e in kept if isinstance(e, Alteration) and not isinstance(e, Reopen)), key=lambda e: e.number)
    opened = sorted((e for e in reopens if isinstance(e, Reopen)), key=lambda e: e.number)
    return tuple(
        Closing(
            lock,
            lock.page_set,
            tuple(other for other in locks if other.pass_name == lock.pass_name and other.number > lock.number),
            tuple(reopen for reopen in opened if _opens(reopen, lock, locks, opened)),
            tuple(slip for slip in slips if _follows(slip, lock, locks)),
        )
        for lock in locks
    )


def moment(entry: Entry) -> datetime:
    """When an entry was recorded; a stated day counts from its first minute in universal time."""
    when: date | datetime = entry.date
    if isinstance(when, datetime):
        return when if when.tzinfo else when.replace(tzinfo=UTC)
    return datetime.combine(when, time(), UTC)


def _follows(slip: Alteration, lock: Lock, locks: Sequence[Lock]) -> bool:
    """Whether a slip was written after a sign-off.

    Clocks of two machines may differ: a slip that is older than every sign-off follows them all, since without one
    there is nothing that a slip could admit.
    """
    when = moment(slip)
    return when >= moment(lock) or not any(moment(other) <= when for other in locks)


def _opens(reopen: Reopen, lock: Lock, locks: Sequence[Lock], reopens: Sequence[Reopen]) -> bool:
    """Whether a reopening came after a sign-off of its pass.

    Within one second the order is read from the numbers: the first sign-off of a pass stands before its first
    reopening, the second before the second.
    """
    if lock.pass_name not in reopen.passes:
        return False
    mine = [other for other in locks if other.pass_name == lock.pass_name]
    when = moment(reopen)
    if when == moment(lock):
        of_pass = [other for other in reopens if lock.pass_name in other.passes]
        return of_pass.index(reopen) >= mine.index(lock)
    return when > moment(lock) or not any(moment(other) <= when for other in mine)
