"""What to do next, each step with the command that does it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ledger.desk.numbers import newest_round
from ledger.model.book import Pass
from ledger.model.pages import page_numbers, pages_text, parse_pages
from ledger.model.stale import NOTHING_STALE, Stale
from ledger.model.standing import DrawnBefore, NextStep, PageCount, PassStanding
from ledger.read.state import BookState
from ledger.render.plain import plural


def next_steps(
    passes: Sequence[PassStanding], notes: Mapping[str, int], state: BookState, stale: Stale = NOTHING_STALE
) -> tuple[NextStep, ...]:
    """The steps in the order in which they are wanted: what changed, what is stale, notes, sign-offs, the work."""
    return (
        *_to_enter(passes),
        *_stale(passes, state, stale),
        *_notes(notes),
        *_to_sign(passes, state),
        *_to_draw(passes, state),
    )


def beside_sheets(found: Sequence[DrawnBefore]) -> Iterator[NextStep]:
    """A look at the pages drawn before a design sheet changed, with the command that lets them stand."""
    for each in found:
        pages = pages_text(each.pages)
        yield NextStep(
            f"Hold {each.pass_name} {_page(pages)} beside {', '.join(each.sheets)}",
            f"the design sheet of {each.person} changed after {'it' if pages.isdigit() else 'they'} "
            f"{'was' if pages.isdigit() else 'were'} entered; where all is well, this says so",
            f'inkledger enter {each.pass_name} --pages {pages} --stands -m "held beside the sheet"',
        )


def _to_enter(passes: Sequence[PassStanding]) -> Iterator[NextStep]:
    for each in passes:
        if not each.changed:
            continue
        files = plural(each.changed, "file")
        if each.round is None:
            why = f"{files} {'is' if each.changed == 1 else 'are'} there, none entered yet"
            yield NextStep(
                f"Enter the first round of {each.name}", why, f'inkledger enter {each.name} -m "first round"'
            )
        else:
            why = f"{files} {'differs' if each.changed == 1 else 'differ'} from {each.name}-{each.round}"
            yield NextStep(f"See what changed in {each.name}", why, f"inkledger compare {each.name}")
            yield NextStep(
                f"Enter it as {each.name}-{each.round + 1}", "when it is as you want it",
                f'inkledger enter {each.name} -m "what changed"',
            )  # fmt: skip


def _stale(passes: Sequence[PassStanding], state: BookState, stale: Stale) -> Iterator[NextStep]:
    for each in passes:
        if each.pages is None or not each.pages.stale:
            continue
        pages = pages_text(each.pages.stale)
        yield NextStep(f"Look at {each.name} {_page(pages)}", _because(each.name, stale), _basis(each, state))
        yield NextStep(
            f"Enter {each.name} {_page(pages)} again", "redrawn, or looked at and found good",
            f'inkledger enter {each.name} --pages {pages} --stands -m "still good"',
        )  # fmt: skip


def _because(pass_name: str, stale: Stale) -> str:
    """The reason, where all stale pages of the pass have the same."""
    reasons = {each.because for each in stale.pages if each.pass_name == pass_name}
    return f"it rests on {reasons.pop()}" if len(reasons) == 1 else "what it was made from has changed since"


def _page(pages: str) -> str:
    return f"page {pages}" if pages.isdigit() else f"pages {pages}"


def _basis(each: PassStanding, state: BookState) -> str:
    """The comparison that shows what has changed since a pass was entered."""
    newest = newest_round(state.entries, each.name)
    pass_ = state.book.pass_named(each.name)
    for name in pass_.comes_from if newest and pass_ else ():
        now = newest_round(state.entries, name)
        then = newest.basis.get(name) if newest else None
        if now and then and now.name != then:
            return f"inkledger compare {then} {now.name}"
    return "inkledger compare"


def _notes(notes: Mapping[str, int]) -> Iterator[NextStep]:
    asked, opened = notes.get("query", 0), notes.get("open", 0)
    if asked or opened:
        told = [f"{opened} open"] if opened else []
        told += [f"{asked} asked back and waiting for an answer"] if asked else []
        yield NextStep("Go through the notes", " and ".join(told), "inkledger notes list")


def _to_sign(passes: Sequence[PassStanding], state: BookState) -> Iterator[NextStep]:
    """Drawn passes that are whole, close something when signed off, and are not signed off yet."""
    for each in passes:
        pass_ = state.book.pass_named(each.name)
        if pass_ is None or not pass_.locks or each.pages is None or not each.round:
            continue
        whole = each.pages.entered >= each.pages.total and not each.pages.stale and not each.changed
        if whole and not _all_signed(each):
            yield NextStep(
                f"Sign {each.name} off", f"all {each.pages.total} pages are entered", f"inkledger lock {each.name}"
            )


def _all_signed(each: PassStanding) -> bool:
    if any(lock.pages is None for lock in each.locks):
        return True
    labels = {label for lock in each.locks for label in parse_pages(lock.pages).labels}
    return each.pages is not None and sum(bool(page_numbers(label)) for label in labels) >= each.pages.total


def _to_draw(passes: Sequence[PassStanding], state: BookState) -> Iterator[NextStep]:
    """In an empty book the texts; later the first drawn pass whose turn it is: what it is made from is there."""
    empty = not any(each.round or each.changed for each in passes)
    entered = {each.name: each for each in passes}
    for each in passes:
        pass_ = state.book.pass_named(each.name)
        if pass_ is None or each.changed:
            continue
        if each.pages is None and empty:
            why = f"nothing lies in {pass_.files[0]} yet"
            yield NextStep(f"Write the {each.name}", why, f'inkledger enter {each.name} -m "first round"')
        elif each.pages is not None and each.pages.entered < each.pages.total and _ready(pass_, entered):
            yield _go_on(each.name, each.pages)
            return


def _go_on(name: str, pages: PageCount) -> NextStep:
    command = f"inkledger enter {name}"
    if not pages.entered:
        return NextStep(f"Begin the {name}", f"none of {plural(pages.total, 'page')} is entered yet", command)
    left = pages.total - pages.entered
    return NextStep(f"Go on with the {name}", f"{left} of {plural(pages.total, 'page')} left", command)


def _ready(pass_: Pass, passes: Mapping[str, PassStanding]) -> bool:
    return any(each.round for each in passes.values()) and all(
        passes[name].round or passes[name].kind == "text" for name in pass_.comes_from if name in passes
    )
