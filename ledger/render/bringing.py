"""What `bring` has to say: which file became which, what was not understood, what stands in the way."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from typing import Any

from ledger.model.bringing import BroughtFile, BroughtPage, BroughtPages, BroughtScript, Clash
from ledger.model.finding import Finding
from ledger.model.pages import page_name, pages_text, pages_words
from ledger.render.finding_documents import findings_list
from ledger.render.plain import WIDTH, clip, columns, one_line, plural, wrapped

#: Rows of a difference, places of a cause and names of a list that a screen shows; the JSON holds all.
_ROWS, _PLACES, _NAMES = 40, 4, 12
_STATES = {"new": "new", "replaced": "replaces what was brought before", "unchanged": "unchanged",
           "gone": "taken away: the draft has no such chapter now"}  # fmt: skip


def brought_text(found: BroughtScript | BroughtPages) -> str:
    """For a terminal."""
    return _pages_text(found) if isinstance(found, BroughtPages) else _script_text(found)


def brought_document(found: BroughtScript | BroughtPages) -> dict[str, Any]:
    """The general document with what each kind of bringing adds."""
    general: dict[str, Any] = {"done": found.done, "entry": None, "commit": None, "tag": None}
    general["pass"] = found.pass_name
    general["clashes"] = [clash.path for clash in found.clashes]
    if isinstance(found, BroughtPages):
        written = [page.path for page in found.pages if found.done and page.state != "unchanged"]
        return general | {
            "paths": written, "findings": [],
            "pages": [{"from": p.source, "path": p.path, "page": p.label, "state": p.state} for p in found.pages],
            "holes": list(found.holes), "left": list(found.left),
            "doubles": [{"page": page, "from": list(names)} for page, names in found.doubles],
        }  # fmt: skip
    written = [file.path for file in found.files if found.done and file.state not in ("unchanged", "gone")]
    return general | {
        "paths": [*written, *(["book.toml"] if found.cast and found.done else [])],
        "findings": findings_list(finding for group in found.unread for finding in group),
        "files": [{"path": f.path, "state": f.state, "chapter": f.title, "words": f.words, "scenes": f.scenes}
                  for f in found.files],
        "speakers": [{"name": name, "lines": lines} for name, lines in found.speakers],
        "cast": [{"key": person.key, "name": person.name} for person in found.cast],
        "unread": [_cause(group) for group in found.unread],
        "others": list(found.others),
    }  # fmt: skip


def _cause(group: Sequence[Finding]) -> dict[str, Any]:
    first = group[0]
    return {"rule": first.rule, "cause": first.message, "count": len(group),
            "places": [{"path": each.path, "line": each.line} for each in group]}  # fmt: skip


# -- scripts


def _script_text(found: BroughtScript) -> str:
    if found.clashes:
        shown = [_clash_text(clash) for clash in found.clashes]
        others = [clash.path for clash in found.clashes if clash.of is not None]
        said = _stopped(len(shown)) if len(others) < len(shown) else wrapped(_OTHER_DRAFT)
        todo = _TO_DO_OTHER.format(path=one_line(others[0])) if others else _TO_DO_CLASH
        return "\n".join([said, *shown, wrapped(todo)])
    head = f"{one_line(found.source)} becomes {plural(len(found.files), 'file')} of the pass {found.pass_name}:"
    parts = [wrapped(head), *(_file_row(file) for file in found.files)]
    if found.others:
        stay = "stays as it is" if len(found.others) == 1 else "stay as they are"
        parts.append(wrapped(f"{_listed([*map(one_line, found.others)], ', ')} {stay}: not of this draft."))
    if found.cast:
        people = ", ".join(f"{one_line(person.key)} ({one_line(person.name)})" for person in found.cast)
        parts.append(wrapped(f"Written into [cast] of book.toml: {people}"))
    if found.speakers:
        parts.append(wrapped(_speakers(found), hang="  "))
    parts += _unread(found.unread)
    if found.done:
        parts.append(wrapped(f'Read it through, then: inkledger enter {found.pass_name} -m "..."'))
    return "\n".join(parts)


def _file_row(file: BroughtFile) -> str:
    title = f'  "{one_line(file.title)}"' if file.title else ""
    counts = "" if file.state == "gone" else f"  {plural(file.scenes, 'scene')}, {plural(file.words, 'lettered word')}"
    row = f"  {one_line(file.path)}{title}{counts}"
    return wrapped(f"{row.strip()}  ({_STATES.get(file.state, file.state)})", indent="  ", hang="  ")


def _stopped(count: int) -> str:
    said = "a file that was changed since it was brought, or was never brought: both are shown, nothing was written."
    return wrapped(f"Stopped at {said}" if count == 1 else f"Stopped at {count} files, each of them {said}")


_TO_DO_CLASH = (
    "To do: keep yours and bring the draft elsewhere with --to, or move yours out of the way and bring it again."
)


_OTHER_DRAFT = "Stopped: another draft was brought here and is not recorded yet. Both are shown, nothing was written."
_TO_DO_OTHER = (
    "To do: bring this one elsewhere with --to, or record what is there first (inkledger save); "
    "--to {path} writes over it."
)


def _clash_text(clash: Clash) -> str:
    """The two versions of a file, what only one has marked with the side it is on."""
    whose = "yours" if clash.of is None else one_line(clash.of)
    head = wrapped(f"{one_line(clash.path)}: lines of {whose} begin with -, lines of the draft with +")
    if clash.yours is None or clash.brought is None:
        return wrapped(f"{one_line(clash.path)} is there and is another picture")
    yours, brought = _lines(clash.yours), _lines(clash.brought)
    rows = [
        f"  {row}" for row in difflib.unified_diff(yours, brought, "yours", "brought", lineterm="", n=1) if row.strip()
    ]
    if not rows:
        return wrapped(
            f"{one_line(clash.path)}: the same lines; the two differ in line ends or in signs that are no text"
        )
    shown = [clip(one_line(row), WIDTH) for row in rows[2 : 2 + _ROWS]]
    more = len(rows) - 2 - _ROWS
    return "\n".join([head, *shown, *([f"  ... and {plural(more, 'row')} more"] if more > 0 else [])])


def _lines(data: bytes) -> list[str]:
    """Lines for showing; a difference is looked for in the first of very many."""
    return data[: 1 << 20].decode("utf-8", "replace").splitlines()[:5000]


def _speakers(found: BroughtScript) -> str:
    names = [f"{one_line(name)} ({plural(lines, 'line')})" for name, lines in found.speakers]
    if found.cast:
        return f"Not written into [cast], as they look like slips of other names: {_listed(names, ', ')}"
    return f"Speakers that are not in [cast]: {_listed(names, ', ')}. To write them there: bring it again with --cast"


def _unread(groups: Sequence[Sequence[Finding]]) -> list[str]:
    """What was not understood, by cause, each with where it stands."""
    if not groups:
        return []
    total = sum(len(group) for group in groups)
    parts = [f"To look at, by cause ({plural(total, 'place')}):"]
    for group in groups[:_NAMES]:
        first = group[0]
        like = f" (and {len(group) - 1} more like it)" if len({each.message for each in group}) > 1 else ""
        places = [f"{one_line(each.path or '')}:{each.line or 1}" for each in group]
        parts.append(wrapped(f"{first.rule}: {one_line(first.message)}{like}", indent="  ", hang="  "))
        parts.append(wrapped(_listed(places, ", ", _PLACES), indent="    ", hang=""))
        if first.remedy:
            parts.append(wrapped(f"To do: {one_line(first.remedy)}", indent="    ", hang="  "))
    if len(groups) > _NAMES:
        parts.append(f"  ... and {plural(len(groups) - _NAMES, 'cause')} more")
    return parts


def _listed(names: Sequence[str], between: str, most: int = _NAMES) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return between.join(names[:most]) + more


# -- pages


def _pages_text(found: BroughtPages) -> str:
    count = plural(len(found.pages), "file")
    became = "would become" if found.blocked else "becomes" if len(found.pages) == 1 else "become"
    parts = [wrapped(f"{count} of {one_line(found.source)} {became} {found.pass_name}:")]
    width = max((columns(one_line(page.source)) for page in found.pages), default=0)
    parts += [_page_row(page, min(width, 36)) for page in found.pages]
    for label, names in found.doubles:
        parts.append(wrapped(f"{page_name(label)} twice: {', '.join(map(one_line, names))}", hang="  "))
    for clash in found.clashes:
        parts.append(wrapped(f"{one_line(clash.path)} is there and is another picture", hang="  "))
    if found.holes:
        verb = "is" if len(found.holes) == 1 else "are"
        parts.append(wrapped(f"{_capital(pages_words(pages_text(found.holes)))} {verb} missing in between."))
    if found.left:
        parts.append(wrapped(f"Left out, as no page can be told: {_listed([*map(one_line, found.left)], ', ')}"))
    return "\n".join([*parts, wrapped(_pages_end(found))])


def _page_row(page: BroughtPage, width: int) -> str:
    state = "" if page.state == "new" else f"  ({_STATES.get(page.state, 'yours differs')})"
    source = clip(one_line(page.source), width)
    source += " " * (width - columns(source))
    return f"  {source}  {page_name(page.label)}  {one_line(page.path)}{state}"


def _pages_end(found: BroughtPages) -> str:
    if found.doubles:
        return "Nothing was copied: leave one file for each page in the folder, or count them in name order: --first 1"
    if found.clashes:
        return "Nothing was copied: move yours out of the way, or leave those files out of the folder."
    if not found.done:
        return "All of them are there already."
    return f'Look them through, then: inkledger enter {found.pass_name} -m "..."'


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
