"""One repository, and the one function that runs git.

Standard modules that are slow to import are asked for inside functions: the hooks pass through here.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ledger.gitedge.complaints import as_refusal, nameless, not_found
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    import subprocess
    from datetime import datetime
    from pathlib import Path

    from ledger.gitedge.objects import Reader
    from ledger.gitedge.standing import Hindrance

#: Settings that would make git run a program of the repository's choosing, blanked for every run.
BLANKS: tuple[str, ...] = (
    "core.fsmonitor=false",
    "core.hooksPath=/dev/null",
    "core.pager=cat",
    "core.editor=:",
    "core.askPass=",
    "core.sshCommand=false",
    "core.alternateRefsCommand=",
    "diff.external=",
    "credential.helper=",
    "gpg.program=false",
    "commit.gpgSign=false",
    "tag.gpgSign=false",
    "i18n.commitEncoding=UTF-8",
    "i18n.logOutputEncoding=UTF-8",
    "log.showSignature=false",
    "submodule.recurse=false",
    "advice.detachedHead=false",
    "advice.graftFileDeprecated=false",
)
#: What the environment says to every git we run: one language, nothing fetched, nothing locked for reading.
SETTLED: Mapping[str, str] = {
    "LC_ALL": "C",
    "LANGUAGE": "C",
    "GIT_ALLOW_PROTOCOL": "",
    "GIT_GRAFT_FILE": os.devnull,
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_NO_REPLACE_OBJECTS": "1",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_PAGER": "cat",
    "GIT_EDITOR": ":",
    "INKLEDGER_BLANK": "",
}
#: Variables by which git tells a hook where it works; a book asked for by its folder does not believe them.
PLACE: tuple[str, ...] = (
    "GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_COMMON_DIR", "GIT_OBJECT_DIRECTORY",
    "GIT_ALTERNATE_OBJECT_DIRECTORIES", "GIT_PREFIX", "GIT_NAMESPACE", "GIT_QUARANTINE_PATH", "GIT_SHALLOW_FILE",
)  # fmt: skip
_NEVER = ("GIT_EXTERNAL_DIFF", "GIT_DIFF_OPTS", "GIT_LITERAL_PATHSPECS", "GIT_GLOB_PATHSPECS", "GIT_ICASE_PATHSPECS")


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

    __slots__ = ("_common", "_dropped", "_filters", "_git", "_partial", "_reader", "_top",
                 "object_format")  # fmt: skip

    def __init__(
        self, top: str, git_dir: str, common_dir: str, object_format: str = "sha1", *, dropped: tuple[str, ...] = ()
    ) -> None:
        self._top, self._git, self._common, self._dropped = top, git_dir, common_dir, dropped
        self.object_format = object_format
        self._filters: tuple[str, ...] | None = None
        self._partial: bool | None = None
        self._reader: Reader | None = None

    @classmethod
    def find(cls, here: Path | str, *, own: bool = False) -> Repository:
        """The repository that a folder belongs to, as git finds it.

        With `own` the variables git gives its hooks are not believed (for a book laid out inside one).
        Raises Refusal where there is none, where it has no working tree, and where git can't read it.
        """
        from ledger.gitedge.finding_git import find

        return find(os.path.abspath(here), PLACE if own else ())

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
    def partial(self) -> bool:
        """Whether git may leave objects out until they are asked for (a partial clone)."""
        if self._partial is None:
            said = self.run("config", "--get-regexp", r"^(extensions\.partialclone|remote\..*\.promisor)$", check=False)
            self._partial = bool(said.strip())
        return self._partial

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
        if self._filters is None:
            out, _ = self.ask("config", "-z", "--name-only", "--get-regexp", r"^filter\.")
            names = {path_text(n).rpartition(".")[0] for n in split_z(out)}
            kinds = ("clean", "smudge", "process", "required")
            self._filters = tuple(f"--config-env={n}.{kind}=INKLEDGER_BLANK" for n in sorted(names) for kind in kinds)
        return self._filters


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


def command(args: tuple[str | bytes, ...], *, hooks: bool = False) -> list[str | bytes]:
    """The command line of a git that runs no program but itself."""
    blanks = [word for blank in BLANKS if not (hooks and "hooksPath" in blank) for word in ("-c", blank)]
    return ["git", "--no-pager", "--literal-pathspecs", *blanks, *args]


def environment(extra: Mapping[str, str | None]) -> dict[str, str]:
    """The environment git gets: ours (with what git gave a hook), the settled part, then `extra`; None takes away."""
    env = {**os.environ, **SETTLED, **extra}
    return {name: value for name, value in env.items() if value is not None and name not in _NEVER}


def run_git(
    args: tuple[str | bytes, ...],
    folder: str,
    *,
    input: bytes | None = None,
    env: Mapping[str, str | None],
    check: bool,
    hooks: bool = False,
    holding: int | None = None,
) -> tuple[bytes, int]:
    """Runs git in a folder; gives output and exit code. See `Repository.ask`."""
    import subprocess

    line = command(args, hooks=hooks)
    given: dict[str, Any] = {"stdin": subprocess.DEVNULL} if input is None else {"input": input}
    if holding is not None:
        given |= {"pass_fds": (holding,), "start_new_session": True}
    try:
        done = subprocess.run(line, cwd=folder, env=environment(env), capture_output=True, check=False, **given)
    except FileNotFoundError:
        raise not_found(folder) from None
    except OSError as fault:
        raise Refusal(
            f"git could not be started: {fault.strerror}",
            remedy="close what is not needed on this machine and try again",
        ) from None
    if check and done.returncode != 0:
        raise as_refusal(done.stderr, done.returncode, folder)
    return done.stdout, done.returncode
