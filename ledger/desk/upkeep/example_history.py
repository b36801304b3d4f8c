"""The history of the example book as data: what was put where, drawn and typed, and when."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import ledger
from ledger.model.errors import Refusal


@dataclass(frozen=True)
class Drawn:
    """Pages `first` to `last` of an art pass; `early` takes the version that was changed later."""

    pass_name: str
    first: int
    last: int
    early: bool = False


@dataclass(frozen=True)
class Step:
    """What happened at one hour: (from, to) copies, pages drawn, command lines of inkledger."""

    when: datetime
    put: tuple[tuple[str, str], ...]
    draw: tuple[Drawn, ...]
    run: tuple[str, ...]


@dataclass(frozen=True)
class LateEdit:
    """A line of the script changed after the sign-off: `old` becomes `new` in the file at `path`."""

    path: str
    old: str
    new: str
    message: str


@dataclass(frozen=True)
class History:
    """The author, the steps in order, and the late edit that must be refused."""

    name: str
    email: str
    steps: tuple[Step, ...]
    late: LateEdit


def project_folder() -> Path:
    """Where the example's texts and drawing code lie: inside the package, or beside it in a checkout.

    Raises Refusal where they are in neither place.
    """
    package = Path(ledger.__file__).parent
    for place in (package / "_demo_project", package.parent / "demo_project"):
        if (place / "history.toml").is_file():
            return place
    raise Refusal("the example book's files are not installed", remedy="install inkledger again, whole")


def read_history(project: Path) -> History:
    """Reads history.toml of the project folder."""
    import tomllib

    told = tomllib.loads((project / "history.toml").read_text("utf-8"))
    author = told["author"]
    return History(author["name"], author["email"], tuple(map(_step, told["step"])), LateEdit(**told["late_edit"]))


def _step(told: dict[str, Any]) -> Step:
    copies = [tuple(line.split(" -> ")) for line in told.get("put", ())]
    drawn = tuple(map(_drawn, told.get("draw", ())))
    return Step(told["when"], tuple((a, b) for a, b in copies), drawn, tuple(told.get("run", ())))


def _drawn(line: str) -> Drawn:
    pass_name, pages, *early = line.split()
    first, _, last = pages.partition("-")
    return Drawn(pass_name, int(first), int(last or first), bool(early))


def put(project: Path, book: Path, copies: Sequence[tuple[str, str]]) -> None:
    """Copies files and folders of the project into the book; what was in a folder before goes."""
    for source, target in copies:
        if (project / source).is_dir():
            shutil.rmtree(book / target, ignore_errors=True)
            shutil.copytree(project / source, book / target)
        else:
            shutil.copyfile(project / source, book / target)


def export(studio: Path, book: Path, drawn: Sequence[Drawn]) -> None:
    """Copies drawn pages into the book; `studio` holds a folder a pass, and one of early versions ("inks-early")."""
    for one in drawn:
        target = book / "art" / one.pass_name
        target.mkdir(parents=True, exist_ok=True)
        for picture in sorted((studio / one.pass_name).glob("p*.png")):
            if not one.first <= int(picture.stem[1:4]) <= one.last:
                continue
            early = studio / f"{one.pass_name}-early" / picture.name
            shutil.copyfile(early if one.early and early.exists() else picture, target / picture.name)
