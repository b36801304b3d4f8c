"""One repository, and the one way that git is run in it.

Standard modules that are slow to import are asked for inside functions: the hooks pass through here.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from ledger.gitedge.complaints import nameless
from ledger.gitedge.running import PLACE, command, environment, flow_of_git, run_git

if TYPE_CHECKING:
    import subprocess
    from datetime import datetime
    from pathlib import Path

    from ledger.gitedge.objects import Reader
    from ledger.gitedge.standing import Hindrance

#: Configuration that tells what a content filter runs, and whether objects may be left out of a clone.
_OF_CONTENT = r"^(filter\..*|extensions\.partialclone|remote\..*\.promisor)$"


def path_text(data: bytes) -> str:
    """A path as git gives it, as text; bytes that are no UTF-8 stand as lone surrogates, whatever the locale."""
    return data.decode("utf-8", "surrogateescape")


def path_bytes(path: str) -> bytes:
    """The bytes of such a path."""
    return path.encode("utf-8", "surrogateescape")


def split_z(data: bytes) -> list[bytes]:
    """The parts of a list that git ended with NUL each."""
    return data.split(b"\0")[:-1]


class Repository:
    """A repository with a working tree. Paths are absolute; `object_format` is "sha1" or "sha256"."""

    __slots__ = ("_common", "_configured", "_dropped", "_git", "_reader", "_top", "object_format")

    def __init__(
        self, top: str, git_dir: str, common_dir: str, object_format: str = "sha1", *, dropped: tuple[str, ...] = ()
    ) -> None:
        self._top, self._git, self._common, self._dropped = top, git_dir, common_dir, dropped
        self.object_format = object_format
        self._configured: tuple[str, ...] | None = None
        self._reader: Reader | None = None

    @classmethod
    def find(cls, here: Path | str, *, own: bool = False) -> Repository:
        """The repository that a folder belongs to, as git finds it.

        With `own` the variables git gives its hooks are not believed (for a book laid out inside one).
        Raises Refusal where there is none, where it has no working tree, and where git can't read it.
        """
        from ledger.gitedge.finding_git import find

        return find(os.path.abspath(here), PLACE if own else ())

    @classmethod
    def served(cls, here: Path | str) -> Repository:
        """The git folder that a folder lies in, as a repository without a working tree: its top is that folder.

        What is being pushed there is seen too, while git asks a hook about it. Raises Refusal where there is none.
        """
        from ledger.gitedge.finding_git import served

        return served(os.path.abspath(here))

    @property
    def top(self) -> Path:
        """The book's top folder."""
        return _path(self._top)

    @property
    def git_dir(self) -> Path:
        """The git folder of this working tree."""
        return _path(self._git)

    @property
    def common_dir(self) -> Path:
        """The git folder that all working trees share."""
        return _path(self._common)

    @property
    def index_path(self) -> str:
        """Where the index is: git's own, or the one it gave a hook."""
        given = None if "GIT_INDEX_FILE" in self._dropped else os.environ.get("GIT_INDEX_FILE")
        return os.path.join(self._top, given) if given else os.path.join(self._git, "index")

    def in_git_dir(self, name: str) -> str:
        """A path inside this working tree's git folder."""
        return os.path.join(self._git, name)

    def in_common_dir(self, name: str) -> str:
        """A path inside the git folder that all working trees share."""
        return os.path.join(self._common, name)

    @property
    def top_text(self) -> str:
        """The book's top folder as text, for the hooks."""
        return self._top

    @property
    def git_dir_text(self) -> str:
        """The git folder of this working tree as text, for the hooks."""
        return self._git

    @property
    def partial(self) -> bool:
        """Whether git may leave objects out until they are asked for (a partial clone)."""
        return any(not name.startswith("filter.") for name in self._said_of_content)

    def in_top(self, path: str) -> bytes:
        """Where a file of the book lies on disk."""
        return os.fsencode(self._top) + b"/" + path_bytes(path)

    @property
    def zero(self) -> str:
        """The object id that stands for none."""
        return "0" * (64 if self.object_format == "sha256" else 40)

    def run(
        self,
        *args: str | bytes,
        input: bytes | None = None,
        env: Mapping[str, str] | None = None,
        check: bool = True,
    ) -> bytes:
        """Runs git at the top of the book and gives its output. The only way that git is run.

        `input` is what it reads; `env` is set beside the settled environment. Raises Refusal in plain
        words with the way out where git fails; with `check` False a failure gives what came out.
        """
        output, _ = self.ask(*args, input=input, env=env, check=check)
        return output

    def ask(
        self,
        *args: str | bytes,
        input: bytes | None = None,
        env: Mapping[str, str] | None = None,
        check: bool = False,
        hooks: bool = False,
        holding: int | None = None,
    ) -> tuple[bytes, int]:
        """As `run`, with git's exit code beside the output.

        `hooks` leaves core.hooksPath as configured; `holding` is an open file (and its lock) that git keeps open
        until it ends, even if we are killed meanwhile.
        """
        return run_git(args, self._top, input=input, env=self._env(env), check=check, hooks=hooks, holding=holding)

    def flow(self, *args: str | bytes, input: bytes) -> Iterator[bytes]:
        """As `run`, git begun at once and its output given piece by piece as it says it.

        Raises Refusal after the last piece where git fails.
        """
        return flow_of_git(args, self._top, input=input, env=self._env(None))

    @property
    def reader(self) -> Reader:
        """The one reader of this repository's objects."""
        if self._reader is None:
            from ledger.gitedge.objects import Reader

            # The reader gets a twin, so that nothing refers in a circle and its git ends when we let go.
            self._reader = Reader(
                Repository(self._top, self._git, self._common, self.object_format, dropped=self._dropped)
            )
        return self._reader

    def start(self, *args: str) -> subprocess.Popen[bytes]:
        """Starts a git that is talked with (`cat-file --batch`); its complaints go nowhere."""
        import subprocess

        return subprocess.Popen(
            command(args), cwd=self._top, env=environment(self._env(None)),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True,
        )  # fmt: skip

    def _env(self, env: Mapping[str, str] | None) -> dict[str, str | None]:
        return {**dict.fromkeys(self._dropped), **(env or {})}

    def without_filters(self) -> tuple[str, ...]:
        """Options that blank every configured content filter, for reading the working tree."""
        names = {name.rpartition(".")[0] for name in self._said_of_content if name.startswith("filter.")}
        kinds = ("clean", "smudge", "process", "required")
        return tuple(f"--config-env={n}.{kind}=INKLEDGER_BLANK" for n in sorted(names) for kind in kinds)

    @property
    def _said_of_content(self) -> tuple[str, ...]:
        """Names that git's configuration has of content filters, and of leaving objects out; asked for once."""
        if self._configured is None:
            out, _ = self.ask("config", "-z", "--name-only", "--get-regexp", _OF_CONTENT)
            self._configured = tuple(path_text(name) for name in split_z(out))
        return self._configured


def state_of(repo: Repository) -> Hindrance | None:
    """What stands in the way of a recording now (a merge, a rebase, a detached HEAD ...), or None."""
    from ledger.gitedge.standing import hindrance

    return hindrance(repo)


def committer(repo: Repository) -> tuple[str, str, datetime]:
    """Name, address and time as git would write them now. Raises Refusal where git knows no name."""
    from ledger.gitedge.standing import identity

    found = identity(repo)
    if found is None:
        raise nameless()
    return found.name, found.address, found.when


def _path(text: str) -> Path:
    from pathlib import Path

    return Path(text)
