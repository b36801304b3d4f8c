"""Every verb with the module that holds it and what it does, in the order help shows them."""

from __future__ import annotations

from typing import NamedTuple


class Verb(NamedTuple):
    """A verb: the module in this folder that holds its `command`, and one line of help."""

    module: str
    does: str


VERBS: dict[str, Verb] = {
    "init": Verb("init", "Lay out a book, make its repository, put the hooks in."),
    "demo": Verb("demo", "Build the example book with its whole history."),
    "status": Verb("status", "Where the book stands and what to do next."),
    "enter": Verb("enter", "Enter a round of a pass."),
    "bring": Verb("bring", "Take in a draft or exports as they come."),
    "save": Verb("save", "Record everything as it is now, no round."),
    "undo": Verb("undo", "Take back the last thing recorded here."),
    "rounds": Verb("rounds", "Every round, sign-off and slip in order."),
    "recall": Verb("recall", "Copies of what a round held, beside the book."),
    "compare": Verb("compare", "What changed, scene by scene and page by page."),
    "memo": Verb("memo", "The change memo, to send or keep."),
    "page": Verb("page", "The life of a page: script, passes, slips, notes."),
    "trace": Verb("trace", "The life of a line, round by round."),
    "notes": Verb("notes", "Readers' notes and what became of them."),
    "lock": Verb("lock", "Sign a pass off and close what it closes."),
    "alter": Verb("alter", "Write the alteration slip that admits a late change."),
    "reopen": Verb("reopen", "Open signed-off pages until the next sign-off."),
    "weigh": Verb("weigh", "What a change costs, or would cost."),
    "repage": Verb("repage", "The rename plan after pages were inserted or cut."),
    "forecast": Verb("forecast", "When it will be done, as a range."),
    "wallchart": Verb("wallchart", "Page by pass, in one sign each."),
    "spreads": Verb("spreads", "The book as openings: sides, turns, signatures."),
    "packet": Verb("packet", "A reading packet for a reader without git."),
    "handoff": Verb("handoff", "Pages out to a helper, with all that is asked."),
    "receive": Verb("receive", "Pages back from a helper, judged one by one."),
    "deliver": Verb("deliver", "The publisher's bundle, judged and with checksums."),
    "check": Verb("check", "Judge the book, or what is staged."),
    "audit": Verb("audit", "Judge history, entries and tags by the same rules."),
    "hook": Verb("hook", "Put git's hooks in or take them out."),
    "backup": Verb("backup", "Make or renew a complete copy on another disk."),
    "doctor": Verb("doctor", "Is everything there that the entries name."),
    "completion": Verb("completion", "Shell completion for bash, zsh or fish."),
}
