"""What became of the place of every note, and which notes ask for a person (convention §5, Evidence)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from ledger.judge.notes.chains import settled
from ledger.judge.notes.history import Moment, NoteHistory
from ledger.judge.notes.one_spot import Row, Spot, with_neighbours
from ledger.judge.notes.pictures import Mark, Pictures, find_mark, follow_mark
from ledger.judge.notes.places import Place, find_place, find_places, said_at, told_apart
from ledger.judge.notes.trail import Trail
from ledger.model.note import MOST_CANDIDATES, STATES, Anchor, Followed, Note, NotesRound, Reply

TOUCHED = ("reworded", "redrawn", "cut")
#: What rests once somebody has seen it, until the place changes again.
RESTING = ("done-but-untouched", "stet-but-changed", "open-but-changed", "done-then-undone")


def follow_notes(rounds: Sequence[NotesRound], history: NoteHistory) -> list[Followed]:
    """Every note of these rounds with its place then and now, its evidence and its standing.

    `history` says what each round is about and gives the content of any round and of now. Evidence is a
    pointer for a person, never a verdict.
    """
    traced = [(each, _Traced(note, history.about(each), history)) for each in rounds for note in each.notes]
    return with_neighbours([Row(_told(each, note), note.now.spot, note.now.may_be) for each, note in traced])


def _told(round_: NotesRound, traced: _Traced) -> Followed:
    base = traced.base
    on = f"{base.pass_name}-{base.number}" if base else round_.on
    return traced.followed()._replace(reader=round_.reader, on=on)


@dataclass(frozen=True, slots=True)
class _Found:
    """A place at another moment and the contract's word for what became of it on the way.

    `may_be` are the places it may be at where nothing is left to know it by.
    """

    spot: Spot | None
    evidence: str
    may_be: tuple[Spot, ...] = ()

    @property
    def touched(self) -> bool:
        """Whether it changed; what can't be known again did."""
        return self.evidence in TOUCHED or bool(self.may_be)


_UNPLACED = _Found(None, "unplaced")


