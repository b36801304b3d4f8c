"""A naive rival: difflib over scenes paired by title and likeness. Knows nothing of `ledger.compare`."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from difflib import SequenceMatcher
from typing import Any

from ledger.model.script import Draft, Line, Scene

#: Likeness asked for: under one title, under any, to join a scene to another's partner, of a reworded line.
TITLED, ANYWHERE, JOINED, REWORDED = 0.15, 0.35, 0.35, 0.5

Document = dict[str, Any]
Pairs = list[tuple[tuple[Scene, ...], tuple[Scene, ...]]]


def rival(old: Draft, new: Draft) -> Document:
    """Compares two drafts; the shape is that of `compare --json --all-lines`."""
    groups = _groups(old.scenes, new.scenes)
    links = _line_links(groups, old, new)
    renamed = _renamed(links)
    moved = _moved(groups)
    scenes = [_scene(group, links, renamed, n in moved) for n, group in enumerate(groups)]
    return {"scenes": scenes, "cast": {"renamed": [{"old": a, "new": b} for a, b in renamed.items()]},
            "pages": _pages(old, new)}  # fmt: skip


def _words(scene: Scene) -> list[str]:
    return [word for line in scene.lines for word in line.text.casefold().split()]


def _like(a: Sequence[str], b: Sequence[str]) -> float:
    return SequenceMatcher(None, a, b, autojunk=False).ratio()


def _groups(old: Sequence[Scene], new: Sequence[Scene]) -> Pairs:
    words = {("old", s.index): _words(s) for s in old} | {("new", s.index): _words(s) for s in new}
    pairs: dict[int, int] = {}
    titled: dict[str, list[int]] = defaultdict(list)
    for scene in new:
        titled[scene.title.casefold()].append(scene.index)
    for scene in old:
        for b in titled[scene.title.casefold()] if scene.title else ():
            if b not in pairs.values() and _like(words["old", scene.index], words["new", b]) >= TITLED:
                pairs[scene.index] = b
                break
    _by_likeness(pairs, words, len(old), len(new))
    return _joined(pairs, words, old, new)


def _bag_like(a: Counter[str], b: Counter[str]) -> float:
    return 2 * (a & b).total() / max(1, a.total() + b.total())


def _by_likeness(pairs: dict[int, int], words: dict[tuple[str, int], list[str]], old: int, new: int) -> None:
    free_old, free_new = [a for a in range(old) if a not in pairs], set(range(new)) - set(pairs.values())
    bags = {key: Counter(found) for key, found in words.items()}
    ranked = []
    for a in free_old:
        near = sorted(free_new, key=lambda b: -_bag_like(bags["old", a], bags["new", b]))[:3]
        ranked += [(_like(words["old", a], words["new", b]), a, b) for b in near]
    for like, a, b in sorted(ranked, reverse=True):
        if like >= ANYWHERE and a not in pairs and b not in pairs.values():
            pairs[a] = b


def _joined(
    pairs: dict[int, int], words: dict[tuple[str, int], list[str]], old: Sequence[Scene], new: Sequence[Scene]
) -> Pairs:
    """A scene left over joins the pair of a neighbour that holds most of its words in a row."""
    to_old: dict[int, list[int]] = {b: [a] for a, b in pairs.items()}
    to_new: dict[int, list[int]] = {}
    back = {b: a for a, b in pairs.items()}
    for a in range(len(old)):
        for beside in (a - 1, a + 1) if a not in pairs else ():
            b = pairs.get(beside, -1)
            if b >= 0 and _held(words["old", a], words["new", b]) >= JOINED:
                to_old[b].append(a)
                break
    for b in range(len(new)):
        for beside in (b - 1, b + 1) if b not in back else ():
            a = back.get(beside, -1)
            if a >= 0 and len(to_old[pairs[a]]) == 1 and _held(words["new", b], words["old", a]) >= JOINED:
                to_new.setdefault(a, []).append(b)
                break
    taken = {a for side in to_old.values() for a in side}
    given = set(to_old) | {b for side in to_new.values() for b in side}
    groups: Pairs = []
    for b, sources in to_old.items():
        parts = sorted([b, *to_new.get(sources[0], [])])
        groups.append((tuple(old[a] for a in sorted(sources)), tuple(new[i] for i in parts)))
    groups += [((scene,), ()) for scene in old if scene.index not in taken]
    return groups + [((), (scene,)) for scene in new if scene.index not in given]


def _held(part: Sequence[str], whole: Sequence[str]) -> float:
    blocks = SequenceMatcher(None, part, whole, autojunk=False).get_matching_blocks()
    return sum(block.size for block in blocks if block.size > 2) / max(1, len(part))


def _line_links(groups: Pairs, old: Draft, new: Draft) -> dict[int, tuple[Line, Line]]:
    """Old line -> both lines."""
    links: dict[int, tuple[Line, Line]] = {}
    for olds, news in groups:
        a, b = [x for s in olds for x in s.lines], [x for s in news for x in s.lines]
        matcher = SequenceMatcher(None, [x.text for x in a], [x.text for x in b], autojunk=False)
        for tag, i, k, j, m in matcher.get_opcodes():
            if tag == "equal":
                links |= {x.line: (x, y) for x, y in zip(a[i:k], b[j:m], strict=True)}
            elif tag == "replace":
                _reworded(a[i:k], b[j:m], links)
    used = {y.line for _, y in links.values()}
    waiting = {y.text: y for y in new.lines if y.line not in used and len(y.text.split()) > 3}
    for x in old.lines:
        if x.line not in links and x.text in waiting:
            links[x.line] = (x, waiting.pop(x.text))
    return links


def _reworded(old: Sequence[Line], new: Sequence[Line], links: dict[int, tuple[Line, Line]]) -> None:
    start = 0
    for x in old:
        for at in range(start, len(new)):
            if (
                x.role == new[at].role
                and SequenceMatcher(None, x.text, new[at].text, autojunk=False).ratio() >= REWORDED
            ):
                links[x.line] = (x, new[at])
                start = at + 1
                break


def _renamed(links: dict[int, tuple[Line, Line]]) -> dict[str, str]:
    meet = Counter((x.speaker, y.speaker) for x, y in links.values() if x.speaker and y.speaker)
    said: Counter[str] = Counter()
    for (a, _), n in meet.items():
        said[a] += n
    return {a: b for (a, b), n in meet.items() if a != b and n > 0.7 * said[a]}


def _moved(groups: Pairs) -> set[int]:
    """Scenes that are not in the longest run difflib finds in both orders."""
    paired = [n for n, (a, b) in enumerate(groups) if a and b]
    olds = sorted(paired, key=lambda n: groups[n][0][0].index)
    news = sorted(paired, key=lambda n: groups[n][1][0].index)
    blocks = SequenceMatcher(None, olds, news, autojunk=False).get_matching_blocks()
    return set(paired) - {n for block in blocks for n in olds[block.a : block.a + block.size]}


def _scene(
    group: tuple[tuple[Scene, ...], tuple[Scene, ...]],
    links: dict[int, tuple[Line, Line]],
    renamed: dict[str, str],
    moved: bool,
) -> Document:
    old, new = group
    like = _like([w for s in old for w in _words(s)], [w for s in new for w in _words(s)]) if old and new else 0.0
    kind = "new" if not old else "cut" if not new else "merged" if len(old) > 1 else "split" if len(new) > 1 else ""
    kind = kind or ("kept" if like == 1 else "polished" if like > 0.75 else "rewritten")
    mine = {x.line for s in old for x in s.lines}
    back = {y.line: x for x, y in links.values()}
    lines = [{"kind": "cut", "old": {"line": x.line}, "new": None} for s in old for x in s.lines if x.line not in links]
    lines += [_line(back.get(y.line), y, mine, renamed) for s in new for y in s.lines]
    return {
        "kind": kind, "moved": moved, "lines": lines,
        "renamed": bool(old and new) and not {s.title for s in old} & {s.title for s in new},
        "old": [{"index": s.index, "title": s.title, "line": s.line} for s in old],
        "new": [{"index": s.index, "title": s.title, "line": s.line} for s in new],
    }  # fmt: skip


def _line(old: Line | None, new: Line, mine: set[int], renamed: dict[str, str]) -> Document:
    if old is None:
        return {"kind": "added", "old": None, "new": {"line": new.line}}
    kind = "same" if old.text == new.text else "reworded"
    if old.line not in mine:
        kind = "moved"
    elif renamed.get(old.speaker, old.speaker) != new.speaker:
        kind = "reassigned"
    return {"kind": kind, "old": {"line": old.line}, "new": {"line": new.line}}


def _sheets(draft: Draft) -> dict[str, dict[int, str]]:
    found: dict[str, dict[int, str]] = {page.label: {} for page in draft.pages}
    for line in draft.lines:
        if line.page in found:
            panels = found[line.page]
            panels[line.panel or 1] = f"{panels.get(line.panel or 1, '')}\n{line.speaker}: {line.text}"
    return found


def _pages(old: Draft, new: Draft) -> list[Document]:
    """Pages by the text on them, those between two equal ones in order; panels in the same way."""
    ones, others = _sheets(old), _sheets(new)
    a, b = (
        ["".join(panels.values()) for panels in ones.values()],
        ["".join(panels.values()) for panels in others.values()],
    )
    told = []
    for i, j in _in_order(a, b):
        one, other = (list(ones)[i] if i >= 0 else None), (list(others)[j] if j >= 0 else None)
        panels = _panels(ones.get(one or "", {}), others.get(other or "", {}))
        same = i >= 0 and j >= 0 and a[i] == b[j]
        kind = (
            "added"
            if one is None
            else "cut"
            if other is None
            else "changed"
            if not same
            else "kept"
            if one == other
            else "moved"
        )
        told.append({"kind": kind, "old": one, "new": other, "panels": panels})
    return told


def _panels(old: dict[int, str], new: dict[int, str]) -> list[Document]:
    a, b = list(old.values()), list(new.values())
    told = []
    for i, j in _in_order(a, b):
        kind = "added" if i < 0 else "cut" if j < 0 else "kept" if a[i] == b[j] else "changed"
        told.append({"kind": kind, "old": list(old)[i] if i >= 0 else None, "new": list(new)[j] if j >= 0 else None})
    return told


def _in_order(a: Sequence[str], b: Sequence[str]) -> list[tuple[int, int]]:
    """Places side by side; -1 where one side has nothing."""
    rows: list[tuple[int, int]] = []
    for _, i, k, j, m in SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        both = min(k - i, m - j)
        rows += [(i + n, j + n) for n in range(both)]
        rows += [(n, -1) for n in range(i + both, k)] + [(-1, n) for n in range(j + both, m)]
    return rows
