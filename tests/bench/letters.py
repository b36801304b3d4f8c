"""`python -m tests.bench.letters [--seeds 0-19] [--wrong]`: how right lettered pages are told, by PDFs of known faults.

Every seed is a script of the drafts' generator lettered into a PDF: capitals, short rows, words broken by hyphens, one
or two columns, balloons drawn in any order, two pages to a sheet, front matter, page numbers at the foot. A clean copy
comes first, which has nothing to tell; then each kind of fault is planted twice.
"""

from __future__ import annotations

import argparse
import random
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from ledger.desk.lettered import check_lettering
from ledger.model.script import Line
from ledger.model.words import lettered_key
from ledger.read.script import read_script
from tests.bench.pairs.generate import make_pair
from tests.marked_pdf import HEIGHT, WIDTH, LetteredFile

#: Kind of fault -> the kind of a line that tells it.
FAULTS = {"missing": "cut", "doubled": "added", "changed": "reworded", "other page": "moved", "order": "moved"}
EACH = 2

Told = Counter[tuple[str, str, str]]


@dataclass
class Sheets:
    """What is drawn: page -> its balloons in reading order; `faults` are (page, kind of line, words) to be told."""

    pages: dict[str, list[str]]
    faults: Told = field(default_factory=Counter)
    unread: set[str] = field(default_factory=set)


def book_of(seed: int) -> tuple[str, dict[str, list[Line]]]:
    """A script and the lettered lines of its pages; none where the generator marked no pages."""
    text = make_pair(seed, 30, "none").old
    draft = read_script([("script.md", text.encode())], ())
    pages: dict[str, list[Line]] = {page.label: [] for page in draft.pages}
    for line in draft.lines:
        if line.lettered and line.page in pages:
            pages[line.page].append(line)
    return text, pages


def planted(pages: dict[str, list[Line]], fault: str | None, dice: random.Random) -> Sheets:
    """The balloons with faults of one kind, each on lines that stand once in the book and on pages of their own."""
    sheets = Sheets({label: [line.text for line in lines] for label, lines in pages.items()})
    said = Counter(lettered_key(line.text) for lines in pages.values() for line in lines)
    fit = [
        (label, n) for label, lines in pages.items() if len(lines) > 3
        for n, line in enumerate(lines[:-1]) if said[lettered_key(line.text)] == 1 and len(line.text.split()) >= 4
    ]  # fmt: skip
    dice.shuffle(fit)
    used: set[str] = set()
    for label, n in fit:
        if fault == "order" and n > len(pages[label]) - 5:
            continue  # of two rows that change places either may be the one that moved
        if fault is None or len(used) >= 2 * EACH:
            break
        if label in used:
            continue
        other = next((each for each, _ in fit if each not in used | {label}), label)
        used |= {label, other}
        _plant(sheets, fault, (label, n), other, dice)
    return sheets


def _plant(sheets: Sheets, fault: str, at: tuple[str, int], other: str, dice: random.Random) -> None:
    label, n = at
    lines = sheets.pages[label]
    text = lines[n]
    if fault == "missing":
        lines.pop(n)
    elif fault == "doubled":
        lines.insert(n, text)
    elif fault == "changed":
        words = text.split()
        words[dice.randrange(len(words))] = "turnips"
        lines[n] = " ".join(words)
    elif fault == "other page":
        lines.pop(n)
        sheets.pages[other].insert(1, text)
    elif fault == "order":
        lines.append(lines.pop(n))
    sheets.faults[label, FAULTS[fault], lettered_key(text)] += 1


def rows_of(text: str, width: int, dice: random.Random) -> list[str]:
    """A balloon in rows of capitals, a long word broken now and then."""
    rows = [""]
    for word in text.upper().split():
        if len(word) > 8 and word.isalpha() and dice.random() < 0.3:
            rows[-1] = f"{rows[-1]} {word[:4]}-".strip()
            rows.append(word[4:])
        elif len(rows[-1]) + len(word) < width:
            rows[-1] = f"{rows[-1]} {word}".strip()
        else:
            rows.append(word)
    return [row for row in rows if row]


def lettered(sheets: Sheets, seed: int, dice: random.Random) -> bytes:
    """The PDF. The seed decides how it is laid out."""
    made = LetteredFile()
    for _ in range(seed % 3):
        made.sheet([])
    columns, shuffled, paired = 1 + seed % 2, seed % 4 > 1, seed % 5 == 4
    waiting = list(sheets.pages.items())
    while waiting:
        now = [waiting.pop(0)]
        if paired and waiting and made.count > seed % 3:
            now.append(waiting.pop(0))
        drawn = []
        for half, (label, balloons) in enumerate(now):
            if label not in sheets.unread:
                drawn += _placed(balloons, columns, half * WIDTH, dice)
                drawn.append((half * WIDTH + WIDTH / 2, 20, [label.partition("-")[0]]))
        if shuffled:
            dice.shuffle(drawn)
        made.sheet(drawn, WIDTH * len(now))
    return made.bytes()


def _placed(
    balloons: list[str], columns: int, left: float, dice: random.Random
) -> Iterator[tuple[float, float, list[str]]]:
    """Balloons from the top on, side by side where there are two columns."""
    width, y, tallest = 40 // columns, HEIGHT - 40, 0
    for n, text in enumerate(balloons):
        rows = rows_of(text, width, dice)
        if n % columns == 0:
            y, tallest = y - 10 * tallest - 9, 0
        tallest = max(tallest, len(rows))
        yield left + 20 + n % columns * (WIDTH / columns), y, rows


def told(folder: Path, text: str, data: bytes) -> tuple[Told, set[str]]:
    """What the product says: (page, kind, words) of every line that is not as it should be, and pages not read."""
    (folder / "script.md").write_text(text, "utf-8")
    (folder / "letters.pdf").write_bytes(data)
    check = check_lettering(folder, ["script.md", "letters.pdf"])
    found: Told = Counter()
    for page in check.pages:
        for change in page.lines:
            side = change.old or change.new
            if change.kind != "same" and side is not None:
                found[page.page, change.kind, lettered_key(side.text)] += 1
    return found, {page.page for page in check.pages if page.state == "not read"}


def measured(seeds: range, *, wrong: bool) -> dict[str, tuple[int, int, int]]:
    """Kind of fault -> planted, told rightly, told though not there."""
    rows: dict[str, tuple[int, int, int]] = {}
    with tempfile.TemporaryDirectory() as folder:
        for seed in seeds:
            text, pages = book_of(seed)
            if not pages:
                continue
            for fault in (None, *FAULTS):
                dice = random.Random(f"{seed} {fault}")
                sheets = planted(pages, fault, dice)
                found, _ = told(Path(folder), text, lettered(sheets, seed, dice))
                right, false = (sheets.faults & found).total(), (found - sheets.faults).total()
                was = rows.get(fault or "clean", (0, 0, 0))
                rows[fault or "clean"] = (was[0] + sheets.faults.total(), was[1] + right, was[2] + false)
                if wrong and found != sheets.faults:
                    print(seed, fault, "not told", dict(sheets.faults - found), "false", dict(found - sheets.faults))
    return rows


def main() -> None:
    """Prints a row a kind of fault."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="0-19")
    parser.add_argument("--wrong", action="store_true")
    asked = parser.parse_args()
    first, _, last = asked.seeds.partition("-")
    rows = measured(range(int(first), int(last or first) + 1), wrong=asked.wrong)
    for fault, (planted_, right, false) in rows.items():
        print(f"{fault}: {planted_} planted, {right} told rightly, {false} told though not there")


if __name__ == "__main__":
    main()
