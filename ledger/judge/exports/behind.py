"""Exports that are older than the working file they were exported from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from ledger.model.finding import Finding
from ledger.model.pages import label_order, page_name

#: Seconds by which a working file must be newer: times of files are whole or even seconds on some disks.
LEAST = 2.0


class WorkingFile(NamedTuple):
    """An export and the layered working file it comes from, with when each was last written (seconds, one clock)."""

    pass_name: str
    page: str
    export: str
    master: str
    exported: float
    worked: float


def exports_behind(files: Iterable[WorkingFile]) -> tuple[Finding, ...]:
    """An `export-behind` query for every export whose working file was written after it, pass by pass, page by page.

    Of several working files of one page the newest counts.
    """
    newest: dict[str, WorkingFile] = {}
    for file in files:
        if file.worked - file.exported > LEAST and file.worked >= newest.get(file.export, file).worked:
            newest[file.export] = file
    found = sorted(newest.values(), key=lambda file: (file.pass_name, label_order(file.page)))
    return tuple(map(_behind, found))


def _behind(file: WorkingFile) -> Finding:
    return Finding(
        "export-behind", "query",
        f"{page_name(file.page)} of {file.pass_name} is older than its working file {file.master}", file.export,
        page=file.page,
        remedy="export the page again; if nothing that is seen has changed since, leave it",
    )  # fmt: skip
