"""The `book.toml` that a new book begins with."""

from __future__ import annotations

from ledger.read.toml_values import toml_string

_TEXT = """\
# What this book is. Every line can be changed at any time; a # begins a remark.

[book]
title = {title}
reading = {reading}          # "ltr" or "rtl": which way the pages are read
pages = {pages:<16} # story pages, the ones the script numbers
front_matter = 0         # pages before story page 1; an odd number flips every side
back_matter = 0
signature = 16           # pages to a folded sheet: 4, 8, 12, 16, 24 or 32
# due = 2027-03-01       # when the whole book must be done

[page]                   # what an exported page must measure
trim_mm = [168.3, 258.8] # width and height after cutting; or trim_in = [6.625, 10.19]
bleed_mm = 3.2           # what is cut away on each side; or bleed_in
ppi = 400                # pixels an inch; a pass may have its own

# [cover]
# trim_mm = [348, 258.8]

# [limits]               # what is worth a look; nothing here ever stops you
# words_per_balloon = 25
# words_per_panel = 35   # or "scaled": words_per_page divided by the page's panels
# words_per_page = 210
# panels_per_page = 9
# balloon_growth = 0.15  # how much a signed-off line may grow before its balloon gets tight

# [rules]                # raise or lower what is found: "block", "query" or "off"
# touch-up = "block"

# [calendar]
# working_days = ["mon", "tue", "wed", "thu", "fri"]
# days_off = [2027-01-01, "2026-12-24..2026-12-27"]

# Who speaks, by the letters you type before a line. Without a cast any word in capitals will do.
# [cast]
# W = "Wren"
# T = {{ name = "Tomas Arde", also = ["Tom"] }}

# The passes: stages of the work, each with its files and what it is made from.
# `locks` is what signing the pass off closes: structure, wording or drawing.
"""

_PASSES = """
[[pass]]
name = "outline"
kind = "text"
files = {outline}

[[pass]]
name = "script"
kind = "text"
files = {script}
from = ["outline"]

[[pass]]
name = "thumbs"
kind = "art"
files = "art/thumbs/p{{page}}.png"     # {{page}} is the story page: p001.png, a spread p024-025.png
from = ["script"]

[[pass]]
name = "pencils"
kind = "art"
files = "art/pencils/p{{page}}.png"
from = ["thumbs", "script"]
locks = ["structure"]

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{{page}}.png"
from = ["pencils", "script"]
locks = ["structure", "drawing"]
# ppi = 600              # a pass may have a resolution of its own
# mode = "1"             # "1", "grey", "rgb" or "cmyk"
# per_day = 2            # pages a working day; the pace measured from your entries beats it
# due = 2026-11-01
# hands = "Ines"         # who does it; without a name it is you
# masters = "work/inks/p{{page}}.*"    # the layered working files

[[pass]]
name = "flats"
kind = "art"
files = "art/flats/p{{page}}.png"
from = ["inks"]

[[pass]]
name = "colours"
kind = "art"
files = "art/colours/p{{page}}.png"
from = ["flats", "inks"]

[[pass]]
name = "letters"
kind = "art"
files = "art/letters/p{{page}}.png"
from = ["inks", "script"]
locks = ["wording"]

[[pass]]
name = "proofs"
kind = "art"
files = "art/proofs/p{{page}}.png"
from = ["letters", "colours"]
"""


def default_book_toml(
    title: str, pages: int = 160, reading: str = "ltr", script: str = "script/*.md", outline: str = "outline/*.md"
) -> str:
    """A whole `book.toml` with the usual ladder of passes, remarks beside every key.

    `pages` are story pages, `reading` is "ltr" or "rtl", `script` and `outline` are patterns of files.
    """
    parts = {"title": title, "reading": reading, "script": script, "outline": outline}
    quoted = {name: toml_string(text) for name, text in parts.items()}
    return (_TEXT + _PASSES).format(**quoted, pages=pages)
