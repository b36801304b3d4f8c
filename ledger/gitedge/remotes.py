"""What is known here of another copy of the book."""

from __future__ import annotations

from ledger.gitedge.repository import Repository


def known_of(repo: Repository, remote: str) -> dict[str, str]:
    """Branch (`refs/heads/main`) -> commit, as the remote had it when last asked; nothing for a plain address."""
    if not remote or remote.startswith("-") or any(sign in remote for sign in "*?[:~^ \\"):
        return {}
    under = f"refs/remotes/{remote}/"
    said = repo.run("for-each-ref", "--format=%(refname) %(objectname)", under).decode("utf-8", "surrogateescape")
    pairs = (line.rpartition(" ") for line in said.splitlines())
    return {f"refs/heads/{name.removeprefix(under)}": oid for name, _, oid in pairs if not name.endswith("/HEAD")}


def refs_here(repo: Repository) -> dict[str, str]:
    """Ref -> the object it stands for, of every ref of this repository."""
    said = repo.run("for-each-ref", "--format=%(refname) %(objectname)").decode("utf-8", "surrogateescape")
    return {name: oid for name, _, oid in (line.rpartition(" ") for line in said.splitlines())}


def led_on(repo: Repository) -> dict[str, str]:
    """Ref -> the ref that it only leads to (a symbolic ref): who moves the one moves the other."""
    said = repo.run("for-each-ref", "--format=%(refname) %(symref)").decode("utf-8", "surrogateescape")
    return {name: to for name, _, to in (line.partition(" ") for line in said.splitlines()) if to}


def remote_of(repo: Repository, ref: str) -> str | None:
    """The name of the remote that a remote-tracking branch (`refs/remotes/...`) belongs to; None for any other ref.

    A remote's own name may hold a `/`, so the configured ones are asked first.
    """
    if not ref.startswith("refs/remotes/"):
        return None
    import git

    with git.Repo(repo.top_text, search_parent_directories=False, expand_vars=False) as library:
        names = sorted((remote.name for remote in library.remotes), key=len, reverse=True)
    known = ref.removeprefix("refs/remotes/")
    return next((name for name in names if known.startswith(f"{name}/")), known.partition("/")[0])
