"""The passes of the small books that tests lay out, as `book.toml` has them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

_FROM = {
    "outline": (), "script": ("outline",), "pencils": ("script",), "inks": ("pencils", "script"),
    "letters": ("inks", "script"),
}  # fmt: skip
_LOCKS = {"pencils": ("structure",), "inks": ("structure", "drawing"), "letters": ("wording",)}


def usual_passes(*names: str, suffix: str = "png") -> str:
    """`[[pass]]` tables of these names, each made from those of its usual sources that are there too.

    Drawn passes close what they usually do; their exports end in `suffix`.
    """
    return "".join(_table(name, [each for each in _FROM[name] if each in names], suffix) for name in names)


def _table(name: str, sources: Sequence[str], suffix: str) -> str:
    text = name in ("outline", "script")
    rows = [
        "[[pass]]", f'name = "{name}"', f'kind = "{"text" if text else "art"}"',
        f'files = "{name}/*.md"' if text else f'files = "art/{name}/p{{page}}.{suffix}"',
    ]  # fmt: skip
    rows += [f"from = {_listed(sources)}"] if sources else []
    rows += [f"locks = {_listed(_LOCKS[name])}"] if name in _LOCKS else []
    return "\n" + "\n".join(rows) + "\n"


def _listed(words: Iterable[str]) -> str:
    return "[" + ", ".join(f'"{word}"' for word in words) + "]"
