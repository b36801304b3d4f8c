"""What a hook says: which one it is, what it found, and the way out."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.model.finding import RULES, Finding
from ledger.render.findings_text import findings_text
from ledger.render.plain import one_line, wrapped

_CLOSED = frozenset(RULES["structure"] + RULES["wording"] + RULES["drawing"])

#: So many findings fill a screen; the others are counted.
_SHOWN = 8


def door_text(hook: str, act: str, found: Sequence[Finding], *, unstaged: bool = False) -> tuple[bool, str]:
    """Whether the act is stopped, and the words for it; what is only to be looked at is told and let through.

    `unstaged` is whether git takes files in for this act alone (`commit -a`), so that afterwards they are not staged.
    """
    stopping = [finding for finding in found if finding.blocks]
    if not stopping:
        head = f"inkledger ({hook}): this {act} goes through; something to look at."
        return False, "\n".join([wrapped(head), findings_text(found)])
    late = [finding for finding in stopping if finding.rule in _CLOSED]
    why = "it changes what was signed off" if late else "it does not keep to the ledger"
    head = wrapped(f"inkledger ({hook}): this {act} was stopped, because {why}.")
    if act == "push" or not late:
        return True, "\n".join([head, findings_text(found)])
    told = [finding._replace(remedy=None) if finding in late else finding for finding in found]
    shown = [finding for finding in told if finding.blocks][:_SHOWN]
    parts = [head, findings_text(told)] if len(told) <= _SHOWN else [head, findings_text(shown), _rest(len(told))]
    return True, "\n".join([*parts, "", *_ways_out(late, unstaged=unstaged)])


def _rest(count: int) -> str:
    return f"{count - _SHOWN} more of {count}: inkledger check --staged tells them all."


def _ways_out(late: Sequence[Finding], *, unstaged: bool) -> list[str]:
    """Taking the change back, or agreeing to it; as command lines of their own, which are never wrapped."""
    paths = list(dict.fromkeys(finding.path for finding in late if finding.path))
    few = 0 < len(paths) <= 3
    named = " ".join(map(_shell, paths)) if few else "FILE"
    return [
        "Take it back:",
        f"  git restore --staged --worktree -- {named}",
        "Or agree to it, with a slip that says why:",
        *([f"  git add {f'-- {named}' if few else '-u'}"] if unstaged else []),
        '  inkledger alter --reason "why it is changed"',
        "  git commit",
    ]


def _shell(path: str) -> str:
    """A path as it is typed in a shell."""
    shown = one_line(path)
    plain = all(sign.isalnum() or sign in "/._-" for sign in shown)
    return shown if plain else "'" + shown.replace("'", "'\\''") + "'"
