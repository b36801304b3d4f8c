"""What the doors after the commit say: the audit, the push on this machine, the repository that is pushed to."""

from __future__ import annotations

import json

from tests.probes.ground import Ground, act

REFS = ("HEAD:refs/heads/main",)


def told(ground: Ground, reach: str = "HEAD") -> dict[str, str]:
    """Rule -> the hardest level at which the audit tells it."""
    code, said = ground.ledger("audit", "--json", reach)
    assert code in (0, 1), said
    found = json.loads(said)["findings"]
    levels = {finding["rule"]: "query" for finding in found}
    return levels | {finding["rule"]: "block" for finding in found if finding["level"] == "block"}


def stopped(done: tuple[int, str], hook: str, *rules: str) -> None:
    """An act that our hook refused, naming the rules."""
    code, said = done
    assert code != 0, f"{hook}: it went through\n{said}"
    for rule in rules:
        assert f"inkledger ({hook})" in said and f"block: {rule}" in said, f"{hook}: {rule} is not named\n{said}"


def refused_after_commit(
    ground: Ground,
    rules: tuple[str, ...],
    refs: tuple[str, ...] = REFS,
    *,
    there: str = "",
    settled: bool = False,
    by_git: bool = True,
    reach: str = "HEAD",
) -> None:
    """Three doors, each told by the rule and leaving everything as it was; then the control, which goes through.

    `there` is the rule by which the other copy tells it, if that is another one; `settled` is whether the audit finds
    it undone. Without `by_git` the hook of the push on this machine is run as git runs it, without git.
    """
    found = told(ground, reach)
    assert [found.get(rule) for rule in rules] == ["query" if settled else "block"] * len(rules), found
    ground.with_hooks()
    before = ground.held()
    if by_git:
        stopped(act(ground.book, "push", "-q", "guarded", *refs), "pre-push", *rules)
    else:
        hook = act(ground.book, str(ground.hooks / "pre-push"), "guarded", "../guarded.git", input=_main_line(ground))
        stopped(hook, "pre-push", *rules)
    stopped(
        act(ground.book, "push", "-q", "--no-verify", "guarded", *refs), "pre-receive", *((there,) if there else rules)
    )
    assert ground.held() == before
    code, said = act(ground.book, "push", "-q", "--no-verify", "open", *refs)
    assert code == 0, said


def _main_line(ground: Ground) -> str:
    """What git would tell the hook of a push of the main branch."""
    new, old = (ground.book.git("rev-parse", rev) for rev in ("HEAD", "guarded/main"))
    return f"refs/heads/main {new} refs/heads/main {old}\n"


def free_after_commit(ground: Ground, refs: tuple[str, ...] = REFS) -> None:
    """Three doors that let it through."""
    blocking = [rule for rule, level in told(ground).items() if level == "block"]
    assert not blocking
    code, said = act(ground.book, "push", "-q", "guarded", *refs)
    assert code == 0, said
