"""Files put into the book's folder all together or not at all, staged or not, beside any commit."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from ledger.gitedge.indexes import copy_index, index_info, put_entries
from ledger.gitedge.intake import kept_bytes
from ledger.gitedge.journal import Journal, Move, Plan, held
from ledger.gitedge.repository import path_text
from ledger.gitedge.settling import carry_out, digest_on_disk, index_facts
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository


#: What a file is made of: its bytes, or another file to be copied.
Content = bytes | Path
#: The same, or what gives the bytes when they are written.
Later = Content | Callable[[], bytes]


def put_files(
    repo: Repository,
    contents: Mapping[str, Later],
    was: Mapping[str, bytes | str] | None = None,
    gone: Sequence[str] = (),
) -> None:
    """Writes files of the book and takes those `gone` away; git's index is left alone.

    `was` is what each was made from, its bytes or their SHA-256 in hex, with none for a new one; left out, they are
    written over what is there. Raises Refusal, with nothing changed, where a file is not as it was, a folder or a link
    is in the way, or nothing can be written.
    """
    if not contents and not gone:
        return
    with held(repo, index=False) as journal:
        for path in (*contents, *gone) if was is not None else ():
            if digest_on_disk(repo.in_top(path)) != (_digest(was[path]) if was and path in was else None):
                refuse_in_the_way(repo, path)
                raise Refusal("this file was changed meanwhile, so nothing was written", path=path, remedy="try again")
        put = tuple(ready(journal, number, path, content) for number, (path, content) in enumerate(contents.items()))
        leaving = tuple(Move(path, None, digest_on_disk(repo.in_top(path))) for path in gone)
        _carry_out(journal, b"", (*put, *leaving))


def put_and_stage(repo: Repository, contents: Mapping[str, bytes], *, over: bool = False) -> None:
    """Writes files of the book and stages them, whatever git is in the middle of; with `over` over what is there.

    Raises Refusal, with nothing changed, as `put_files` does, and where git's index is locked.
    """
    with held(repo) as journal:
        for path in contents:
            if not over and os.path.lexists(repo.in_top(path)):
                raise Refusal("this file is there already", path=path, remedy="move it elsewhere and try again")
        info = index_info(repo, kept_bytes(repo, contents).values())
        moves = tuple(ready(journal, number, path, data) for number, (path, data) in enumerate(contents.items()))
        copy_index(repo.index_path, journal.in_work("index"))
        put_entries(repo, journal.in_work("index"), info)
        _carry_out(journal, info, moves, contents)


def _carry_out(journal: Journal, info: bytes, moves: tuple[Move, ...], staged: Iterable[str] = ()) -> None:
    repo = journal.repo
    facts = index_facts(repo.index_path)
    carry_out(journal, Plan("", repo.zero, repo.zero, (), "", path_text(info), facts, moves), staged)


def _digest(data: bytes | str) -> str:
    return data if isinstance(data, str) else hashlib.sha256(data).hexdigest()


def ready(journal: Journal, number: int, path: str, data: Later) -> Move:
    """A file made ready beside its place under this number, to be put over whatever lies there now. Raises Refusal."""
    refuse_in_the_way(journal.repo, path)
    before = digest_on_disk(journal.repo.in_top(path))
    return Move(path, written_beside(journal, number, path, data), before)


def refuse_in_the_way(repo: Repository, path: str) -> None:
    """Raises Refusal where no file can be written: a folder or a link lies there, or in the place of its folder."""
    for above in folders_above(path):
        place = repo.in_top(above)
        if os.path.lexists(place) and (os.path.islink(place) or not os.path.isdir(place)):
            raise Refusal("this is in the way of a folder of the book", path=above, remedy="move it elsewhere")
    place = repo.in_top(path)
    if os.path.lexists(place) and (os.path.islink(place) or not os.path.isfile(place)):
        raise Refusal("this is in the way of a file to be written", path=path, remedy="move it elsewhere")


def written_beside(journal: Journal, number: int, path: str, data: Later) -> str:
    """Writes the bytes of a file beside its place, so that a full disk is met before anything changes; gives the name.

    The mode is that of the file that lies there. Folders on the way are made. Raises Refusal where a file that is to
    be copied can't be read.
    """
    name = f".inkledger-{number}"
    place = journal.repo.in_top(path)
    fresh = journal.repo.in_top(os.path.join(os.path.dirname(path), name))
    for above in folders_above(path):
        folder = journal.repo.in_top(above)
        if not os.path.isdir(folder):
            journal.note_stray(folder)
            os.mkdir(folder)
    journal.note_stray(fresh)
    with open(fresh, "wb") as file:
        if isinstance(data, Path):
            _copy(data, file)
        else:
            file.write(data if isinstance(data, bytes) else data())
    if os.path.isfile(place):
        os.chmod(fresh, os.stat(place).st_mode & 0o777)
    return name


def _copy(source: Path, to: BinaryIO) -> None:
    try:
        opened = source.open("rb")
    except OSError as fault:
        raise Refusal(
            f"it can't be read ({fault.strerror})", path=source.name, remedy="see whether it is still there and yours"
        ) from None
    with opened:
        shutil.copyfileobj(opened, to, 1 << 20)


def folders_above(path: str) -> list[str]:
    """The folders a path lies in, the topmost first."""
    parts = path.split("/")[:-1]
    return ["/".join(parts[: n + 1]) for n in range(len(parts))]
