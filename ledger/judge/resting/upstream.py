"""What a page rests on, and what of that has changed since."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.judge.resting.made_from import AND, Sources
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing
from ledger.model.pages import label_order, page_numbers
from ledger.model.snapshot import FileAt, Store
from ledger.pictures.verdicts import Seen
from ledger.read.patterns import label_of

if TYPE_CHECKING:
    from ledger.pictures.assistants import Job
    from ledger.pictures.verdicts import Verdict
    from ledger.read.state import BookState


@dataclass(frozen=True, slots=True)
class Resting:
    """What a page's picture rests on: upstream pass -> content, and the rounds of `basis`.

    `since` names the round that first held this very picture, where a newer one entered the page again and wrote
    down other content for it. `picture` is the object id of the picture entered.
    """

    made: Mapping[str, str]
    basis: Mapping[str, str]
    since: str | None = None
    picture: str | None = None


@dataclass(frozen=True, slots=True)
class Ground:
    """One reason for which a page may be stale.

    `kind` is "words" (only words were reworded), "script" (anything else of a script page), "gone" (nothing is there
    any more), or what became of the upstream picture ("touch-up", "redrawn", "layout", "lost" where it can't be had).
    `panels` are the panels of that picture that changed, where several were told apart.
    """

    upstream: Pass
    kind: str
    then: str
    now: str | None
    basis: str
    panels: tuple[int, ...] = ()


def is_stale(pass_: Pass, reasons: Sequence[Ground]) -> bool:
    """Whether these grounds make a page of this pass stale: reworded balloons only where the pass locks wording."""
    return any(each.kind != "words" or "wording" in pass_.locks for each in reasons)


def grounds(sources: Sources, pass_: Pass) -> dict[str, tuple[Resting, tuple[Ground, ...]]]:
    """Page label -> what the page rests on and what of that has changed, for the pages of a pass that have any.

    A page entered as standing (`--stands`) rests on what was there then. Pages that no entry says anything about are
    left out, and so are those whose export is gone.
    """
    found = {}
    for label, resting in _all_resting(sources.state, pass_):
        reasons = tuple(_grounds(sources, pass_, label, resting))
        if reasons:
            found[label] = (resting, reasons)
    return found


def _all_resting(state: BookState, pass_: Pass) -> Iterator[tuple[str, Resting]]:
    """Every page of a pass that is there, with what it rests on, in page order."""
    if pass_.kind != "art" or not pass_.comes_from:
        return
    mine = [entry for entry in state.entries if isinstance(entry, Round) and entry.pass_name == pass_.name]
    rounds = [(entry, pictures_in(entry, pass_)) for entry in sorted(mine, key=lambda entry: entry.number)]
    for label in sorted(state.exports(pass_), key=label_order) if rounds else ():
        resting = _resting_on(rounds, label)
        if resting:
            yield label, resting


def look_ahead(sources: Sources, passes: Iterable[Pass]) -> None:
    """Has every picture looked at that pages of these passes rest on and that is another one now, two at a time."""
    unknown = {}
    for pass_ in passes:
        for label, resting in _all_resting(sources.state, pass_):
            for oid, file in _changed_under(sources, pass_, label, resting):
                key = _key(sources, oid, file)
                if key is not None and key not in sources.kinds:
                    unknown[key] = (oid, file)
    if len(unknown) < 2:
        return
    from ledger.pictures.assistants import done

    sent: list[tuple[str, str]] = []
    for number, seen in done(_pairs(sources, unknown, sent)):
        if isinstance(seen, Seen) and seen.verdict is not None:
            sources.kinds[sent[number]] = _written(seen.verdict)
        else:
            sources.lost.add(sent[number])


def _pairs(
    sources: Sources, unknown: Mapping[tuple[str, str], tuple[str, FileAt]], sent: list[tuple[str, str]]
) -> Iterator[Job]:
    """A job a pair whose bytes are here; these are put down in `sent`."""
    from ledger.pictures.looking import pair

    store, rtl = sources.state.snapshot.store, sources.state.book.reading == "rtl"
    for key, (oid, file) in unknown.items():
        try:
            both = store.blob(oid), store.read(file)
        except (ContentMissing, OSError):
            continue
        sent.append(key)
        yield pair, (*both, rtl)


def _changed_under(sources: Sources, pass_: Pass, label: str, resting: Resting) -> Iterator[tuple[str, FileAt]]:
    """Object id then and file now of the upstream pictures that are not what a page rests on."""
    for name in pass_.comes_from:
        upstream, then = sources.state.book.pass_named(name), resting.made.get(name)
        if upstream is None or then is None or upstream.kind != "art" or sources.content(upstream, label) == then:
            continue
        files, held = sources.pictures(upstream, label), then.split(AND)
        if len(files) == len(held):
            yield from ((oid, file) for oid, file in zip(held, files, strict=True) if sources.known(file) != oid)


def pictures_in(entry: Round, pass_: Pass) -> dict[str, str]:
    """Page label -> object id of its picture, as a round of this pass held it."""
    return {label: oid for path, oid in entry.files.items() if oid and (label := label_of(path, pass_))}


def content_in(sources: Sources, upstream: Pass, entry: Round, label: str) -> str | None:
    """What a round of an upstream pass had for a page: a fingerprint or object ids, None for nothing."""
    if upstream.kind == "text":
        return sources.prints_then(entry.name).of(label)
    pictures = pictures_in(entry, upstream)
    if label in pictures:
        return pictures[label]
    numbers = set(page_numbers(label))
    halves = [each for each in sorted(pictures, key=label_order) if numbers & set(page_numbers(each))]
    return AND.join(pictures[each] for each in halves) or None


def round_now(sources: Sources, upstream: Pass, label: str) -> str | None:
    """The newest round of an upstream pass, where it has for a page what is there now; None where that is in none."""
    newest, as_entered = sources.newest(upstream)
    if newest is None or as_entered:
        return newest.name if newest else None
    return newest.name if content_in(sources, upstream, newest, label) == sources.content(upstream, label) else None


def _resting_on(rounds: Sequence[tuple[Round, Mapping[str, str]]], label: str) -> Resting | None:
    """What a page rests on, from the pass's rounds, oldest first; None where none of them says.

    An entry writes down what was there when it was made. A picture that an earlier round held already was not drawn
    from that, so it rests on what the earlier round wrote, unless somebody looked at it and let it stand.
    """
    found: Resting | None = None
    picture: str | None = None
    for entry, held in reversed(rounds):
        if found is not None and held.get(label) != picture:
            break
        if label not in entry.made_from:
            continue
        picture = held.get(label)
        found = _earlier(found, entry, label, picture)
        if entry.stands:
            break
    return found


def _earlier(known: Resting | None, entry: Round, label: str, picture: str | None) -> Resting:
    """What a page rests on by one entry, over what a later entry of the same picture says."""
    mine = entry.made_from[label]
    if known is None:
        return Resting(mine, entry.basis, None, picture)
    made = {**known.made, **mine}
    return Resting(made, {**known.basis, **entry.basis}, entry.name if made != known.made else known.since, picture)


def changed_since(sources: Sources, pass_: Pass, label: str, resting: Resting) -> tuple[Ground, ...]:
    """What has changed of what a page rests on, whether an entry says so or a list that went out with pages."""
    return tuple(_grounds(sources, pass_, label, resting))


def _grounds(sources: Sources, pass_: Pass, label: str, resting: Resting) -> Iterator[Ground]:
    for name in pass_.comes_from:
        upstream, then = sources.state.book.pass_named(name), resting.made.get(name)
        if upstream is None or then is None:
            continue
        now = sources.content(upstream, label)
        if now == then:
            continue
        drawn = upstream.kind == "art"
        kind, panels = _picture_kind(sources, upstream, label, then) if drawn else (script_kind(then, now), ())
        if kind != "same":
            yield Ground(upstream, kind, then, now, resting.basis.get(name, name), panels)


def script_kind(then: str, now: str | None) -> str:
    """What became of a script page by its fingerprints: "words", "script" or "gone"."""
    if now is None:
        return "gone"
    return "words" if then.partition("-")[0] == now.partition("-")[0] else "script"


def _picture_kind(sources: Sources, upstream: Pass, label: str, then: str) -> tuple[str, tuple[int, ...]]:
    """What became of the pictures a page was drawn from, of two the weightier; and the panels that changed."""
    files, held = sources.pictures(upstream, label), then.split(AND)
    if not files:
        return "gone", ()
    if len(files) != len(held):
        return "layout", ()
    told = [_became(sources, oid, file) for oid, file in zip(held, files, strict=True)]
    if len(told) == 1:
        return told[0]
    return weightiest({kind for kind, _ in told}), ()


def _became(sources: Sources, oid: str, file: FileAt) -> tuple[str, tuple[int, ...]]:
    if sources.known(file) == oid:
        return "same", ()
    key, rtl = _key(sources, oid, file), sources.state.book.reading == "rtl"
    if key is not None and key in sources.lost:
        return "lost", ()
    if key is not None and key in sources.kinds:
        return _read_kind(sources.kinds[key])
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import became

    store = sources.state.snapshot.store
    try:
        told = became(store.blob(oid), store.read(file), rtl=rtl)
    except (ContentMissing, Unreadable, OSError):
        return "lost", ()
    if key is not None:
        sources.kinds[key] = _written(told)
    return _read_kind(_written(told))


def _key(sources: Sources, oid: str, file: FileAt) -> tuple[str, str] | None:
    """What a pair goes by; panels are counted the way the book is read, so found the other way round it is another."""
    now = sources.known(file)
    return None if now is None else (oid, f"{now}{'<' if sources.state.book.reading == 'rtl' else ''}")


def _written(told: Verdict) -> str:
    """`redrawn:2,3`: what became of a picture and, where it has several panels, which of them changed."""
    panels = [str(box.index) for box in told.panels if box.changed] if len(told.panels) > 1 else []
    return ":".join([told.kind, *([",".join(panels)] if panels else [])])


def _read_kind(kept: str) -> tuple[str, tuple[int, ...]]:
    """`redrawn:2,3` as it is kept: what became of a picture, which panels changed; what is no number is left out."""
    kind, _, panels = kept.partition(":")
    return kind, tuple(int(each) for each in panels.split(",") if each.isascii() and each.isdigit() and len(each) < 4)


def picture_kind(store: Store, old: str, new: str) -> str:
    """What became of pictures by their object ids, as two entries name them."""
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import became

    if old.count(AND) != new.count(AND):
        return "layout"
    try:
        pairs = zip(old.split(AND), new.split(AND), strict=True)
        return weightiest({became(store.blob(a), store.blob(b)).kind for a, b in pairs if a != b})
    except (ContentMissing, Unreadable):
        return "lost"


def weightiest(kinds: Set[str]) -> str:
    """Of what became of several pictures the one that matters most."""
    return next((kind for kind in ("lost", "layout", "redrawn", "touch-up") if kind in kinds), "same")
