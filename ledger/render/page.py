"""Pages to open in a browser: one file each, which asks for nothing and lets nothing but its own style and script act.

Templates, styles and scripts lie in `ledger/render/pages/`. A page extends `base.html` and is given by `set_page`.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from ledger.model.plate import Shown
from ledger.render.hypertext import hypertext
from ledger.render.told import plain

#: What every page is given: its look, and what opens folded parts for a printer.
STYLES, SCRIPTS = ("base.css",), ("printing.js",)


def set_page(
    template: str | Template, *, styles: Iterable[str] = (), scripts: Iterable[str] = (), **values: object
) -> str:
    """A whole page; `styles` and `scripts` name files beside the template, after those that every page has."""
    own = [_source(name) for name in (*STYLES, *styles)]
    acting = [_source(name) for name in (*SCRIPTS, *scripts)]
    return environment().get_template(template).render(
        policy=policy(own, acting), styles=map(Markup, own), scripts=map(Markup, acting), **values
    )  # fmt: skip


@cache
def environment() -> Environment:
    """The templates of all pages. Told sentences go through `told`, and through `plain` where no element may stand."""
    made = Environment(
        loader=PackageLoader("ledger.render", "pages"),
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True,
    )  # fmt: skip
    made.filters |= {"told": hypertext, "plain": plain, "embedded": embedded}
    made.tests["a"] = lambda value, name: type(value).__name__ == name
    return made


def policy(styles: Iterable[str], scripts: Iterable[str]) -> Markup:
    """The Content-Security-Policy of a page that holds exactly these, and pictures that stand in it."""
    styled, acting = " ".join(map(_digest, styles)), " ".join(map(_digest, scripts))
    return Markup(
        "default-src 'none'; img-src data:; style-src {}; script-src {}; base-uri 'none'; form-action 'none'"
    ).format(Markup(styled), Markup(acting))


def embedded(picture: Shown) -> str:
    """A picture as an address that asks nobody for anything."""
    return f"data:image/webp;base64,{base64.b64encode(picture.data).decode()}"


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _source(name: str) -> str:
    made = environment()
    assert made.loader is not None
    return made.loader.get_source(made, name)[0]
