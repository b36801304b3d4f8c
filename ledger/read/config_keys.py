"""Every key that `book.toml` can hold, with what it means: the reader knows these, the reference is made from them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Key(NamedTuple):
    """A key: what it holds, what stands where it is left out, and what it means, in words."""

    name: str
    kind: str
    usual: str
    means: str


BOOK = (
    Key("title", "text", "required", "The book's title."),
    Key("pages", "whole number, 1 or more", "required", "Story pages; a script with page marks counts its own."),
    Key("reading", '"ltr" or "rtl"', '"ltr"', "Which way the pages are read."),
    Key("front_matter", "whole number", "0", "Pages before story page 1; an odd number flips every side."),
    Key("back_matter", "whole number", "0", "Pages after the story."),
    Key("signature", "4, 8, 12, 16, 24 or 32", "16", "Pages to a folded sheet."),
    Key("due", "date", "none", "When the whole book must be done."),
)
PAGE = (
    Key("trim_mm", "two numbers", "required in [page]", "Width and height after cutting, in millimetres."),
    Key("trim_in", "two numbers", "none", "The same in inches, instead of trim_mm."),
    Key("bleed_mm", "number", "0", "What is cut away on each side, in millimetres."),
    Key("bleed_in", "number", "0", "The same in inches, instead of bleed_mm."),
    Key("ppi", "number above 0", "300", "Pixels an inch that exports have; a pass may have its own."),
    Key("ink_limit", "number above 0", "none", "Total area coverage in per cent for CMYK pages."),
)
COVER = (
    Key("trim_mm", "two numbers", "none", "Width and height of the whole cover after cutting, in millimetres."),
    Key("trim_in", "two numbers", "none", "The same in inches."),
)
LIMITS = (
    Key("words_per_balloon", "whole number", "25", "More words in one balloon are worth a look."),
    Key("words_per_panel", 'whole number or "scaled"', "35",
        'The same for a panel; "scaled" is words_per_page divided by the page\'s panels, rounded down.'),
    Key("words_per_page", "whole number", "210", "The same for a page."),
    Key("panels_per_page", "whole number", "9", "The same for panels on a page."),
    Key("balloon_growth", "number", "0.15",
        "A signed-off line that grows by more than this share of its characters may not fit its balloon."),
)  # fmt: skip
CALENDAR = (
    Key("working_days", "list of mon tue wed thu fri sat sun", "monday to friday", "The days on which you work."),
    Key("days_off", "list of dates and ranges", "none", '`[2027-01-01, "2026-12-24..2026-12-27"]`'),
)
PERSON = (
    Key("name", "text", "required in the long form", "The name shown and compared."),
    Key("also", "list of texts", "none", "Other names that may be typed before a line."),
    Key("sheet", "pattern", "none", "Where the character's design sheets lie."),
)
PASS = (
    Key("name", "a-z, digits and -", "required", "The pass's name; it never ends in - and digits."),
    Key("kind", '"text" or "art"', "by its files", "Whether it holds drafts or pictures."),
    Key("files", "pattern or list of patterns", "a folder of its name",
        "Where its files lie; `*` stays within one folder, `{page}` is the page."),
    Key("from", "list of passes", "none", "What this pass is made from; when that changes its pages are stale."),
    Key("locks", "list of structure, wording, drawing", "none", "What signing this pass off closes."),
    Key("ppi", "number above 0", "that of [page]", "Pixels an inch of this pass's exports."),
    Key("mode", '"1", "grey", "rgb" or "cmyk"', "any", "The mode its exports should have."),
    Key("per_day", "number", "none", "Stated pace in pages a working day; a measured pace beats it."),
    Key("due", "date", "that of [book]", "When this pass must be done."),
    Key("hands", "text", "the author", "Who makes it; passes of the same hands share the working days."),
    Key("masters", "pattern", "none", "The layered working files; never read, not in git unless you add them."),
    Key("returns", '"flats", "colour", "overlay" or "page"', '"page"', "What a helper sends back."),
)  # fmt: skip

REFERENCE: Mapping[str, tuple[Key, ...]] = {
    "[book]": BOOK,
    "[page]": PAGE,
    "[cover]": COVER,
    "[limits]": LIMITS,
    "[rules]": (
        Key("the name of a finding", '"block", "query" or "off"', "as the finding is",
            "Raises or lowers a finding; never below what a sign-off closes, never a ledger rule."),
    ),
    "[calendar]": CALENDAR,
    "[cast]": (
        Key("the letters you type", "a name, or a table of name, also, sheet", "any word in capitals speaks",
            'Who speaks: `T = { name = "Tomas Arde", also = ["Tom"], sheet = "designs/tomas*" }`'),
    ),
    "[[pass]]": PASS,
}  # fmt: skip


def names(keys: tuple[Key, ...]) -> tuple[str, ...]:
    """The names of these keys, in order."""
    return tuple(key.name for key in keys)


#: Key -> the first table in which it stands; findings and the letters of the cast are no keys.
STANDS_IN: Mapping[str, str] = {
    key.name: table for table, keys in reversed([*REFERENCE.items()]) for key in keys if " " not in key.name
}
