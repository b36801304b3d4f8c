"""Running git so that it runs no program but itself, speaks one language and fetches nothing.

Standard modules that are slow to import are asked for inside functions: the hooks pass through here.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from typing import IO, TYPE_CHECKING, Any

from ledger.gitedge.complaints import as_refusal, not_found
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    import subprocess

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
#: So many bytes of a long output are read at once.
_PIECE = 1 << 17
_NEVER = (
    "GIT_EXTERNAL_DIFF", "GIT_DIFF_OPTS", "GIT_LITERAL_PATHSPECS", "GIT_GLOB_PATHSPECS", "GIT_NOGLOB_PATHSPECS",
    "GIT_ICASE_PATHSPECS",
)  # fmt: skip


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


def _scratch() -> IO[bytes]:
    """A file that is nowhere on disk: in memory where the system can, since making a name for one is slow to import."""
    if hasattr(os, "memfd_create"):
        return open(os.memfd_create("inkledger"), "w+b")
    import tempfile

    return tempfile.TemporaryFile()


def flow_of_git(
    args: tuple[str | bytes, ...], folder: str, *, input: bytes, env: Mapping[str, str | None]
) -> Iterator[bytes]:
    """Starts git in a folder and gives its output piece by piece, while it goes on. See `Repository.flow`."""
    import subprocess

    complaint = _scratch()
    try:
        git = subprocess.Popen(
            command(args), cwd=folder, env=environment(env),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=complaint,
        )  # fmt: skip
    except FileNotFoundError:
        complaint.close()
        raise not_found(folder) from None
    assert git.stdin is not None
    try:
        git.stdin.write(input)
        git.stdin.close()
    except BrokenPipeError:
        pass  # it ended before it had read everything, and says why when it is read
    return _pieces(git, complaint, folder)


def _pieces(git: subprocess.Popen[bytes], complaint: IO[bytes], folder: str) -> Iterator[bytes]:
    with complaint:
        with git:
            assert git.stdout is not None
            while piece := git.stdout.read(_PIECE):
                yield piece
        if git.returncode:
            complaint.seek(0)
            raise as_refusal(complaint.read(), git.returncode, folder)
