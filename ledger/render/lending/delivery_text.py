"""What `deliver` says: in sentences, as a document, and in the bundle's own `bag-info.txt`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from ledger.model.delivery import Bundle, Delivered, SinceLast
from ledger.model.finding import Finding
from ledger.model.outcome import Outcome
from ledger.model.pages import pages_text, pages_words
from ledger.render.outcome import outcome_document
from ledger.render.plain import bytes_words, plural

#: What became of pages since the last delivery, in the words of a list.
CHANGE_WORDS = {
    "touch-up": "touched up", "redrawn": "redrawn", "layout": "laid out anew", "swapped": "another page's picture",
    "unread": "changed, could not be looked at", "added": "new", "gone": "no longer here",
}  # fmt: skip


#: What was checked in the words of a list, and the rules that must have had nothing to say.
_CHECKS = (
    (("export-missing",), "no page is missing"),
    (("export-unreadable",), "every file opens"),
    (("export-size",), "sizes and stated resolutions are as book.toml asks"),
    (("export-mode",), "modes are as it asks"),
    (("page-number", "page-duplicate"), "no page is there twice"),
    (("page-stale", "page-reverted", "export-behind"), "none rests on older content"),
    (("not-as-signed",), "each is as it was signed off"),
)


def bag_facts(bundle: Bundle) -> list[tuple[str, str]]:
    """What is said of the bag, under the labels that RFC 8493 reserves (2.2.2)."""
    from ledger import __version__

    return [
        ("Contact-Name", bundle.by.partition("<")[0].strip()),
        ("External-Description", f"{bundle.title}: {' and '.join(bundle.passes)}, {what_pages(bundle)}"),
        ("Bagging-Date", bundle.date.isoformat()[:10]),
        ("Bag-Software-Agent", f"inkledger {__version__}"),
    ]


def what_pages(bundle: Bundle) -> str:
    """`all pages`, `part 2 (pages 49-96)`."""
    words = pages_words(bundle.pages)
    return f"part {bundle.part} ({words})" if bundle.part else words


def delivery_said(bundle: Bundle, shown: str) -> Iterator[str]:
    """What was delivered, where it is, and what changed since the last time."""
    part = f" as part {bundle.part}" if bundle.part else ""
    yield (
        f"{bundle.entry}: {pages_words(bundle.pages)} of {' and '.join(bundle.passes)}{part}, "
        f"{plural(len(bundle.delivered), 'file')}, {bytes_words(bundle.bytes)}, in {shown}."
    )
    if bundle.last:
        yield f"Since {bundle.last}: {since_words(bundle)}."
    if passed := checks_passed(bundle):
        yield f"Checked: {'; '.join(passed)}."
    yield f"To check it after copying: sha256sum -c manifest-sha256.txt (in {shown})"


def checks_passed(bundle: Bundle) -> list[str]:
    """The checks that nothing came of; one that found something, or had nothing to ask, is not among them."""
    told = {each.rule for each in bundle.findings} | bundle.unasked
    return [words for rules, words in _CHECKS if told.isdisjoint(rules)]


def since_words(bundle: Bundle) -> str:
    """`page 3 redrawn; page 5 new; 22 pages as they were`."""
    several = len(bundle.passes) > 1
    groups: dict[tuple[str, str], list[SinceLast]] = {}
    for each in bundle.changed:
        groups.setdefault((each.pass_name, each.kind), []).append(each)
    told = [_group(name if several else "", kind, pages) for (name, kind), pages in groups.items()]
    same = f"{plural(bundle.same, 'page')} as {'it was' if bundle.same == 1 else 'they were'}"
    return "; ".join([*told, same] if bundle.same else told) or "nothing in common"


def _group(pass_name: str, kind: str, pages: Sequence[SinceLast]) -> str:
    of = f" of {pass_name}" if pass_name else ""
    return f"{pages_words(pages_text([each.page for each in pages]))}{of} {CHANGE_WORDS.get(kind, kind)}"


def delivery_document(outcome: Outcome, judged: Sequence[Delivered], bundle: Bundle | None) -> dict[str, Any]:
    """The document of commands.md §3, with the general one's keys, and what changed since the last delivery."""
    changed = bundle.changed if bundle else ()
    return {
        **outcome_document(outcome),
        "part": bundle.part if bundle else None,
        "pages": [_page(each, outcome.findings) for each in judged],
        "since": bundle.last or None if bundle else None,
        "changed": [{"pass": each.pass_name, "page": each.page, "kind": each.kind} for each in changed],
    }


def _page(each: Delivered, findings: Sequence[Finding]) -> dict[str, Any]:
    return {
        "page": each.page, "path": each.path, "sha256": each.sha256, "size": each.size, "px": list(each.px),
        "mode": each.mode or None, "ppi": _ppi(each.ppi), "accepted": not any(_of(f, each) for f in findings),
        "pass": each.pass_name, "source": each.source,
    }  # fmt: skip


def _of(finding: Finding, each: Delivered) -> bool:
    return finding.blocks and finding.path == each.source


def _ppi(stated: tuple[float, float] | None) -> float | None:
    """Pixels per inch across, to a hundredth; None where the file states none."""
    return round(stated[0], 2) if stated else None
