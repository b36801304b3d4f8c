"""Pages that got another number and were drawn on in one go: known again by the parts that stayed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, MutableMapping
from typing import TYPE_CHECKING, Any

from ledger.pictures.assistants import done
from ledger.pictures.looking import THUMB, mark
from ledger.pictures.noted import mark_read, mark_written, set_name
from ledger.pictures.verdicts import Mark

if TYPE_CHECKING:
    from numpy.typing import NDArray

#: A thumb is looked at in fields of so many dots; which tones apart are the same; from which tone on a field is paper.
_FIELD, _SAME, _PAPER = 4, 10, 248
#: Which share of the fields that hold ink must be the same: a page whose panels were drawn anew but for one still has
#: a quarter of them (from trials, no source).
_ENOUGH = 0.17


#: Label -> object id, and how to get the bytes, None where they are not here.
Sheets = Mapping[str, tuple[str, Callable[[], bytes | None]]]


def renumbered(old: Sheets, new: Sheets, memory: MutableMapping[str, str]) -> dict[str, str]:
    """Old label -> new label of pages that have enough in common, the likest first, each label once.

    `memory` holds what pages are known by, by their ids; what is found out is added.
    """
    before, after = _fields(old, memory), _fields(new, memory)
    pairs = sorted((-_alike(a, b), one, other) for one, a in before.items() for other, b in after.items())
    found: dict[str, str] = {}
    for likeness, one, other in pairs:
        if -likeness >= _ENOUGH and one not in found and other not in found.values():
            found[one] = other
    return found


def _fields(pages: Sheets, memory: MutableMapping[str, str]) -> dict[str, NDArray[Any]]:
    """Every page's thumb as fields of dots; pages that can't be read, and white ones, are left out."""
    import numpy as np

    names = {label: set_name("mark", key) for label, (key, _) in pages.items()}
    marks = {label: known for label, name in names.items() if (known := mark_read(memory.get(name)))}
    missing = [label for label in pages if label not in marks]
    for number, answer in done((mark, (pages[label][1]() or b"",)) for label in missing):
        if isinstance(answer, Mark):
            marks[missing[number]] = answer
            memory[names[missing[number]]] = mark_written(answer)
    wide, high = THUMB[0] // _FIELD, THUMB[1] // _FIELD
    found = {}
    for label, known in marks.items():
        if known.thumb:
            tones = np.frombuffer(known.thumb, dtype=np.uint8).reshape(high, _FIELD, wide, _FIELD)
            found[label] = tones.swapaxes(1, 2).reshape(-1, _FIELD * _FIELD).astype(np.int16)
    return found


def _alike(one: NDArray[Any], other: NDArray[Any]) -> float:
    """The share of fields with ink in either that are the same in both."""
    import numpy as np

    inked = (one.min(axis=1) < _PAPER) | (other.min(axis=1) < _PAPER)
    same = (np.abs(one - other).max(axis=1) <= _SAME) & inked
    return float(same.sum()) / max(1, int(inked.sum()))
