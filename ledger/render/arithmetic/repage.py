"""The rename plan in words, as a document, and as the memo of a repaged round."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from ledger.model.entry import Round
from ledger.model.pages import label_order, page_numbers, pages_text
from ledger.plan.renaming import Renaming, Repaged, moves_of
from ledger.render.finding_documents import findings_list
from ledger.render.findings_text import findings_text
from ledger.render.places import ARROW
from ledger.render.plain import one_line, plural, wrapped


def repage_document(repaged: Repaged) -> dict[str, Any]:
    """`repage`: page labels; `to` is null for a page that was cut."""
    return {
        "moves": [{"from": label, "to": to} for label, to in moves_of(repaged.plan)],
        "applied": repaged.applied,
        "findings": findings_list(repaged.findings),
    }


def repage_text(repaged: Repaged) -> str:
    """What goes by which name, pass by pass, and what to do about it."""
    plan = repaged.plan
    if not plan.renamings:
        why = plan.why_none or "every export goes by the number of its page"
        return wrapped(f"Nothing to rename: {why}.", hang="")
    rows = [f"{one_line(plan.title)}: {plural(len(plan.renamings), 'export')} to rename.", ""]
    for name in dict.fromkeys(each.pass_name for each in plan.renamings):
        mine = [each for each in plan.renamings if each.pass_name == name]
        rows.append(wrapped(f"{one_line(name)}: {runs_text(mine)}"))
        rows += [f"  {row}" for row in _examples(mine)]
    if plan.masters:
        rows.append(wrapped(f"The working files of {', '.join(plan.masters)} keep their names: rename them yourself."))
    rows += ["", *(wrapped(each, hang="") for each in repaged.said)]
    if repaged.findings:
        rows.append(findings_text(repaged.findings))
    if not repaged.applied and not repaged.said:
        rows.append("Nothing was touched. To carry it out: inkledger repage --apply")
    return "\n".join(rows)


def _examples(found: Sequence[Renaming]) -> list[str]:
    """The first and the last file, and every picture that is set aside."""
    aside = [each for each in found if each.to is None]
    kept = [each for each in found if each.to is not None]
    shown = [*kept[:1], *kept[-1:]] if len(kept) > 1 else kept
    return [f"{one_line(each.path)}{ARROW}{one_line(each.new_path)}" for each in (*shown, *aside)]


def runs_text(found: Iterable[Renaming]) -> str:
    """`41-160 become 42-161; 12 set aside`: runs that all go by the same step."""
    kept = list(found)
    pairs = dict.fromkeys((each.label, each.to) for each in kept if each.to is not None and each.to != each.label)
    runs: list[list[tuple[str, str]]] = []
    for label, to in sorted(((label, to) for label, to in pairs if to is not None), key=lambda p: label_order(p[0])):
        if runs and _follows(runs[-1][-1], (label, to)):
            runs[-1].append((label, to))
        else:
            runs.append([(label, to)])
    told = []
    for run in runs:
        became = "becomes" if len(run) == 1 and len(page_numbers(run[0][0])) == 1 else "become"
        told.append(f"{pages_text(a for a, _ in run)} {became} {pages_text(b for _, b in run)}")
    aside = {each.label for each in kept if each.to is None}
    told += [f"{pages_text(aside)} set aside"] if aside else []
    padded = {each.label for each in kept if each.to == each.label}
    told += [f"{pages_text(padded)} padded, so that names sort"] if padded else []
    return "; ".join(told)


def _follows(before: tuple[str, str], pair: tuple[str, str]) -> bool:
    """Whether the next picture there is goes the same way; pages without a picture may lie between."""
    steps = [page_numbers(to)[0] - page_numbers(label)[0] for label, to in (before, pair)]
    return steps[0] == steps[1] and page_numbers(pair[0])[0] == page_numbers(before[0])[-1] + 1


def repage_memo(entry: Round, found: Sequence[Renaming]) -> str:
    """The memo of a round that only renames."""
    rows = [f"# {entry.name}", "", f"Pages were renumbered; no picture changed. {runs_text(found).capitalize()}.", ""]
    rows += [f"- `{each.path}`{ARROW}`{each.new_path}`" for each in found]
    return "\n".join(rows) + "\n"