@dataclass(frozen=True)
class _Traced:
    """One note on its way from the round it was made on to the content now."""

    note: Note
    base: Moment | None
    history: NoteHistory

    def followed(self) -> Followed:
        then = self.then.told() if self.then else None
        now = self.now.spot.told() if self.now.spot else None
        words = tuple(said_at(spot) if isinstance(spot, Place) else "" for spot in (self.then, self.now.spot))
        return Followed(
            self.note, then, now, self.now.evidence, self.standing(), (), self.candidates(), words[0], words[1]
        )

    def candidates(self) -> tuple[str, ...]:
        """The places that the anchor may mean, where it means several, or that its place may be at now."""
        if self.now.may_be:
            return tuple(_spelled(self.now.may_be))[:MOST_CANDIDATES]
        if self.then is not None or self.home is None or self.history.drawn(self.home):
            return ()
        draft = self.history.draft(self.home)
        found = find_places(self.note.anchor, draft)[:MOST_CANDIDATES] if draft else ()
        return tuple(told_apart(found)) if len(found) > 1 else ()

    @cached_property
    def whole_book(self) -> bool:
        return not self.note.anchor.typed

    @cached_property
    def home(self) -> Moment | None:
        """The moment the place is looked up in: for words on a page picture the script it was drawn from."""
        anchor = self.note.anchor
        if self.base and (anchor.quote or anchor.scene or anchor.chapter) and self.history.drawn(self.base):
            return self.history.script_under(self.base)
        return self.base

    @cached_property
    def then(self) -> Spot | None:
        """The place on the note's own round."""
        return None if self.home is None else self.find(self.note.anchor, self.home)

    @cached_property
    def now(self) -> _Found:
        """The place now; where a reply says where to look, that place."""
        if self.whole_book:
            return _Found(None, "untouched")
        if self.then is None or self.home is None:
            return _UNPLACED
        own = self.follow(self.then, self.home, self.home.now)
        there = None if own.evidence in TOUCHED else self._pointed_at
        return there or own

    def find(self, anchor: Anchor, moment: Moment) -> Spot | None:
        if self.history.drawn(moment):
            pictures = self.history.pictures(moment)
            return find_mark(anchor, pictures) if pictures else None
        draft = self.history.draft(moment)
        return find_place(anchor, draft) if draft else None

    def follow(self, spot: Spot, start: Moment, end: Moment) -> _Found:
        """What became of a place between two moments of its pass."""
        if isinstance(spot, Mark):
            old, new = self.history.pictures(start), self.history.pictures(end)
            if new and not new.files and not self.history.is_there(start):
                return _UNPLACED  # The pictures were not begun when the content asked about was recorded.
            between = [found for each in self.history.between(start, end) if (found := self.history.pictures(each))]
            return _pictured(spot, old, new, between) if old and new else _UNPLACED
        if self.history.draft(end) is None:
            return _UNPLACED
        way = self.history.way(start, end)
        trail = way.follow(spot) if way else Trail(spot)
        if way and self.history.between(start, end):
            trail = settled(spot, trail, self.history.chain(spot, start, end), way)
        return _Found(trail.place, trail.evidence, trail.may_be)

    # -- standing

    def standing(self) -> tuple[str, ...]:
        """What asks for a person, apart from what stands beside other notes."""
        if self.note.state == "query":
            return ("query-unanswered",)
        if self.whole_book or self.now is _UNPLACED or self.now.evidence == "unplaced":
            return ()
        asked = {"open": self._open, "done": self._done, "stet": self._stet}.get(self.note.state)
        word = asked() if asked else None
        return (word,) if word and not (word in RESTING and self._seen()) else ()

    def _open(self) -> str | None:
        return "open-but-changed" if self.now.touched else None

    def _done(self) -> str | None:
        if self.now.touched or self.note.of_a_proof:
            return None
        return "done-then-undone" if self._touched_once() else "done-but-untouched"

    def _touched_once(self) -> bool:
        """Whether the place was changed in the round the reply names, else in any round since."""
        if self.then is None or self.home is None:
            return False
        named = self._named(self.deciding)
        if named and self.history.drawn(named) and not self.history.drawn(self.home):
            return self._drawn_in(named, self.then)
        if named and named.pass_name == self.home.pass_name:
            return self._touched_in(named)
        return any(self._touched_in(moment) for moment in self.history.since(self.home))

    def _touched_in(self, moment: Moment) -> bool:
        assert self.home is not None
        at = self._looks_at.typed if self._looks_at else ""
        question = "\n".join(["touched", self.note.anchor.typed, at])
        return self.history.once(question, [self.home, moment], lambda: self._looked_at(moment))

    def _looked_at(self, moment: Moment) -> bool:
        assert self.then is not None and self.home is not None
        if self.follow(self.then, self.home, moment).touched:
            return True
        spot = self.find(self._looks_at, moment) if self._looks_at else None
        return spot is not None and self.follow(spot, moment, self.home).touched

    def _stet(self) -> str | None:
        """A stet covers the words of the round it names, else of the note's own."""
        assert self.then is not None and self.home is not None
        named = self._named(self.deciding)
        if named is None or named.pass_name != self.home.pass_name:
            return "stet-but-changed" if self.now.touched else None
        return "stet-but-changed" if self._once("stet", named, lambda: self._changed_since(named)) else None

    def _changed_since(self, named: Moment) -> bool:
        """Whether the place changed since this round. Where that round has it no more, or nobody can say where, there
        is nothing that it could have let stand."""
        assert self.then is not None and self.home is not None
        covered = self.follow(self.then, self.home, named)
        return covered.spot is None or self.follow(covered.spot, named, self.home.now).touched

    def _once(self, about: str, named: Moment, answer: Callable[[], bool]) -> bool:
        """The answer to a question about the place in a round and now. For pictures the rounds between count too, and
        are not asked once for all time."""
        assert self.home is not None
        if isinstance(self.then, Mark):
            return answer()
        reply = self.deciding
        pointed = [reply.state or "", reply.where or "", reply.at.typed if reply.at else ""] if reply else []
        question = "\n".join([about, self.note.anchor.typed, *pointed])
        return self.history.once(question, [self.home, named, self.home.now], answer)

    def _seen(self) -> bool:
        """Whether somebody has seen it, and the place has not changed since."""
        if self.then is None or self.home is None:
            return False
        last = next(
            (reply for reply in reversed(self.note.replies) if reply.state in (*STATES, "answer", "seen")), None
        )
        if last is None or last.state != "seen" or self._to_come(last):
            return False
        named = self._named(last) or self.history.newest(self.home.pass_name)
        if named is None or named.pass_name != self.home.pass_name:
            return False
        return self._once("seen", named, lambda: self._rests_since(named))

    def _rests_since(self, named: Moment) -> bool:
        """Whether the place is as it was in this round."""
        assert self.then is not None and self.home is not None
        at_that_time = self.follow(self.then, self.home, named)
        if at_that_time.spot is None:
            return self.now.spot is None and not at_that_time.may_be
        return not self.follow(at_that_time.spot, named, self.home.now).touched

    # -- what a reply names

    @cached_property
    def deciding(self) -> Reply | None:
        """The reply that decides the state."""
        return next((reply for reply in reversed(self.note.replies) if reply.state in STATES), None)

    @cached_property
    def _looks_at(self) -> Anchor | None:
        """Where the deciding reply says to look, if the round it names is there yet."""
        return self.deciding.at if self.deciding and not self._to_come(self.deciding) else None

    def _to_come(self, reply: Reply) -> bool:
        """Whether a reply speaks of a round after those that are asked about."""
        return reply.where is not None and self.history.to_come(reply.where)

    def _named(self, reply: Reply | None) -> Moment | None:
        return self.history.moment(reply.where) if reply and reply.where else None

    @cached_property
    def _pointed_at(self) -> _Found | None:
        """The place where a `done` says to look, if that place changed since the note's round."""
        reply = self.deciding
        if self.note.state != "done" or reply is None or self.home is None or self._to_come(reply):
            return None
        named = self._named(reply)
        if named and self.history.drawn(named) and not self.history.drawn(self.home):
            return self._drawn_place(named)
        if reply.at is None or (named and named.pass_name != self.home.pass_name):
            return None
        moment = named or self.home.now
        spot = self.find(reply.at, moment)
        found = self.follow(spot, moment, self.home.now) if spot else None
        if found is None or found.spot is None:
            return None
        back = self.follow(found.spot, self.home.now, self.home)
        return _Found(found.spot, "redrawn" if isinstance(found.spot, Mark) else "reworded") if back.touched else None

    def _drawn_place(self, named: Moment) -> _Found | None:
        """A note on the script that was answered in a drawing."""
        if self.then is None or self.home is None or not self._drawn_in(named, self.then):
            return None
        own = self.follow(self.then, self.home, self.home.now)
        before, now = self.history.earlier(named), self.history.pictures(named.now)
        mark = self._mark(named, self.then)
        if mark is None or now is None:
            return None
        old = self.history.pictures(before) if before else None
        back = old is not None and mark.page in old.files and not _pictured(mark, old, now).touched
        return None if back else _Found(own.spot, "redrawn")

    def _drawn_in(self, named: Moment, then: Spot) -> bool:
        """Whether the page was drawn, or drawn anew, in this round of an art pass."""
        mark, pictures = self._mark(named, then), self.history.pictures(named)
        if mark is None or pictures is None:
            return False
        before = self.history.earlier(named)
        old = self.history.pictures(before) if before else None
        return old is None or mark.page not in old.files or _pictured(mark, old, pictures).touched

    def _mark(self, named: Moment, then: Spot) -> Mark | None:
        """The panel or page of a picture that the reply, else the note's place, points to."""
        reply, pictures = self.deciding, self.history.pictures(named)
        if pictures is None:
            return None
        if reply and reply.at:
            return find_mark(reply.at, pictures)
        drawn_from = self.history.script_under(named)
        if self.home and drawn_from and drawn_from.pass_name == self.home.pass_name:
            then = self.follow(then, self.home, drawn_from).spot or then
        return find_mark(Anchor(page=then.page, panel=then.panel), pictures)


def _spelled(spots: Sequence[Spot]) -> Iterable[str]:
    places = [spot for spot in spots if isinstance(spot, Place)]
    return told_apart(places) if places else (spot.told() or "" for spot in spots)


def _pictured(mark: Mark, old: Pictures, new: Pictures, between: Sequence[Pictures] = ()) -> _Found:
    now = follow_mark(mark, old, new, between)
    if now.may_be:
        return _Found(None, "unplaced", now.may_be)
    return _Found(now.place, "cut" if now.place is None else "redrawn" if now.redrawn else "untouched")
