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
