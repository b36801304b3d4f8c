"""A first look at what is about to be recorded, cheap enough for every commit: can it touch anything closed at all?

It only ever says "no" where that is certain; everything else is looked at again or judged in full. Modules of the
standard library that are slow to import are left alone here, `subprocess` and `re` among them: a hook runs at every
commit.
"""

from __future__ import annotations

import os

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable

#: Nothing is fetched, nothing locked, nothing replaced; no program of the repository's choosing is run.
_SETTLED = {"GIT_NO_LAZY_FETCH": "1", "GIT_NO_REPLACE_OBJECTS": "1", "GIT_OPTIONAL_LOCKS": "0", "LC_ALL": "C"}
#: How somebody may have told git to read names; beside a name meant letter by letter git would refuse to answer.
_NEVER = ("GIT_LITERAL_PATHSPECS", "GIT_GLOB_PATHSPECS", "GIT_NOGLOB_PATHSPECS", "GIT_ICASE_PATHSPECS")
_GIT = ("git", "--no-pager", "--literal-pathspecs", "-c", "core.fsmonitor=false")
#: A pipe takes so much without anybody reading (POSIX asks for 512 bytes, Linux gives 64 KiB, macOS 16 KiB).
_ROOM = 12_000
_TEXT_ENDS = (b".md", b".txt")
_TAGS = ("refs/tags/lock", "refs/tags/alteration")
_LEDGER, _LOCK, _SLIP = b"ledger/", b"ledger/lock-", b"ledger/alteration-"


class Look:
    """What a first look finds: contents (as agreed, as staged) of signed-off script files, none where none is touched.

    `drawn` is whether drawings are signed off, so that action counts as well.
    """

    __slots__ = ("drawn", "pairs")

    def __init__(self, pairs: list[tuple[bytes, bytes]] | None = None, *, drawn: bool = False) -> None:
        self.pairs, self.drawn = pairs or [], drawn


def first_look() -> Look | None:
    """What the commit about to be made could do to anything closed; None where it must be judged in full.

    Works in the current folder, with the environment that git gives its hooks.
    """
    if any(name.startswith("GITHEAD_") for name in os.environ):
        return None
    said, code = _ask(
        "diff-index", "--cached", "--raw", "-z", "--no-renames", "--no-abbrev", "--ignore-submodules=none", "HEAD"
    )
    if code:
        return None
    parts = said.split(b"\0")
    staged = {path: facts for facts, path in zip(parts[::2], parts[1::2], strict=False)}
    return _closed(staged) if staged else Look()


def _closed(staged: dict[bytes, bytes]) -> Look | None:
    listed, code = _ask("ls-files", "-z", "--", "ledger")
    if code:
        return None
    entries = [path for path in listed.split(b"\0") if path.endswith(b".toml")]
    locks = [path for path in entries if path.startswith(_LOCK)]
    for path in staged:
        if path.startswith(_LEDGER) and path.endswith(b".toml"):
            return None
        if path == b"book.toml" and locks:
            return None
    tagged = _tagged()
    if tagged is None or not all(path in entries for path in tagged):
        return None
    named = [path for path in entries if path.startswith((_LOCK, _SLIP))] if locks else []
    asked = [*(b":" + path for path in named), *(ref + b":" + path for path, ref in tagged.items())]
    found = _contents([b"MERGE_HEAD", b":book.toml", b"HEAD:book.toml", *asked])
    if found is None or found[0] is not None:
        return None
    now, then = dict(zip(named, found[3:], strict=False)), dict(zip(tagged, found[3 + len(named) :], strict=True))
    if any(content is not None and content != now.get(path) for path, content in then.items()):
        return None
    books = [book for book in found[1:3] if book is not None]
    if locks and not books:
        return None
    if any(b'block"' in book or b"block'" in book for book in books):
        return None
    return _touched(staged, books, now) if locks else Look()


def _tagged() -> dict[bytes, bytes] | None:
    """Path of an entry -> its tag, for the sign-offs and slips that have one; None where git can't tell.

    An entry that is here no more, or not as it was recorded, is for the judgement to weigh.
    """
    said, code = _ask("for-each-ref", "--format=%(refname)", *_TAGS)
    if code:
        return None
    names = [ref.split(b"/")[2:] for ref in said.split(b"\n")[:-1]]
    return {b"ledger/" + b"-".join(name) + b".toml": b"refs/tags/" + b"/".join(name) for name in names}


def _touched(staged: dict[bytes, bytes], books: list[bytes], entries: dict[bytes, bytes | None]) -> Look | None:
    """The staged script files that a sign-off names, each with every content that was agreed for it.

    None where a path can't be told from one that is closed without reading more, and for any other closed file.
    """
    agreed: dict[bytes, set[bytes]] = {}
    for entry in entries.values():
        files = _files_of(entry) if entry is not None else None
        if files is None:
            return None
        for path, oid in files.items():
            agreed.setdefault(path, set()).add(oid)
    folders = _folders(books, agreed)
    if folders is None:
        return None
    touched = [path for path in staged if path in agreed or path.startswith(folders)]
    scopes = [_scopes_of(entry or b"") for entry in entries.values()]
    words_closed = any(b'"wording"' in each for each in scopes)
    if touched and (words_closed or any(b"balloon_growth" in book for book in books)):
        return None
    wanted = []
    for path in touched:
        facts = staged[path].split(b" ")
        if path not in agreed or facts[-1] != b"M" or not path.lower().endswith(_TEXT_ENDS) or b"" in agreed[path]:
            return None
        wanted += [(oid, facts[3]) for oid in sorted(agreed[path])]
    contents = _contents([oid for pair in wanted for oid in pair]) if wanted else []
    if contents is None or any(content is None for content in contents):
        return None
    known = [content for content in contents if content is not None]
    pairs = list(zip(known[::2], known[1::2], strict=True))
    return Look(pairs, drawn=any(b'"drawing"' in each for each in scopes))


def _files_of(entry: bytes) -> dict[bytes, bytes] | None:
    """Path -> object id that an entry names; None where it can't be told without reading it as TOML."""
    lines = entry.split(b"\n")
    quoted = [line for line in lines if line.startswith(b'"')]
    if b"[files]" not in lines or any(b"\\" in line or line.count(b'"') != 4 for line in quoted):
        return None
    files = {line.split(b'"')[1]: line.split(b'"')[3] for line in quoted}
    texts = any(path.lower().endswith(_TEXT_ENDS) for path in files)
    pictures = any(not path.lower().endswith(_TEXT_ENDS) for path in files)
    drawing = b'"drawing"' in _scopes_of(entry)
    return None if (drawing and not pictures) or (not drawing and not texts) else files


def _scopes_of(entry: bytes) -> bytes:
    return next((line for line in entry.split(b"\n") if line.startswith(b"scopes")), b"")


def _folders(books: list[bytes], named: Iterable[bytes]) -> tuple[bytes, ...] | None:
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
    env = {name: value for name, value in os.environ.items() if name not in _NEVER} | _SETTLED
    try:
        child = os.posix_spawnp("git", [*_GIT, *args], env, file_actions=actions)
    except OSError:
        os.close(reading)
        return b"", 127
    finally:
        for each in (output, source, quiet):
            os.close(each)
    with open(reading, "rb") as said:
        data = said.read()
    return data, os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
