"""Wording: every lettered word, whether it still fits its balloon, and the action a picture was drawn from."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ledger.judge.agreed.differences import Difference, place_words, print_of, quoted, title_of, who
from ledger.judge.pairing.collation import Collation
from ledger.judge.pairing.line_pairs import LinePair
from ledger.model.words import normalise

#: A growth of exactly the limit is allowed, whatever binary fractions make of it.
_ROUNDING = 1e-9

Rule = Callable[[Collation, float], Iterator[Difference]]


def wording_changed(c: Collation, growth: float) -> Iterator[Difference]:
    """Words that are not those signed off; case, the shape of quotes and the typist's dashes make no difference."""
    for pair in _retyped(c):
        if pair.olds and pair.news and _words(pair, old=True) != _words(pair, old=False):
            new = pair.news[0].line
            message = (
                f"{who(new)} reads {quoted(_text(pair, old=False))}; signed off it was {quoted(_text(pair, old=True))}"
            )
            yield _difference(c, "wording-changed", "wording", pair, message)
        elif not pair.news:
            old = pair.olds[0].line
            yield _difference(c, "wording-changed", "wording", pair, f"{who(old)} {quoted(old.text)} is gone")
        elif not pair.olds:
            new = pair.news[0].line
            yield _difference(c, "wording-changed", "wording", pair, f"{who(new)} {quoted(new.text)} is new")


def balloon_tight(c: Collation, growth: float) -> Iterator[Difference]:
    """A line that grew by more than the share `growth` of its characters, so that it may not fit its balloon."""
    for pair in _retyped(c):
        before, after = len(_text(pair, old=True)), len(_text(pair, old=False))
        if before and after - before > growth * before + _ROUNDING:
            new = pair.news[0].line
            message = (
                f"{who(new)} {quoted(_text(pair, old=False))} grew from {before} to {after} characters"
                f" and may not fit its balloon ({place_words(new)})"
            )
            yield _difference(c, "balloon-tight", "balloon", pair, message)


def action_changed(c: Collation, growth: float) -> Iterator[Difference]:
    """Action that is not what the page was drawn from."""
    for pair in c.actions:
        if pair.kind == "kept":
            continue
        line = (pair.news or pair.olds)[0].line
        if not pair.news:
            message = f"The action {quoted(line.text)} is gone: the drawing may still show it"
        else:
            message = f"The action reads {quoted(line.text)} now: the drawing may not show it"
        yield _difference(c, "action-changed", "action", pair, message)


#: Every wording rule with its stable name.
RULES: tuple[tuple[str, Rule], ...] = (
    ("wording-changed", wording_changed),
    ("balloon-tight", balloon_tight),
    ("action-changed", action_changed),
)


def wording_differences(collation: Collation, growth: float, *, every_word: bool = True) -> list[Difference]:
    """What differs in words; `growth` is the share of characters by which a line may grow.

    Without `every_word` other words are left out that still fit, in balloons that are there on both sides or on one.
    """
    rules = [rule for name, rule in RULES if every_word or name != "wording-changed"]
    return [difference for rule in rules for difference in rule(collation, growth)]


def _retyped(c: Collation) -> Iterator[LinePair]:
    """Lines that were typed otherwise than they were signed off: most were not, and need no second look."""
    for pair in c.texts:
        if [told.line.text for told in pair.olds] != [told.line.text for told in pair.news]:
            yield pair


def _text(pair: LinePair, *, old: bool) -> str:
    return " ".join(told.line.text for told in (pair.olds if old else pair.news))


def _words(pair: LinePair, *, old: bool) -> str:
    return normalise(_text(pair, old=old))


def _difference(c: Collation, rule: str, scope: str, pair: LinePair, message: str) -> Difference:
    line = (pair.news or pair.olds)[0].line
    scenes = c.new_scenes if pair.news else c.old_scenes
    pages = tuple(dict.fromkeys(told.line.page for told in (*pair.olds, *pair.news)))
    there = pair.before or pair.after
    home = pair.olds[0].line.page if pair.olds else there.home if there else None
    return Difference(
        rule, scope, message, (home,), pages, (rule, str(home), print_of(pair.olds), print_of(pair.news)),
        level="query" if rule == "action-changed" else "block", path=line.path, line=line.line, page=line.page,
        panel=line.panel, scene=title_of(scenes, line.scene),
    )  # fmt: skip
