"""Pages handed out to a helper: what was given, and what is to come back."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from datetime import date, datetime

#: The file in which a folder that goes out says what was given and what is asked.
LIST = "handoff.toml"
#: What a helper can be asked to send back (convention §2, `returns`).
RETURNS = ("flats", "colour", "overlay", "page")
#: Pixels in a step of `Known.rows` and `Known.columns`.
STEP = 64


class Known(NamedTuple):
    """What a picture is known again by, whatever its file: compression, format, and mode or depth of one drawing.

    `px` is width and height as seen, `sha256` of all that is seen. `rows` and `columns` are short sums (CRC-32 in hex)
    of every `STEP` px from the top and from the left: they say where a picture differs when the one handed out is not
    at hand, and decide nothing.
    """

    px: tuple[int, int]
    sha256: str
    rows: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()


class Given(NamedTuple):
    """A file that was handed out: where it lies in the folder, and the SHA-256 of its bytes.

    A page's picture says its pass, its page (label) and what it is `known` by; these are empty for the sheet and the
    script.
    """

    path: str
    sha256: str
    pass_name: str = ""
    page: str = ""
    known: Known | None = None


class Asked(NamedTuple):
    """A page that is to come back: its label, and where its file goes in the folder (`flats/p001.png`).

    `px` is the width and height it must have, give or take `within` px; None where nothing is asked. `made_from` is
    upstream content by pass: an object id, ids joined by `+`, or a page fingerprint, as entries have it.
    """

    page: str
    answer: str
    px: tuple[int, int] | None = None
    within: int = 0
    made_from: Mapping[str, str] = MappingProxyType({})


class Lending(NamedTuple):
    """What `handoff.toml` says: enough to judge what comes back without the book and without the originals.

    `number` is that of `ledger/handoff-<n>.toml`, `pass_name` the pass to be made, `returns` its kind of return,
    `pages` is "1-24,30". `by` is who handed out, without address, `when` the date, `due` when the pages are wanted
    back. `mode` ("1", "grey", "rgb", "cmyk"), `depth` (bits a channel) and `ppi` are those asked, None where nothing
    is. `lines` names the pass among those given whose pictures are the line art, "" where none is. `entries` maps a
    pass to the entry whose content was given.
    """

    number: int
    book: str
    pass_name: str
    returns: str
    pages: str
    to: str
    by: str
    when: "datetime | date"
    due: "date | None" = None
    mode: str | None = None
    depth: int | None = None
    ppi: float | None = None
    lines: str = ""
    entries: Mapping[str, str] = MappingProxyType({})
    asked: tuple[Asked, ...] = ()
    given: tuple[Given, ...] = ()

    @property
    def entry(self) -> str:
        """The name of its entry in the ledger: `handoff-3`."""
        return f"handoff-{self.number}"
