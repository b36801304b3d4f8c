"""Two drafts as a unified diff, file by file."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Sequence

from ledger.model.snapshot import byte_order

Sources = Sequence[tuple[str, bytes]]


def patch_text(old: Sources, new: Sources) -> str:
    """The drafts' files as a unified diff, read back with unidiff before it is shown; "" where nothing differs.

    Two single files are set side by side whatever their names. What is not UTF-8 is shown as its bytes.
    """
    from unidiff.patch import PatchSet

    pairs = [(old[0], new[0])] if len(old) == len(new) == 1 else list(_by_path(old, new))
    return "".join(str(PatchSet.from_string(text)) for a, b in pairs if (text := _one(a, b)))


def _by_path(old: Sources, new: Sources) -> Iterator[tuple[tuple[str, bytes], tuple[str, bytes]]]:
    before, after = dict(old), dict(new)
    for path in sorted(before.keys() | after.keys(), key=byte_order):
        yield (
            (path if path in before else "/dev/null", before.get(path, b"")),
            (path if path in after else "/dev/null", after.get(path, b"")),
        )


def _one(old: tuple[str, bytes], new: tuple[str, bytes]) -> str:
    texts = [data.decode("utf-8", "backslashreplace").splitlines() for _, data in (old, new)]
    rows = difflib.unified_diff(texts[0], texts[1], _named("a", old[0]), _named("b", new[0]), lineterm="")
    return "".join(row + "\n" for row in rows)


def _named(side: str, path: str) -> str:
    return path if path == "/dev/null" else f"{side}/{path}"
