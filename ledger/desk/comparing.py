"""`compare`: two references become one comparison."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ledger.desk.contents import Contents, Exports, Sources, within
from ledger.desk.plain_pair import draft_side, unheard
from ledger.desk.reference import WORKING, Desk, contents_of, entered_contents, open_desk
from ledger.model.change import Comparison, DraftChange, PictureChange, Side
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.pages import page_numbers
from ledger.model.script import Draft

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

#: The drawn passes of the ladder that `init` writes: what a folder of pages goes by where no book names it.
DRAWN = ("thumbs", "pencils", "inks", "flats", "colours", "letters", "proofs")


class ArtPair(NamedTuple):
    """Two art passes set side by side; `across` where they are different passes, so that only layout is called."""

    name: str
    old: Callable[[], Exports]
    new: Callable[[], Exports]
    across: bool


def compare(here: Path, references: Sequence[str]) -> Comparison:
    """What changed between two references. Raises Refusal for names that are nothing or two things.

    None: the newest round of every pass against your files now; one: that against your files now.
    """
    desk = open_desk(here)
    return compare_contents(*sides(desk, references), desk.repo)


def sides(desk: Desk, references: Sequence[str]) -> tuple[Contents, Contents]:
    """The two sides that the references name."""
    if desk.book is None and len(references) == 1:
        raise Refusal("there is no book here to compare with", remedy="name two files or two folders")
    old = contents_of(desk, references[0]) if references else entered_contents(desk)
    return old, contents_of(desk, references[1] if len(references) > 1 else WORKING)


def compare_contents(old: Contents, new: Contents, repo: Repository | None = None) -> Comparison:
    """The comparison of what both sides cover; what is found out about pictures is kept with a book's repository.

    Raises Refusal where there is nothing to compare.
    """
    text, art = told_text(old, new), art_pairs(old, new)
    if text is None and not art:
        raise Refusal(
            f"{_said(old)} and {_said(new)} hold nothing that can be set side by side",
            remedy="compare two rounds of one pass, two revisions, or two folders",
        )
    before, after = (old.texts[text[0]](), new.texts[text[1]]()) if text else (None, None)
    pictures, findings = _pictures(art, repo, rtl=new.book.reading == "rtl")
    return Comparison(
        _side(old, before, [pair.old for pair in art]),
        _side(new, after, [pair.new for pair in art]),
        _draft_change(before, after),
        tuple(pictures),
        _ruled([*(after.findings if after else ()), *unheard(before), *findings], new),
        any(pair.across for pair in art),
    )


def _said(contents: Contents) -> str:
    from ledger.render.places import side_text

    return side_text(contents.name)


def told_text(old: Contents, new: Contents) -> tuple[str, str] | None:
    """The names under which each side has the drafts to compare: the pass that was named, else the script."""
    if old.loose or new.loose:
        before, after = _own_text(old, new), _own_text(new, old)
        return (before, after) if before is not None and after is not None else None
    both = [name for name in new.texts if name in old.texts]
    script = new.book.main_script()
    for name in (old.named, new.named, script.name if script else None):
        if name is not None and name in both:
            return name, name
    return (both[-1], both[-1]) if len(both) == 1 else None


def _own_text(contents: Contents, other: Contents) -> str | None:
    """Which of its text passes stands against a file or folder without a book."""
    if contents.loose:
        return "" if "" in contents.texts else None
    script = contents.book.main_script()
    for name in (contents.named, other.named, script.name if script else None):
        if name in contents.texts:
            return name
    return next(iter(contents.texts), None) if len(contents.texts) == 1 else None


def sources(old: Contents, new: Contents) -> tuple[Sources, Sources]:
    """The files of the drafts that are compared, as they are. Raises Refusal where no draft is."""
    text = told_text(old, new)
    if text is None:
        raise Refusal("there is no draft to show as a patch", remedy="leave --patch out to see the pictures")
    return old.sources[text[0]](), new.sources[text[1]]()


def art_pairs(old: Contents, new: Contents) -> list[ArtPair]:
    """The art passes that both sides cover, on the pages that both cover."""
    pages = [side.pages for side in (old, new) if not side.pages.everything]
    pairs = _art_pairs(old, new)
    for covered in pages:
        pairs = [p._replace(old=within(p.old, covered), new=within(p.new, covered)) for p in pairs]
    return pairs


def _art_pairs(old: Contents, new: Contents) -> list[ArtPair]:
    """Two different passes only where each side holds just one."""
    both = [name for name in new.art if name in old.art]
    if both:
        return [ArtPair(name, old.art[name], new.art[name], False) for name in both]
    if old.loose != new.loose:
        return _loose_pair(old, new)
    if len(old.art) == len(new.art) == 1:
        (before, a), (after, b) = next(iter(old.art.items())), next(iter(new.art.items()))
        across = not old.loose or (_known(before, old) and _known(after, new))
        named = next((name for name, side in ((after, new), (before, old)) if _known(name, side)), "pages")
        return [ArtPair(named, a, b, across)]
    return []


def _loose_pair(old: Contents, new: Contents) -> list[ArtPair]:
    """A folder of pages against a book's pass of the only name it can have there."""
    loose, book = (old, new) if old.loose else (new, old)
    if not loose.art or not book.art:
        return []
    if len(book.art) > 1:
        raise Refusal(
            f"{loose.name} could be pages of {', '.join(book.art)}", path=loose.name,
            remedy="name the pass or one of its rounds on the other side, such as inks or inks-1",
        )  # fmt: skip
    name = next(iter(book.art))
    mine = next(iter(loose.art.values()))
    return [ArtPair(name, mine if old.loose else old.art[name], mine if new.loose else new.art[name], False)]


