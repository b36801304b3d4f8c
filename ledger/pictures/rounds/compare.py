"""Two rounds of a pass in pictures: page by page what is there, gone, drawn anew or put in another page's place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ledger.model.change import PictureChange
from ledger.model.finding import Finding
from ledger.model.pages import label_order
from ledger.pictures.noted import mark_read, mark_written, set_name, verdict_read, verdict_written
from ledger.pictures.rounds.sides import Exports, NotHere, Reader, Side, one_each
from ledger.pictures.verdicts import Mark, Seen, Verdict

if TYPE_CHECKING:
    from ledger.pictures.assistants import Job

#: How many px of pages that did not change are looked through for a picture that turned up under another number.
#: Beyond it only their bytes are: a copy saved anew over another page is then called redrawn, not swapped.
LOOKED_THROUGH = 250_000_000


def compare_pictures(
    old: Exports,
    new: Exports,
    read_old: Reader,
    read_new: Reader,
    pass_name: str,
    *,
    across: bool = False,
    rtl: bool = False,
    memory: MutableMapping[str, str] | None = None,
) -> tuple[list[PictureChange], list[Finding]]:
    """What became of every page, in page order, and what could not be compared.

    `old` and `new` map page labels to exports (of several for one page the first counts); pages pair by label,
    whatever the suffix. Pages whose pictures are the same are left out. A page is swapped when its picture is what
    another page showed before; a page that had no picture before is added, whatever it shows. `across` is for two
    different passes, in which every line differs: only another layout is told. `rtl` is whether panels are read from
    right to left. `memory` holds what was found out before, by the ids of the files; what is found out is added.
    """
    findings: list[Finding] = []
    before = Side("old", one_each(old, findings), read_old, findings)
    after = Side("new", one_each(new, findings), read_new, findings)
    table = _Table(before, after, rtl, {} if memory is None else memory)
    paired = [label for label in before.files if label in after.files]
    told = table.told([(label, label) for label in paired], across=across)
    verdicts = {label: verdict for (label, _), verdict in told.items() if verdict.kind != "same"}
    if across:
        return _in_order(pass_name, verdicts), findings
    gone = [label for label in before.files if label not in after.files]
    kinds = {label: Verdict("missing") for label in gone}
    for label in after.files:
        if label not in before.files:
            after.readable(label)
            kinds[label] = Verdict("added")
    weighty = [label for label, verdict in verdicts.items() if verdict.kind != "touch-up"]
    swapped = {label: Verdict("swapped") for label in _swapped(table, weighty, gone)}
    return _in_order(pass_name, kinds | verdicts | swapped), findings


def _in_order(pass_name: str, kinds: Mapping[str, Verdict]) -> list[PictureChange]:
    changes = [PictureChange(pass_name, label, told.kind, told.panels) for label, told in kinds.items()]
    return sorted(changes, key=lambda change: label_order(change.page))


@dataclass
class _Table:
    """Both sides as they lie to be compared, and what is known of their pages."""

    before: Side
    after: Side
    rtl: bool
    memory: MutableMapping[str, str]
    marks: dict[str, Mark] = field(default_factory=dict)

    def told(self, pairs: Sequence[tuple[str, str]], *, across: bool = False) -> dict[tuple[str, str], Verdict]:
        """What became of pairs of an old and a new page, "same" too; those that can't be compared are left out."""
        verdicts: dict[tuple[str, str], Verdict] = {}
        unknown: list[tuple[str, str]] = []
        for both in pairs:
            try:
                known = self._known(both, across)
            except NotHere:
                continue
            if known:
                verdicts[both] = known
            else:
                unknown.append(both)
        if unknown:
            verdicts |= self._looked_at(unknown, across)
        return {both: verdicts[both] for both in pairs if both in verdicts}

    def _looked_at(self, pairs: Sequence[tuple[str, str]], across: bool) -> dict[tuple[str, str], Verdict]:
        """The same of pairs that must be looked at."""
        from ledger.pictures.assistants import Broken, done

        verdicts: dict[tuple[str, str], Verdict] = {}
        asked: list[tuple[str, str]] = []
        answers = dict(done(self._jobs(pairs, across, asked)))
        for number, both in enumerate(asked):
            seen = answers[number]
            if isinstance(seen, Broken):
                self._broken(both, seen.why)
            elif (verdict := self._noted(both, seen, across)) is not None:
                verdicts[both] = verdict
        return verdicts

    def _jobs(self, pairs: Iterable[tuple[str, str]], across: bool, asked: list[tuple[str, str]]) -> Iterator[Job]:
        """A job a pair whose bytes are here; these are put down in `asked`."""
        from ledger.pictures.looking import pair, passes

        for both in pairs:
            try:
                facts = (self.before.bytes(both[0]), self.after.bytes(both[1]), self.rtl)
            except NotHere:
                continue
            asked.append(both)
            yield (passes if across else pair), facts

    def _known(self, both: tuple[str, str], across: bool) -> Verdict | None:
        keys = self._keys(both)
        if keys[0] == keys[1]:
            return Verdict("same")
        return verdict_read(self.memory.get(set_name("passes" if across else "pair", *keys, self.rtl)))

    def _keys(self, both: tuple[str, str]) -> tuple[str, str]:
        """The ids of both; both are read, so that neither fault goes unsaid."""
        keys = []
        for side, label in zip((self.before, self.after), both, strict=True):
            try:
                keys.append(side.key(label))
            except NotHere:
                continue
        if len(keys) < 2:
            raise NotHere
        return keys[0], keys[1]

    def _noted(self, both: tuple[str, str], seen: Seen, across: bool) -> Verdict | None:
        """Keeps what was seen of a pair; None where either can't be read, which is said."""
        sides = tuple(zip((self.before, self.after), both, (seen.old_fault, seen.new_fault), strict=True))
        for side, label, fault in sides:
            if fault is not None:
                side.lose(label, fault)
        keys = self._keys(both) if seen.verdict is not None else None
        if keys is None or seen.verdict is None:
            return None
        for key, noted in zip(keys, (seen.old, seen.new), strict=True):
            if noted is not None:
                self.marks[key] = noted
                self.memory[set_name("mark", key)] = mark_written(noted)
        self.memory[set_name("passes" if across else "pair", *keys, self.rtl)] = verdict_written(seen.verdict)
        return seen.verdict

    def _broken(self, both: tuple[str, str], why: str) -> None:
        """Finds out which of a pair breaks what looks at it."""
        from ledger.pictures.assistants import Broken, one
        from ledger.pictures.looking import readable

        fine = True
        for side, label in zip((self.before, self.after), both, strict=True):
            answer = one(readable, side.bytes(label))
            reason = answer.why if isinstance(answer, Broken) else answer
            if reason is not None:
                fine = False
                side.lose(label, reason)
        if fine:
            self.after.lose(both[1], why)

    def marked(self, side: Side, labels: Iterable[str]) -> list[tuple[str, Mark]]:
        """What pages are known again by; those that can't be read are left out."""
        keys: dict[str, str] = {}
        for label in labels:
            try:
                keys[label] = side.key(label)
            except NotHere:
                continue
        for key in keys.values():
            known = mark_read(self.memory.get(set_name("mark", key))) if key not in self.marks else None
            if known is not None:
                self.marks[key] = known
        missing = [label for label, key in keys.items() if key not in self.marks]
        if missing:
            from ledger.pictures.assistants import done

            for number, answer in done(self._to_mark(side, missing)):
                if isinstance(answer, Mark):
                    key = keys[missing[number]]
                    self.marks[key] = answer
                    self.memory[set_name("mark", key)] = mark_written(answer)
        return [(label, self.marks[key]) for label, key in keys.items() if key in self.marks]

    def _to_mark(self, side: Side, labels: Iterable[str]) -> Iterator[Job]:
        from ledger.pictures.looking import mark

        for label in labels:
            try:
                data = side.bytes(label)
            except NotHere:
                data = b""
            yield mark, (data,)


