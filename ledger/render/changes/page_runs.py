"""What became of the pages, run by run: `pages 13-28 became 14-29: every side flips`."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.model.change import PageChange, PanelChange
from ledger.model.pages import page_numbers, pages_text
from ledger.render.plain import plural


def page_sentences(pages: Iterable[PageChange]) -> list[str]:
    """Pages added, cut, carried elsewhere and renumbered, one sentence each, without a full stop."""
    kept = list(pages)
    return [*_came_and_went(kept), *_renumbered(kept)]


def _came_and_went(pages: list[PageChange]) -> list[str]:
    added = [p.new for p in pages if p.kind == "added" and p.new]
    cut = [p.old for p in pages if p.kind == "cut" and p.old]
    said = []
    if added:
        said.append(f"{_pages_word(added)} {_is(added)} new")
    if cut:
        said.append(f"{_pages_word(cut)} of the old count {_was(cut)} cut")
    return said


def _renumbered(pages: list[PageChange]) -> list[str]:
    """Runs of pages that all took another number by the same step."""
    said = []
    for run in _runs(pages):
        old, new = [o for o, _ in run], [n for _, n in run]
        step = page_numbers(new[0])[0] - page_numbers(old[0])[0]
        flips = step % 2 == 1
        sides = "every side flips" if len(run) > 1 else "its side flips"
        stays = "left and right stay as they were" if len(run) > 1 else "its side stays"
        said.append(f"{_pages_word(old)} became {pages_text(new)}: {sides if flips else stays}")
    return said


def _runs(pages: list[PageChange]) -> list[list[tuple[str, str]]]:
    pairs = [(p.old, p.new) for p in pages if p.old and p.new and p.old != p.new]
    numbered = [(o, n) for o, n in pairs if page_numbers(o) and page_numbers(n)]
    found: list[list[tuple[str, str]]] = []
    for old, new in sorted(numbered, key=lambda pair: page_numbers(pair[0])):
        if found and _follows(found[-1][-1], (old, new)):
            found[-1].append((old, new))
        else:
            found.append([(old, new)])
    return found


def _follows(before: tuple[str, str], pair: tuple[str, str]) -> bool:
    return all(page_numbers(b)[0] == page_numbers(a)[-1] + 1 for a, b in zip(before, pair, strict=True))


def panel_sentence(panels: Iterable[PanelChange]) -> str:
    """`panel 3 is new, panel 5 of the old count was cut`; "" where no panel came or went."""
    kept = list(panels)
    added = [str(p.new) for p in kept if p.kind == "added" and p.new]
    cut = [str(p.old) for p in kept if p.kind == "cut" and p.old]
    said = []
    if added:
        said.append(f"{_noun('panel', added)} {pages_text(added)} {_is(added)} new")
    if cut:
        said.append(f"{_noun('panel', cut)} {pages_text(cut)} of the old count {_was(cut)} cut")
    return ", ".join(said)


def page_totals(pages: Iterable[PageChange]) -> str:
    """`2 pages added, 1 cut, 16 renumbered`; "" where nothing of the kind."""
    kept = list(pages)
    counts = [
        (_sides(p.new for p in kept if p.kind == "added"), "added"),
        (_sides(p.old for p in kept if p.kind == "cut"), "cut"),
        (_sides(p.new for p in kept if p.old and p.new and p.old != p.new), "renumbered"),
    ]
    parts = [(n, word) for n, word in counts if n]
    return ", ".join(f"{plural(n, 'page') if i == 0 else n} {word}" for i, (n, word) in enumerate(parts))


def _sides(labels: Iterable[str | None]) -> int:
    """Pages, a spread counting as two."""
    return sum(len(page_numbers(label)) or 1 for label in labels if label)


def _pages_word(labels: list[str]) -> str:
    return f"{_noun('page', labels)} {pages_text(labels)}"


def _noun(noun: str, labels: list[str]) -> str:
    return noun if len(labels) == 1 and "-" not in labels[0] else noun + "s"


def _is(labels: list[str]) -> str:
    return "is" if len(labels) == 1 and "-" not in labels[0] else "are"


def _was(labels: list[str]) -> str:
    return "was" if len(labels) == 1 and "-" not in labels[0] else "were"
