"""What git's hooks run: `python -I -m ledger.cli.door pre-commit`.

The first look costs a few git questions and no library. Only where something closed may be touched is the change
judged in full, by the same judgement as `inkledger check --staged`.
"""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from ledger.model.finding import Finding

#: What stands still when a hook refuses.
_ACTS = {
    "pre-commit": "commit",
    "pre-merge-commit": "merge",
    "pre-applypatch": "patch",
    "pre-push": "push",
    "pre-receive": "push",
}


def main(arguments: list[str]) -> int:
    """Answers for one hook; 0 lets git go on, 1 stops it. No traceback reaches the user."""
    hook = arguments[0] if arguments else ""
    if hook not in _ACTS:
        sys.stderr.write(f"inkledger: {hook or 'nothing'} is no hook of inkledger's\n")
        return 1
    try:
        return _judged(hook, arguments[1:])
    except Exception as fault:
        if os.environ.get("INKLEDGER_DEBUG"):
            raise
        return _refused(hook, fault)


def _judged(hook: str, arguments: list[str]) -> int:
    if hook == "pre-push":
        from ledger.desk.history.pushing import push_findings

        said = sys.stdin.buffer.read()
        remote, said = (arguments[:1], said) if said or arguments else _by_the_framework()
        found = push_findings(os.getcwd(), remote, said)
    elif hook == "pre-receive":
        from ledger.desk.history.received import received_findings

        found = received_findings(os.getcwd(), sys.stdin.buffer.read())
    else:
        if _surely_free():
            return 0
        import gc

        # A hook is over before it could fill the memory: looking for garbage takes a tenth of its time.
        gc.disable()
        from ledger.desk.staged import staged_findings

        found = staged_findings(os.getcwd(), told=hook == "pre-merge-commit")
        gc.freeze()
    return _answer(hook, found) if found else 0


def _by_the_framework() -> tuple[list[str], bytes]:
    """The remote and the ref that the pre-commit framework hands on, as git would tell them.

    The framework keeps git's own words to itself and names the first ref of a push in the environment
    (https://pre-commit.com, "pre-push"); no ids where the whole history is new there, nothing where it is run by hand.
    """
    told = os.environ
    here, there = told.get("PRE_COMMIT_LOCAL_BRANCH", "HEAD"), told.get("PRE_COMMIT_REMOTE_BRANCH", "HEAD")
    new, old = told.get("PRE_COMMIT_TO_REF", here), told.get("PRE_COMMIT_FROM_REF", "0")
    return [told.get("PRE_COMMIT_REMOTE_NAME", "origin")], f"{here} {new} {there} {old}\n".encode(
        "utf-8", "surrogateescape"
    )


def _surely_free() -> bool:
    """Whether a first look can tell that nothing closed is touched, or nothing of it but words that are free."""
    from ledger.gitedge.glance import first_look

    look = first_look()
    if look is None:
        return False
    if not look.pairs:
        return True
    from ledger.judge.agreed.first_look import only_words

    return all(only_words(agreed, now, drawn=look.drawn) for agreed, now in look.pairs)


def _answer(hook: str, found: tuple[Finding, ...]) -> int:
    from ledger.render.refusal import door_text

    # For `commit -a` and `commit FILE` git asks about an index of its own, which it drops when it is stopped.
    unstaged = os.environ.get("GIT_INDEX_FILE", "").endswith(".lock")
    stopped, text = door_text(hook, _ACTS[hook], found, unstaged=unstaged)
    _say(text)
    return int(stopped)


def _refused(hook: str, fault: Exception) -> int:
    """What could not be judged is not let through: in one sentence why, and the way out."""
    act = _ACTS[hook]
    place = ":".join(str(part) for part in (getattr(fault, "path", None), getattr(fault, "line", None)) if part)
    message, remedy = getattr(fault, "message", None), getattr(fault, "remedy", None)
    if isinstance(fault, ImportError):
        message = f"inkledger's own installation is broken ({fault})"
        remedy = f"install inkledger again, then: inkledger hook install{' --server' * (hook == 'pre-receive')}"
    elif message is None:
        why = getattr(fault, "strerror", None) or getattr(fault, "why", None)
        message = f"{getattr(fault, 'name', None) or 'something'} can't be read ({why})" if why else None
    if message is None:
        message = f"a fault of inkledger's own ({type(fault).__name__})"
        remedy = "to see the details, run it again with INKLEDGER_DEBUG=1 in the environment"
    said = f"{place}: {message}" if place else message
    _say(f"inkledger ({hook}): this {act} was stopped, because it could not be judged.\n  {said}")
    if remedy:
        _say(f"  To do: {remedy}")
    return 1


def _say(text: str) -> None:
    try:
        from ledger.render.plain import visible

        text = visible(text)
    except ImportError:
        pass
    sys.stderr.buffer.write(text.rstrip("\n").encode("utf-8", "replace") + b"\n")
    sys.stderr.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
