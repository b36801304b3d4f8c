"""A first look at what is about to be recorded, cheap enough for every commit: can it touch anything closed at all?

It only ever says "no" where that is certain; everything else is judged in full. Modules of the standard library that
are slow to import are left alone here, `subprocess` and `re` among them: a hook runs at every commit.
"""

from __future__ import annotations

import os

#: Nothing is fetched, nothing locked, nothing replaced; no program of the repository's choosing is run.
_SETTLED = {"GIT_NO_LAZY_FETCH": "1", "GIT_NO_REPLACE_OBJECTS": "1", "GIT_OPTIONAL_LOCKS": "0", "LC_ALL": "C"}
_GIT = ("git", "--no-pager", "--literal-pathspecs", "-c", "core.fsmonitor=false")
#: A pipe takes so much without anybody reading (POSIX asks for 512 bytes, Linux gives 64 KiB, macOS 16 KiB).
_ROOM = 12_000
_TEXT_ENDS = (b".md", b".txt")
_LEDGER, _LOCK, _SLIP = b"ledger/", b"ledger/lock-", b"ledger/alteration-"


def nothing_closed_is_staged() -> bool:
    """Whether the commit about to be made touches nothing that a sign-off could close; False where it must be judged.

    Works in the current folder, with the environment that git gives its hooks.
    """
    if any(name.startswith("GITHEAD_") for name in os.environ):
        return False
    said, code = _ask("diff-index", "--cached", "--raw", "-z", "--no-renames", "HEAD")
    if code:
        return False
    parts = said.split(b"\0")
    staged = [(kind.rpartition(b" ")[2], path) for kind, path in zip(parts[::2], parts[1::2], strict=False)]
    return not staged or _harmless(staged)


def _harmless(staged: list[tuple[bytes, bytes]]) -> bool:
    entries = [path for path in _ask("ls-files", "-z", "--", "ledger")[0].split(b"\0") if path.endswith(b".toml")]
    locks = [path for path in entries if path.startswith(_LOCK)]
    for kind, path in staged:
        if path.startswith(_LEDGER) and path.endswith(b".toml") and (kind != b"A" or path.startswith(_LOCK)):
            return False
        if path == b"book.toml" and locks:
            return False
    asked = [b"MERGE_HEAD", b":book.toml", b"HEAD:book.toml"]
    asked += [b":" + path for path in entries if path.startswith((_LOCK, _SLIP))] if locks else []
    found = _contents(asked)
    if found is None or found[0] is not None:
        return False
    books = [book for book in found[1:3] if book is not None]
    if any(b'block"' in book or b"block'" in book for book in books):
        return False
    return not locks or _outside([path for _, path in staged], books, found[3:])


def _outside(staged: list[bytes], books: list[bytes], entries: list[bytes | None]) -> bool:
    """Whether no path can be one that a sign-off or slip names, or one that lies where such files lie."""
    named: set[bytes] = set()
    for entry in entries:
        paths = _paths_of(entry) if entry is not None else None
        if paths is None:
            return False
        named |= paths
    folders = _folders(books, named)
    return folders is not None and not any(path in named or path.startswith(folders) for path in staged)


def _paths_of(entry: bytes) -> set[bytes] | None:
    """The paths that an entry names; None where it can't be told without reading it as TOML."""
    lines = entry.split(b"\n")
    quoted = [line for line in lines if line.startswith(b'"')]
    paths = {line[1:].partition(b'"')[0] for line in quoted}
    if b"[files]" not in lines or any(b"\\" in line for line in quoted):
        return None
    scopes = next((line for line in lines if line.startswith(b"scopes")), b"")
    texts = any(path.lower().endswith(_TEXT_ENDS) for path in paths)
    pictures = any(not path.lower().endswith(_TEXT_ENDS) for path in paths)
    if (b'"drawing"' in scopes and not pictures) or (b'"drawing"' not in scopes and not texts):
        return None
    return paths


def _folders(books: list[bytes], named: set[bytes]) -> tuple[bytes, ...] | None:
    """Where files of the closed passes lie: the fixed beginnings of their patterns. None where that can't be told."""
    folders: list[bytes] = []
    for book in books:
        if b"\\" in book or not book.isascii():
            return None
        for block in book.split(b"[[pass]]"):
            begins = [_beginning(piece) for piece in _pieces(block) if b"/" in piece or b"*" in piece]
            if any(path.startswith(begin) for begin in begins for path in named):
                folders += begins
    return tuple(folders)


def _pieces(block: bytes) -> list[bytes]:
    """Everything that stands between two quotes, whichever of them opens."""
    return [piece for quote in (b'"', b"'") for piece in block.split(quote) if b"\n" not in piece]


def _beginning(pattern: bytes) -> bytes:
    """The folder part of a pattern before anything that varies."""
    fixed = pattern.partition(b"*")[0].partition(b"{")[0]
    return fixed[: fixed.rfind(b"/") + 1]


def _contents(names: list[bytes]) -> list[bytes | None] | None:
    """The bytes of objects by name, None for one that is not there; None where too much would have to be asked."""
    asked = b"".join(name + b"\n" for name in names)
    if len(asked) > _ROOM or any(b"\n" in name for name in names):
        return None
    said, code = _ask("cat-file", "--batch", given=asked)
    found: list[bytes | None] = []
    while said and not code:
        head, _, said = said.partition(b"\n")
        words = head.split(b" ")
        if len(words) == 3 and words[2].isdigit():
            size = int(words[2])
            found.append(said[:size])
            said = said[size + 1 :]
        else:
            found.append(None)
    return found if len(found) == len(names) else None


def _ask(*args: str, given: bytes = b"") -> tuple[bytes, int]:
    """Runs git; gives its output and exit code. A git that can't be started has code 127."""
    reading, output = os.pipe()
    source, writing = os.pipe()
    os.write(writing, given)
    os.close(writing)
    quiet = os.open(os.devnull, os.O_WRONLY)
    actions = [(os.POSIX_SPAWN_DUP2, source, 0), (os.POSIX_SPAWN_DUP2, output, 1), (os.POSIX_SPAWN_DUP2, quiet, 2)]
    try:
        child = os.posix_spawnp("git", [*_GIT, *args], {**os.environ, **_SETTLED}, file_actions=actions)
    except OSError:
        os.close(reading)
        return b"", 127
    finally:
        for each in (output, source, quiet):
            os.close(each)
    with open(reading, "rb") as said:
        data = said.read()
    return data, os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
