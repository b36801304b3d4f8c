"""Pages that came back from a helper, judged one by one, and what became of the whole."""

from typing import NamedTuple

from ledger.model.finding import Finding
from ledger.model.lending import Lending
from ledger.model.outcome import Outcome


class Returned(NamedTuple):
    """A page that was asked for, as it came back.

    `page` is its label, `path` where it lies in what came back, `sha256` (hex) and `size` (bytes) of the file, `px`
    width and height as seen, `mode` as in `ledger.pictures.files.header.Look`, `ppi` pixels per inch across as stated.
    What did not come back has no `sha256`. `placed` is its path in the book, "" where it was not put there.
    """

    page: str
    path: str
    sha256: str = ""
    size: int = 0
    px: tuple[int, int] = (0, 0)
    mode: str = ""
    ppi: float | None = None
    findings: tuple[Finding, ...] = ()
    placed: str = ""

    @property
    def read(self) -> bool:
        """Whether it came back as a file that could be read."""
        return bool(self.sha256)

    @property
    def came(self) -> bool:
        """Whether it came back at all, though unreadable or under another name."""
        return self.read or any(finding.rule != "return-count" for finding in self.findings)

    @property
    def accepted(self) -> bool:
        """Whether it is as asked, and nothing here speaks against it."""
        return self.read and not any(finding.blocks for finding in self.findings)


class Return(NamedTuple):
    """All that came back: what was asked, the pages in page order, and what was found beside them."""

    lending: Lending
    pages: tuple[Returned, ...]
    beside: tuple[Finding, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All of them."""
        return (*(finding for page in self.pages for finding in page.findings), *self.beside)

    @property
    def good(self) -> list[str]:
        """Labels of the pages accepted."""
        return [each.page for each in self.pages if each.accepted]

    @property
    def held_back(self) -> list[str]:
        """Labels of those that came and were not accepted, for whatever reason."""
        return [each.page for each in self.pages if each.came and not each.accepted]

    @property
    def missing(self) -> list[str]:
        """Labels of those that did not come."""
        return [each.page for each in self.pages if not each.came]


class Received(NamedTuple):
    """What `receive` did: the outcome, and what came back judged."""

    outcome: Outcome
    returned: Return
