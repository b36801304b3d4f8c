"""The passes of `book.toml`: their names, files and where each is made from."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ledger.model.book import ASKED_MODES, SCOPES, Pass
from ledger.read.config_keys import PASS, names
from ledger.read.config_table import Table, nearest

#: Names of entries, so no names of passes (convention §2).
RESERVED = ("pass", "lock", "alteration", "reopen", "handoff", "delivery")
_KEYS = names(PASS)
_NAME = re.compile(r"[a-z0-9][a-z0-9-]*\Z")
_RETURNS = ("page", "flats", "colour", "overlay")


def read_passes(top: Table) -> tuple[Pass, ...]:
    """Every `[[pass]]` in order. Raises Refusal for a name, a pattern or a graph that can't be."""
    listed = top.values.get("pass", [])
    if not isinstance(listed, list) or not all(isinstance(said, dict) for said in listed):
        top.wrong("'pass' must be a list of tables", "pass", remedy="write [[pass]], in two brackets")
    tables = [Table(said, ("pass", n), top.text, top.path, _KEYS) for n, said in enumerate(listed)]
    passes = tuple(_pass(table) for table in tables)
    named: dict[str, Table] = {}
    for table, pass_ in zip(tables, passes, strict=True):
        if pass_.name in named:
            table.wrong(f"two passes are named {pass_.name!r}", "name", remedy="give one of them another name")
        named[pass_.name] = table
    for pass_ in passes:
        for name in pass_.comes_from:
            if name not in named:
                named[pass_.name].wrong(f"'from' of the pass {pass_.name!r} names {name!r}, which is no pass here",
                                        "from", remedy=nearest(name, named))  # fmt: skip
    _refuse_circle({pass_.name: pass_.comes_from for pass_ in passes}, named)
    return passes


def _pass(table: Table) -> Pass:
    name = _name(table)
    typed = table.words("files", one_will_do=True)
    if "files" in table.values and not typed:
        table.wrong(f"'files' of the pass {name!r} is empty", "files", remedy='name them: files = "script/*.md"')
    drawn = any("{page}" in pattern for pattern in typed) or (not typed and name not in ("outline", "script"))
    kind = table.word("kind", "art" if drawn else "text", ("text", "art")) or "text"
    usual = f"{name}/*.md" if kind == "text" else f"art/{name}/p{{page}}.png"
    files = tuple(_fitting(table, kind, pattern) for pattern in typed or (usual,))
    masters = table.word("masters")
    if masters is not None:
        masters = stays_inside(table, "masters", masters)
    return Pass(
        name, kind, files, comes_from=table.words("from"), locks=_locks(table),
        ppi=table.number("ppi", above_zero=True), mode=table.word("mode", allowed=ASKED_MODES),
        per_day=table.number("per_day"), due=table.day("due"), hands=table.word("hands"), masters=masters,
        returns=table.word("returns", "page", _RETURNS) or "page",
    )  # fmt: skip


def _name(table: Table) -> str:
    name = table.needed("name")
    if not _NAME.match(name) or re.search(r"-\d+\Z", name):
        table.wrong(f"{name!r} can't name a pass", "name",
                    remedy="a name has letters a-z, digits and '-', and never ends in '-' and digits")  # fmt: skip
    word = name.partition("-")[0]
    if word in RESERVED:
        table.wrong(f"{name!r} can't name a pass: {word!r} is the name of an entry", "name",
                    remedy="give the pass another name")  # fmt: skip
    return name


def _locks(table: Table) -> tuple[str, ...]:
    scopes = table.words("locks")
    for scope in scopes:
        if scope not in SCOPES:
            table.wrong(f"{scope!r} in 'locks' is nothing a sign-off closes", "locks", remedy=nearest(scope, SCOPES))
    return scopes


def _fitting(table: Table, kind: str, pattern: str) -> str:
    pattern = stays_inside(table, "files", pattern)
    last = pattern.rpartition("/")[2].lower()
    if kind == "text" and "." in last and not last.endswith((".md", ".txt", "*")):
        table.wrong(f"{pattern!r} in 'files' can't be read as text", "files",
                    remedy="a text pass is read from .md or .txt")  # fmt: skip
    return pattern


def stays_inside(table: Table, key: str, pattern: str) -> str:
    """The pattern without `./` and doubled `/`, as git spells paths.

    Raises Refusal for one that leaves the repository, reaches into git's own folder or names no file.
    """
    parts = pattern.replace("\\", "/").split("/")
    if pattern.startswith(("/", "~")) or re.match(r"[A-Za-z]:", pattern) or ".." in parts:
        table.wrong(f"{pattern!r} in {key!r} leaves the book's folder", key,
                    remedy="write it from the book's own folder on, such as script/*.md")  # fmt: skip
    if "\\" in pattern or "\0" in pattern:
        table.wrong(f"{pattern!r} in {key!r} can't be used", key, remedy="folders are parted by / in book.toml")
    if parts[-1] in ("", "."):
        table.wrong(f"{pattern!r} in {key!r} names a folder, no file", key,
                    remedy="name the files in it, such as script/*.md")  # fmt: skip
    kept = [part for part in parts if part not in ("", ".")]
    if kept[0].lower() == ".git":
        table.wrong(f"{pattern!r} in {key!r} can't be used: that folder is git's own", key,
                    remedy="put the files into another folder")  # fmt: skip
    return "/".join(kept)


def _refuse_circle(sources: Mapping[str, tuple[str, ...]], tables: Mapping[str, Table]) -> None:
    """Raises Refusal where a pass is made from itself, directly or through others."""
    left = dict(sources)
    while free := [name for name, above in left.items() if not any(source in left for source in above)]:
        for name in free:
            del left[name]
    if not left:
        return
    trail = [next(iter(left))]
    while trail[-1] not in trail[:-1]:
        trail.append(next(name for name in left[trail[-1]] if name in left))
    circle = trail[trail.index(trail[-1]) :]
    tables[circle[0]].wrong(f"passes go in a circle: {' from '.join(circle)}", "from",
                            remedy="take one of these names out of 'from'")  # fmt: skip
