"""The comments of a `.docx` (ECMA-376 part 1, §17.13.4); which answers which stands in a part beside them."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.read.word_processor.archive import Package
from ledger.read.word_processor.document import Comment
from ledger.read.word_processor.xml_parts import Element, name_of, stream, value

#: More comments than this stand in no draft's margin (own choice).
_MOST = 64 << 20


def read_comments(package: Package, part: str, extended: str) -> Iterator[Comment]:
    """Every comment of a package in the order of its part; none where it has no such part. Raises Refusal."""
    if part not in package:
        return
    answers, resolved = _threads(package, extended)
    names: dict[str, str] = {}
    for met in stream(package.path, package.chunks(part, _MOST), ("comment",)):
        rows = list(met.element.iter("{*}p"))
        last = value(rows[-1], "paraId") or "" if rows else ""
        name = value(met.element, "id") or ""
        names[last] = name
        yield Comment(
            name, "\n".join(map(_words, rows)), value(met.element, "author") or "", value(met.element, "date") or "",
            names.get(answers.get(last, ""), ""), last in resolved,
        )  # fmt: skip


def _threads(package: Package, part: str) -> tuple[dict[str, str], set[str]]:
    """The last paragraph of a comment -> that of the comment it answers; and those that are resolved."""
    answers: dict[str, str] = {}
    resolved: set[str] = set()
    for met in stream(package.path, package.part(part), ("commentEx",)):
        own = value(met.element, "paraId") or ""
        if parent := value(met.element, "paraIdParent"):
            answers[own] = parent
        if value(met.element, "done") in ("1", "true", "on"):
            resolved.add(own)
    return answers, resolved


def _words(paragraph: Element) -> str:
    return "".join(
        (each.text or "") if name_of(each) == "t" else " " for each in paragraph.iter("{*}t", "{*}tab", "{*}br")
    ).strip()
