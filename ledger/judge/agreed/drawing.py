"""Drawing: the pictures of a signed-off pass, compared by the pixels that are seen."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, MutableMapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ledger.judge.agreed.closed import Closing, is_text
from ledger.judge.agreed.differences import Difference, page_words
from ledger.model.book import Book, Pass
from ledger.model.errors import ContentMissing
from ledger.model.pages import page_label
from ledger.model.snapshot import FileAt, Snapshot, Store
from ledger.read.patterns import among, label_of

if TYPE_CHECKING:
    from ledger.pictures.assistants import Job
    from ledger.pictures.verdicts import Against, Verdict

#: The mode of most files, known at a glance.
_USUAL = "100644"
_NUMBER = re.compile(r"p?\d+(?:-p?\d+)?\Z|[fb]\d+\Z|cover\Z")


class Wall(NamedTuple):
    """The pictures of one pass as they were agreed (path -> object id, "" for none) and as they are.

    `books` are the books whose patterns say which page a file stands for, the older first. `must_be_here` is whether
    content that is not on this machine blocks; `looked_at` gives what was found out about pictures before.
    """

    closing: Closing
    agreed: Mapping[str, str]
    now: Snapshot
    content: Store
    books: Sequence[Book]
    must_be_here: bool = False
    looked_at: Callable[[], MutableMapping[str, str]] = dict

    @property
    def rtl(self) -> bool:
        """Whether panels are counted from right to left."""
        return any(book.reading == "rtl" for book in self.books[:1])

    @property
    def passes(self) -> tuple[Pass, ...]:
        """What the books say of the pass, the older first, each once."""
        found = (book.pass_named(self.closing.lock.pass_name) for book in self.books)
        return tuple(dict.fromkeys(pass_ for pass_ in found if pass_ and pass_.kind == "art"))

    def label(self, path: str, passes: Sequence[Pass] | None = None) -> str | None:
        """The page that a file of the pass stands for."""
        for pass_ in self.passes if passes is None else passes:
            label = label_of(path, pass_)
            if label is not None:
                return label
        return None

    def page_of(self, path: str) -> str | None:
        """As `label`; a file that no pattern knows any more is known by its own name."""
        stem = path.rpartition("/")[2].rpartition(".")[0]
        found = _NUMBER.search(stem)
        return self.label(path) or (page_label(found[0]) if found else None)


def agreed_pictures(closing: Closing, books: Sequence[Book]) -> dict[str, str]:
    """Path -> object id of a sign-off's pictures, the slips after it in number order laid over them."""
    agreed = closing.pictures
    named = Wall(closing, agreed, Snapshot("", {}, _Nothing()), _Nothing(), books)
    for slip in closing.slips:
        if "drawing" not in slip.scopes:
            continue
        for path, oid in slip.files.items():
            mine = path in agreed or named.label(path) is not None
            if not is_text(path) and mine and named.page_of(path) in slip.page_set:
                agreed[path] = oid
    return agreed


def drawing_differences(wall: Wall) -> list[Difference]:
    """What differs in the pictures of a pass signed off for drawing."""
    if "drawing" not in wall.closing.lock.scopes:
        return []
    changed = list(_not_as_agreed(wall))
    held = _held_against(wall, changed)
    found = [each for path in changed for each in _changed(wall, path, held)]
    return found + list(_added(wall))


def _held_against(wall: Wall, changed: Sequence[str]) -> dict[str, Against | None]:
    """Every changed picture that can be read held against the one agreed, two at a time; None where either can't.

    What was found out before is not looked at again.
    """
    there = [path for path in changed if path in wall.now.files and wall.now.files[path].regular]
    if not there:
        return {}
    from ledger.pictures.assistants import done
    from ledger.pictures.noted import against_read, against_written
    from ledger.pictures.verdicts import Against

    names, known = {path: _name(wall, path) for path in there}, wall.looked_at()
    held = {path: against_read(known.get(name)) if name else None for path, name in names.items()}
    sent: list[str] = []
    unknown = [path for path in there if held[path] is None]
    for number, answer in done(_pairs(wall, unknown, sent)) if unknown else ():
        if isinstance(answer, Against):
            path = sent[number]
            held[path] = answer
            if name := names[path]:
                known[name] = against_written(answer)
    return held


def _pairs(wall: Wall, paths: Sequence[str], sent: list[str]) -> Iterator[Job]:
    """A job a pair whose bytes are here; these are put down in `sent`."""
    from ledger.pictures.looking import against

    for path in paths:
        try:
            both = wall.content.blob(wall.agreed[path]), wall.now.store.read(wall.now.files[path])
        except (ContentMissing, OSError):
            continue
        sent.append(path)
        yield against, (*both, wall.rtl)


def _name(wall: Wall, path: str) -> str | None:
    """What a pair is kept under; None where git has no id for the picture as it is."""
    from ledger.judge.resting.made_from import blob_id, form_of
    from ledger.pictures.noted import set_name

    file, agreed = wall.now.files[path], wall.agreed[path]
    try:
        now = file.oid or blob_id(wall.now.store.read(file), form_of(agreed))
    except (ContentMissing, OSError):
        return None
    return set_name("signed", agreed, now, wall.rtl)


def _not_as_agreed(wall: Wall) -> Iterator[str]:
    """The paths at which the agreed picture lies no more."""
    files = wall.now.files
    for path, oid in wall.agreed.items():
        file = files.get(path)
        if oid and (file is None or file.oid != oid or (file.mode != _USUAL and not file.regular)):
            yield path