def _known(folder: str, contents: Contents) -> bool:
    """Whether a folder's name is that of a pass."""
    return folder in DRAWN or contents.book.pass_named(folder) is not None


def _draft_change(before: Draft | None, after: Draft | None) -> DraftChange:
    if before is None or after is None:
        return DraftChange()
    from ledger.compare import compare_drafts

    return compare_drafts(before, after)


def _pictures(
    pairs: Sequence[ArtPair], repo: Repository | None, *, rtl: bool
) -> tuple[list[PictureChange], list[Finding]]:
    """What became of the pictures of every pair."""
    changes: list[PictureChange] = []
    findings: list[Finding] = []
    asked = [(pair, pair.old(), pair.new()) for pair in pairs]
    asked = [each for each in asked if not _known_equal(each[1], each[2])]
    if not asked:
        return changes, findings
    from ledger.desk.pictures.looked_at import looked_at
    from ledger.pictures.rounds.compare import compare_pictures

    with looked_at(repo) as memory:
        for pair, before, after in asked:
            told, found = compare_pictures(
                before.files, after.files, before.read, after.read, pair.name,
                across=pair.across, rtl=rtl, memory=memory,
            )  # fmt: skip
            changes.extend(each for each in told if not pair.across or each.kind == "layout")
            findings.extend(found)
    return changes, findings


def _known_equal(before: Exports, after: Exports) -> bool:
    return before.files == after.files and all(file.oid for file in after.files.values())


def _side(contents: Contents, draft: Draft | None, art: Sequence[Callable[[], Exports]]) -> Side:
    if draft is None:
        return Side(contents.name, pages=max((_count(exports().files) for exports in art), default=0))
    return draft_side(contents.name, draft)


def _count(labels: Iterable[str]) -> int:
    """Pages, a spread counting as two."""
    return sum(len(page_numbers(label)) or 1 for label in labels)


def _ruled(findings: Sequence[Finding], new: Contents) -> tuple[Finding, ...]:
    """The findings once each, at the levels that the book's rules give them."""
    once = tuple(dict.fromkeys(findings))
    if not new.book.rules:
        return once
    from ledger.judge.levels import apply_rules

    return tuple(apply_rules(once, new.book.rules))
