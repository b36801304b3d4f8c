"""What a change costs, on one screen: pages and sides, spreads and reveals, signatures, work, sign-offs, a way out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ledger.model.pages import pages_text
from ledger.plan.mending import Mend
from ledger.plan.weight import InTheWay, Placed, Redo, Weight
from ledger.render.arithmetic.spreads import guess_words
from ledger.render.findings_text import findings_text
from ledger.render.places import ARROW, side_text
from ledger.render.plain import beside, one_line, plural, wrapped

#: Scenes and rows named before the rest is counted.
_FEW = 6
_MARGIN = 12


def weigh_text(weight: Weight, *, why: bool = False) -> str:
    """The whole answer of `weigh` in words; with `why` the working below it."""
    rows = [wrapped(_headline(weight)), ""]
    for head, told in _parts(weight):
        rows += beside(f"{head:<{_MARGIN}}", told)
    rows += _way_out(weight)
    if why:
        from ledger.render.arithmetic.weigh_why import why_text

        rows += ["", why_text(weight)]
    if weight.findings:
        rows += ["", findings_text(weight.findings)]
    return "\n".join(rows)


def _headline(weight: Weight) -> str:
    if weight.asked:
        return f"What if: {side_text(weight.old_name)}, {', '.join(weight.asked)}. Nothing was touched."
    told = f"{side_text(weight.old_name)}{ARROW}{side_text(weight.new_name)}"
    return told[:1].upper() + told[1:] if told.startswith(("the ", "your ", "what ")) else told


def _parts(weight: Weight) -> Iterator[tuple[str, str]]:
    yield "Pages", _pages(weight)
    for head, guess in zip(("Words", ""), [each for each in weight.guesses if each], strict=False):
        yield head, guess_words(guess)
    yield "Sides", _sides(weight)
    yield "Signatures", _signatures(weight)
    if weight.spreads:
        yield "Spreads", _placed(weight.spreads)
    if weight.reveals:
        yield "Reveals", _placed(weight.reveals)
    if weight.scenes:
        yield "Scenes", _scenes(weight.scenes)
    if any(weight.panels):
        added, cut = weight.panels
        yield (
            "Panels",
            " and ".join(part for part in (f"{added} added" * bool(added), f"{cut} cut" * bool(cut)) if part),
        )
    heads = ["To make"] + [""] * len(weight.redo)
    for head, each in zip(heads, weight.redo, strict=False):
        yield head, redo_text(each)
    if not weight.redo:
        yield "To make", "nothing that has been entered has to be made again"
    for head, lock in zip(["In the way"] + [""] * len(weight.locks), weight.locks, strict=False):
        yield head, _lock(lock)


def _pages(weight: Weight) -> str:
    old, new, numbering = weight.old, weight.new, weight.numbering
    told = f"{old.story}{ARROW}{new.story} of story" if old.story != new.story else f"{old.story} of story, as before"
    if numbering.added:
        told += f"; {_listed(numbering.added)} new"
    if numbering.cut:
        told += f"; {_listed(numbering.cut)} of the old count cut"
    return told


def _listed(pages: Iterable[int]) -> str:
    kept = [str(page) for page in pages]
    return f"{'page' if len(kept) == 1 else 'pages'} {pages_text(kept).replace(',', ', ')}"


def _sides(weight: Weight) -> str:
    if not weight.flipped:
        return "left and right stay as they were"
    turned = plural(len(weight.flipped), "page")
    verb = "changes its side" if len(weight.flipped) == 1 else "change their side"
    return f"{turned} {verb}: {pages_text(map(str, weight.flipped)).replace(',', ', ')} of the old count"


def _signatures(weight: Weight) -> str:
    old, new = weight.old, weight.new
    return (
        f"{_both(old.extent, new.extent)} pages in all on {_both(old.sheets, new.sheets)} of {new.signature}; "
        f"{_both(old.blanks, new.blanks)} blank"
    )


def _both(old: int, new: int) -> str:
    return f"{old}{ARROW}{new}" if old != new else str(new)


def _placed(placed: tuple[Placed, ...]) -> str:
    broken = [each for each in placed if each.broken]
    whole = [f"{each.old}{ARROW}{each.new}" if each.new != each.old else each.old for each in placed if not each.broken]
    told = []
    if broken:
        told.append(f"{len(broken)} of {len(placed)} broken: {', '.join(map(_broken, broken))}")
    if whole:
        told.append(f"{'on their side' if broken else 'none broken'}: {', '.join(whole)}")
    return "; ".join(told)


def _broken(placed: Placed) -> str:
    where = "gone" if placed.new is None else placed.new
    return f"{placed.old}{ARROW}{where}" + (" (as before)" if placed.before else "")


def _scenes(scenes: tuple[tuple[str, str], ...]) -> str:
    told = [f"{one_line(title) or 'a scene without a title'} ({what})" for title, what in scenes[:_FEW]]
    more = len(scenes) - _FEW
    return "; ".join([*told, f"and {more} more"] if more > 0 else told)


def redo_text(redo: Redo) -> str:
    """`inks: 3 pages (41, 64-65), 1.5 to 2 working days at the measured pace`."""
    pages = pages_text(map(str, redo.pages)).replace(",", ", ")
    return f"{one_line(redo.pass_name)}: {plural(len(redo.pages), 'page')} ({pages}), {_days(redo)}"


def _days(redo: Redo) -> str:
    days = redo.days
    if days is None:
        return "no pace measured or stated, so no days" if redo.pace.value is None else "a stated pace of 0, so no days"
    early, likely, late = (_number(each) for each in days)
    spread = f" ({early} to {late})" if early != late else ""
    return f"{likely} working {'day' if likely == '1' else 'days'}{spread} at the {redo.pace.source} pace"


def _number(days: float | None) -> str:
    """Days with at most two digits after the point."""
    return "?" if days is None else f"{days:.2f}".rstrip("0").rstrip(".") if days >= 0.005 else "less than 0.01"


def _lock(lock: InTheWay) -> str:
    pages = f" --pages {lock.pages}" if lock.pages else ""
    scopes = ", ".join(lock.scopes)
    return f'{lock.entry} closes {scopes}; a slip admits it: inkledger alter{pages} --reason "..."'


def _way_out(weight: Weight) -> Iterator[str]:
    """The one suggestion, with the command that shows it."""
    mend, broken = weight.mend, weight.broken
    if mend is None:
        if broken:
            yield ""
            yield wrapped("No single add or cut puts every spread and reveal on its side again.")
        return
    left = " that is left" if any(each.new is None for each in broken) else ""
    yield ""
    yield wrapped(f"{_act(mend)} every spread and reveal{left} is on its side again (numbers of the new book).")
    command = _command(weight)
    if command:
        yield f"  {command}"


def _act(mend: Mend) -> str:
    """`One page more behind any page from 22 to 56`: what would mend it."""
    span = str(mend.first) if mend.first == mend.last else f"{mend.first}-{mend.last}"
    if mend.kind == "add":
        return f"One page more behind {'page' if mend.first == mend.last else 'any page of'} {span}, and"
    if mend.either and mend.first != mend.last:
        return f"One page less, any of {span}, and"
    return f"Without {'page' if mend.pages == 1 else 'pages'} {span}"


def _command(weight: Weight) -> str | None:
    """The command line that weighs the suggestion; in a "what if" all numbers are the old book's."""
    mend = weight.mend
    if mend is None or (not weight.asked and weight.new_name != "."):
        return None
    back = {now: page for page, now in weight.numbering.to.items() if now is not None}
    if not weight.asked:
        back = {page: page for page in range(weight.new.story + 1)}
    back.setdefault(0, 0)
    spots = [back[page] for page in range(mend.last, mend.first - 1, -1) if page in back]
    if not spots:
        return None
    if mend.kind == "add":
        more = f"--add 1@{spots[0]}"
    elif mend.either:
        more = f"--cut {spots[0]}"
    elif len(spots) == mend.pages:
        more = f"--cut {min(spots)}-{max(spots)}"
    else:
        return None
    return " ".join(("inkledger weigh", *weight.asked, more))