def _added(wall: Wall) -> Iterator[Difference]:
    passes = wall.passes
    found = {path for pass_ in passes for path in among(wall.now.files, pass_)}
    found |= {path for path, oid in wall.agreed.items() if not oid and path in wall.now.files}
    for path in sorted(found - {path for path, oid in wall.agreed.items() if oid}):
        label = wall.label(path, passes)
        if label is not None or path in wall.agreed:
            file, page = wall.now.files[path], label or wall.page_of(path)
            yield _of("export-added", wall, path, f"a picture of {page_words(page)} was added", file.oid or "")


def _changed(wall: Wall, path: str, held: Mapping[str, Against | None]) -> Iterator[Difference]:
    """What is to be said of one picture whose file is not the one agreed."""
    file, agreed = wall.now.files.get(path), wall.agreed[path]
    on = page_words(wall.page_of(path))
    if file is None:
        yield _of("export-missing", wall, path, f"the signed-off picture of {on} is gone", "")
        return
    if not file.regular:
        message = f"in place of the picture of {on} there is {file.instead}"
        yield _of("export-unreadable", wall, path, message, file.mode)
        return
    found = held.get(path)
    if found is not None:
        yield from _told(wall, path, found, held)
        return
    try:
        now = wall.now.store.read(file)
        then = wall.content.blob(agreed)
    except ContentMissing as gone:
        level = "block" if wall.must_be_here else "query"
        message = f"the picture of {on} has changed, but its content is not here ({gone.why})"
        yield _of("export-unreadable", wall, path, message, file.oid or "", level)
        return
    yield from _unread(wall, path, (then, now), held)


def _told(wall: Wall, path: str, found: Against, held: Mapping[str, Against | None]) -> Iterator[Difference]:
    """What is to be said of a picture that was held against the one agreed; of equal pixels nothing."""
    if found.verdict is not None:
        yield _swapped(wall, path, found.shown, held) or _redrawn(wall, path, found.verdict, found.shown)


def _unread(
    wall: Wall, path: str, pictures: tuple[bytes, bytes], held: Mapping[str, Against | None]
) -> Iterator[Difference]:
    """The same where one of both can't be read."""
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import digest

    then, now = pictures
    on = page_words(wall.page_of(path))
    try:
        seen = digest(now)
    except Unreadable as fault:
        yield _of("export-unreadable", wall, path, f"the picture of {on} can't be read: {fault}", "unreadable")
        return
    try:
        differs = seen != digest(then)
    except Unreadable:
        differs = then != now
    if differs:
        message = f"the picture of {on} is not the one signed off"
        yield _swapped(wall, path, seen, held) or _of("panel-redrawn", wall, path, message, seen)


def _swapped(wall: Wall, path: str, seen: str, held: Mapping[str, Against | None]) -> Difference | None:
    other = _is_of(wall, path, seen, held)
    if other is None:
        return None
    on, whose = page_words(wall.page_of(path)), page_words(wall.page_of(other))
    return _of("page-swapped", wall, path, f"the picture of {on} is the one signed off for {whose}", seen)


def _redrawn(wall: Wall, path: str, told: Verdict, seen: str) -> Difference:
    """What became of a picture that shows other pixels: a correction is asked about, anything else is closed.

    What is the same but for a scan, a shift or a new scale is asked about too: only equal pixels are free.
    """
    on = page_words(wall.page_of(path))
    changed = [panel.index for panel in told.panels if panel.changed] if len(told.panels) > 1 else []
    where, panel = _panel_words(changed, on), changed[0] if len(changed) == 1 else None
    if told.kind == "same":
        message = (
            f"the picture of {on} shows what was signed off, but not pixel for pixel (scanned, moved or scaled anew)"
        )
        return _of("touch-up", wall, path, message, seen, "query")
    if told.kind == "touch-up":
        return _of("touch-up", wall, path, f"{where} was touched up after the sign-off", seen, "query", panel)
    if told.kind == "layout":
        return _of("layout-changed", wall, path, f"the panels of {on} are not laid out as signed off", seen)
    return _of("panel-redrawn", wall, path, f"{where} is not the one signed off", seen, panel=panel)


def _panel_words(changed: Sequence[int], on: str) -> str:
    """`panel 2 of page 7`, `the picture of page 7 (panels 2, 3)`: what changed, as the subject of a sentence."""
    if not changed:
        return f"the picture of {on}"
    if len(changed) == 1:
        return f"panel {changed[0]} of {on}"
    return f"the picture of {on} (panels {', '.join(map(str, changed))})"


def _is_of(wall: Wall, path: str, seen: str, held: Mapping[str, Against | None]) -> str | None:
    """Another page whose agreed picture this is: among those with the same file, then among those that changed."""
    now = wall.now.files[path].oid
    for other, oid in wall.agreed.items():
        if other != path and oid and oid == now:
            return other
    others = (other for other in _not_as_agreed(wall) if other != path)
    return next((other for other in others if _shown(wall, other, held) == seen), None)


def _shown(wall: Wall, path: str, held: Mapping[str, Against | None]) -> str | None:
    """What an agreed picture shows; None where that can't be had."""
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import digest

    found = held.get(path)
    if found is not None:
        return found.agreed
    try:
        return digest(wall.content.blob(wall.agreed[path]))
    except (Unreadable, ContentMissing):
        return None


def _of(
    rule: str, wall: Wall, path: str, message: str, seen: str, level: str = "block", panel: int | None = None
) -> Difference:
    page = wall.page_of(path)
    return Difference(
        rule, "drawing", message[:1].upper() + message[1:], (page,), (page,), (rule, path, seen), level=level,
        path=path, page=page, panel=panel,
    )  # fmt: skip


class _Nothing:
    """A store that holds nothing."""

    def read(self, file: FileAt) -> bytes:
        raise ContentMissing(file.path, "not asked for")

    def blob(self, oid: str) -> bytes:
        raise ContentMissing(oid, "not asked for")

    def warm(self, files: list[FileAt]) -> None:
        return
