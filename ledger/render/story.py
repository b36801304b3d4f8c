"""What the example book showed, for a terminal."""

from __future__ import annotations

from ledger.model.story import Shown, Story
from ledger.render.plain import WIDTH, columns, plural, wrapped

NEXT: tuple[tuple[str, str], ...] = (
    ("inkledger status", "where the book stands"),
    ("inkledger rounds", "every round, sign-off and slip in order"),
    ("inkledger compare script-1 script-4", "the whole way of the script"),
    ("inkledger notes list", "the notes, and what became of each"),
    ("inkledger audit", "the same rules over the whole history"),
    ("inkledger init ../my-book", "a book of your own"),
)


def story_text(story: Story) -> str:
    """The commands with the first lines they said, where the book lies, what to try next."""
    parts = [_opening(story), *map(_shown, story.shown), _ending(story), f"The book lies here:\n\n{story.place}"]
    if story.told:
        parts.append("Try next, in that folder:\n" + "\n".join(f"  {command:<37}{what}" for command, what in NEXT))
    return "\n\n".join(parts)


def _opening(story: Story) -> str:
    came = "was built with its whole history" if story.built else "is there from before and is shown again"
    return f"The example book, {story.title!r}, {came}."


def _shown(shown: Shown) -> str:
    lines = [f"$ {shown.command}", *map(_fitted, shown.lines)]
    if shown.more:
        lines.append(f"... {plural(shown.more, 'more line')}")
    body = "\n".join(line.rstrip() for line in lines)
    return f"-- {shown.why}\n\n{body}" if shown.why else body


def _fitted(line: str) -> str:
    """A long line of prose wrapped; one that is set in holds a command and stays whole."""
    return line if columns(line) <= WIDTH or line.startswith(" ") else wrapped(line)


def _ending(story: Story) -> str:
    if not story.refused:
        return (
            "This went wrong: the late edit was not refused by inkledger's pre-commit hook,\n"
            "which is missing or did not run. The edit was taken back. Put the hook in again:\n"
            "inkledger hook install"
        )
    if not story.clean:
        return "This went wrong: the working tree is not clean; see what is left: git status"
    failed = next((one.command for one in story.shown if one.code and not one.command.startswith("git commit")), None)
    if failed:
        return f"This went wrong: {failed} failed; its words stand above."
    return "The late edit was refused, and the book is as it was."
