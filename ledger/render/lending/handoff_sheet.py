"""The sheet in words that goes along with pages handed out: what is asked, how it is laid, how it comes back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ledger.model.book import MODES
from ledger.model.lending import LIST, Asked, Lending
from ledger.model.pages import pages_counted, pages_words
from ledger.render.plain import one_line, plural, wrapped
from ledger.render.told import day, in_a_row

#: The name of the sheet in the folder.
SHEET = "sheet.txt"
#: Files named one by one; more of one size are told by the first and the last.
_NAMED = 6

#: How each kind of return is made (trade facts T-171 to T-174).
_HOW = {
    "flats": (
        "Flats are blocks of plain colour under the line art, there to be selected later. The colours themselves may "
        "be any that stand well apart.",
        "No smoothing: turn anti-aliasing and feathering off, so that where two fills meet there is no third colour "
        "between them. A soft edge can't be selected cleanly.",
        "Colour runs on under the lines, with no gap: every pixel inside the panels has a colour, also under ink.",
        "The page comes back without the lines. Outside the panels it may be transparent, nowhere else.",
    ),
    "colour": (
        "Colour runs on under the lines, with no gap: every pixel inside the panels has a colour, also under ink.",
        "The page comes back without the lines. Outside the panels it may be transparent, nowhere else.",
    ),
    "overlay": ("The page comes back as a layer to be laid over the line art, at the same size and in its place.",),
    "page": ("The page comes back whole, as it is to be seen.",),
}  # fmt: skip


def handoff_sheet(lending: Lending, scripts: Sequence[str] = (), reading: str = "ltr") -> str:
    """The sheet as plain text of 80 columns; `scripts` are files of the script that lie in the folder.

    `reading` is the book's direction, "ltr" or "rtl".
    """
    rows = [_title(lending), _who(lending)]
    for head, told in (
        ("What is asked", _asked(lending, reading)),
        ("The files", _files(lending)),
        ("How it is made", (*_HOW[lending.returns], *_lines(lending))),
        ("The script", _scripts(scripts)),
        ("Before you send it back", _back()),
        ("At the screen", _breaks()),
    ):
        paragraphs = list(told)
        rows += ["", "", head, "-" * len(head)] if paragraphs else []
        for each in paragraphs:
            rows += ["", each if each.startswith("  ") else wrapped(each, hang="")]
    return "\n".join(rows) + "\n"


def _title(lending: Lending) -> str:
    return wrapped(f"{one_line(lending.book)}: {lending.pass_name}, {pages_words(lending.pages)}", hang="")


def _who(lending: Lending) -> str:
    to = f"For {one_line(lending.to)}, from" if lending.to else "From"
    return wrapped(f"{to} {one_line(lending.by)}, {day(lending.when)} ({lending.entry})", hang="")


def _asked(lending: Lending, reading: str) -> Iterator[str]:
    given = in_a_row([f"{name} ({entry})" for name, entry in lending.entries.items()])
    pages = pages_counted(each.page for each in lending.asked)
    files = f" in {plural(len(lending.asked), 'file')}" if pages != len(lending.asked) else ""
    yield (
        f"{lending.pass_name.capitalize()} of {plural(pages, 'page')}{files}, made from {given or 'what lies here'}."
    )
    if reading == "rtl":
        yield "The book is read from right to left."
    yield f"Wanted back by {day(lending.due)}." if lending.due else "No date was set. Ask if you need one."


def _files(lending: Lending) -> Iterator[str]:
    yield (
        f"Each page goes into the folder {lending.pass_name}, which is empty now, under the name given here. The name "
        "says which page it is."
    )
    yield "\n".join(_sizes(lending.asked))
    kinds = [one for one in (MODES.get(lending.mode or ""), _depth(lending), _ppi(lending)) if one]
    if kinds:
        yield f"Save them as {', '.join(kinds)}."
    yield "No JPEG: it makes new colours at every edge."


def _depth(lending: Lending) -> str:
    return f"{lending.depth} bits a channel" if lending.depth and lending.depth > 1 else ""


def _ppi(lending: Lending) -> str:
    return f"{lending.ppi:g} pixels per inch" if lending.ppi else ""


def _sizes(asked: Sequence[Asked]) -> Iterator[str]:
    """`  flats/p001.png to flats/p024.png (24 files)   2000 x 3000 px`, a row for every run of pages of one size."""
    runs: list[list[Asked]] = []
    for each in asked:
        same = runs and (runs[-1][0].px, runs[-1][0].within) == (each.px, each.within)
        if same and len(asked) > _NAMED:
            runs[-1].append(each)
        else:
            runs.append([each])
    names = [_run(run) for run in runs]
    width = max(map(len, names))
    for run, name in zip(runs, names, strict=True):
        yield f"  {name:<{width}}  {_size(run[0])}".rstrip()


def _run(run: Sequence[Asked]) -> str:
    if len(run) == 1:
        return run[0].answer
    return f"{run[0].answer} to {run[-1].answer.rpartition('/')[2]} ({len(run)} files)"


def _size(asked: Asked) -> str:
    if asked.px is None:
        return ""
    around = f", give or take {asked.within} px" if asked.within else ""
    return f"{asked.px[0]} x {asked.px[1]} px{around}"


def _lines(lending: Lending) -> Iterator[str]:
    folders = sorted({each.pass_name for each in lending.given if each.pass_name})
    if folders:
        which = f"the folder{'s' * (len(folders) > 1)} {in_a_row(folders)}"
        yield (
            f"Leave the pictures in {which} as they are: no stroke, no resizing, no turning. They are looked at when "
            "the pages come back. If something is wrong in one of them, say so instead of mending it."
        )


def _scripts(scripts: Iterable[str]) -> Iterator[str]:
    names = list(scripts)
    if names:
        yield (
            f"The script of these pages lies here as {in_a_row(names)}. Its balloons are numbered page by page, in "
            "reading order, with who says them and how."
        )


def _back() -> Iterator[str]:
    yield f"Keep the names, and send the whole folder, or a ZIP archive of it, with {LIST} in it."
    yield (
        "Whoever has inkledger can have the pages judged first, in a terminal, in the folder above this one: neither "
        "git nor the book is needed for it. It changes nothing."
    )
    yield "  inkledger receive FOLDER --check"


def _breaks() -> Iterator[str]:
    """Trade facts T-190."""
    yield (
        "A break of 5 to 10 minutes after 50 to 60 minutes at the screen does more good than a longer one after two "
        "hours. Pain in a hand, an arm or the neck is a reason to stop and to say so; nobody counts pages against it."
    )
    yield "Where the law, local rules or your agreement ask for more or for something else, that comes first."