def _swapped(table: _Table, changed: Sequence[str], gone: Sequence[str]) -> list[str]:
    """Of the changed pages those whose picture is another page's old one; an empty page is nobody's."""
    if not changed:
        return []
    by_key = {table.before.key(label) for label in _there(table.before)}
    name = set_name("swapped", *sorted(by_key), "now", *(table.after.key(label) for label in changed), table.rtl)
    known = table.memory.get(name)
    if known is not None:
        numbers = {int(each) for each in known.split(",") if each.isdecimal()}
        return [label for n, label in enumerate(changed) if n in numbers]
    found = _found_elsewhere(table, changed, gone, by_key)
    table.memory[name] = ",".join(str(n) for n, label in enumerate(changed) if label in found) or "none"
    return [label for label in changed if label in found]


def _found_elsewhere(table: _Table, changed: Sequence[str], gone: Sequence[str], by_key: set[str]) -> set[str]:
    from ledger.pictures.assistants import Broken, one
    from ledger.pictures.looking import alike

    asked = [each for each in table.marked(table.after, changed) if each[1].thumb]
    copied = {label for label, _ in asked if table.after.key(label) in by_key}
    rest = [each for each in asked if each[0] not in copied]
    if not rest:
        return copied
    marks = table.marked(table.before, _candidates(table, [*changed, *gone]))
    likely = one(alike, marks, rest)
    if isinstance(likely, Broken):
        return copied
    pairs = [(other, label) for label, others in likely.items() for other in others]
    return copied | {label for (_, label), verdict in table.told(pairs).items() if verdict.kind == "same"}


def _there(side: Side) -> list[str]:
    """Pages whose bytes can be told apart."""
    there = []
    for label in side.files:
        try:
            side.key(label)
        except NotHere:
            continue
        there.append(label)
    return there


def _candidates(table: _Table, first: Sequence[str]) -> list[str]:
    """Old pages whose pixels are looked at: those that changed or went, the others too where that costs little."""
    side, chosen, total = table.before, set(first), 0
    others = [label for label in _there(side) if label not in chosen]
    for label in others:
        if side.key(label) not in table.marks and set_name("mark", side.key(label)) not in table.memory:
            total += side.pixels(label)
        if total > LOOKED_THROUGH:
            return list(first)
    return [*first, *others]
