"""Archives of published things, fetched once by the machine's own package clients and kept in the user's cache."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Archive:
    """A file to be had with a command; `{folder}` in it is where the file is put. `digest` begins its SHA-256."""

    name: str
    digest: str
    command: tuple[str, ...]

    def fetched(self, folder: Path) -> Path | None:
        """The archive in `folder`; None where it can't be had. Fails where it is another file than it should be."""
        kept = folder / self.name
        if not kept.exists() and not self._download(kept):
            return None
        digest = hashlib.sha256(kept.read_bytes()).hexdigest()
        assert digest.startswith(self.digest), f"{self.name} is another file than was counted: {digest}"
        return kept

    def _download(self, kept: Path) -> bool:
        """Fetches beside and puts in place at once: several test processes may ask at the same time."""
        if not shutil.which(self.command[0]):
            return False
        kept.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=kept.parent) as beside:
            command = [part.format(folder=beside) for part in self.command]
            subprocess.run(command, capture_output=True, timeout=300, cwd=beside)
            found = Path(beside) / self.name
            if found.exists():
                found.replace(kept)
        return kept.exists()


#: The CommonMark Spec 0.31.2, 2024-01-28 (CC BY-SA 4.0), with its 652 examples.
COMMONMARK = Archive(
    "commonmark-spec-0.31.2.tgz", "588280df96c211f7",
    ("npm", "pack", "--silent", "--pack-destination", "{folder}", "commonmark-spec@0.31.2"),
)  # fmt: skip

#: The source of pypng 0.20220715.0 (MIT): a PNG decoder of its own, and 28 pictures of the PngSuite in its tests.
PNG_SUITE = Archive(
    "pypng-0.20220715.0.tar.gz", "739c433ba96f0783",
    (sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
     "--no-binary", "pypng", "--dest", "{folder}", "pypng==0.20220715.0"),
)  # fmt: skip

#: axe-core 4.14.1 (MPL 2.0): what can be checked of the WCAG by a program in the browser.
AXE = Archive(
    "axe-core-4.14.1.tgz", "e6b0ce02b84d892e",
    ("npm", "pack", "--silent", "--pack-destination", "{folder}", "axe-core@4.14.1"),
)  # fmt: skip

#: The source of pdfannots 0.5 (MIT, its tests included): PDFs marked in many programs, with what its tests say of them.
PDF_MARKS = Archive(
    "pdfannots-0.5.tar.gz", "75da28053efa6498",
    (sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
     "--no-binary", "pdfannots", "--dest", "{folder}", "pdfannots==0.5"),
)  # fmt: skip

#: The source of pypdf 7.1.1 (BSD-3-Clause): PDFs of many programs, marked, encrypted and odd ones among them.
PYPDF = Archive(
    "pypdf-7.1.1.tar.gz", "2eff4e2fc5fb22a6",
    (sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
     "--no-binary", "pypdf", "--dest", "{folder}", "pypdf==7.1.1"),
)  # fmt: skip

#: The source of tomlkit 0.13.2 (MIT) with the cases of toml-test for TOML 1.0 (MIT): 96 valid files, 185 others.
TOML_TEST = Archive(
    "tomlkit-0.13.2.tar.gz", "fff5fe59a87295b2",
    (sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
     "--no-binary", "tomlkit", "--dest", "{folder}", "tomlkit==0.13.2"),
)  # fmt: skip

#: The source of Pillow 13.0.0 (MIT-CMU) with the pictures of its tests, broken ones and traps for decoders among them.
PILLOW_PICTURES = Archive(
    "pillow-13.0.0.tar.gz", "cdcd1ba258178f73",
    (sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
     "--no-binary", "pillow", "--dest", "{folder}", "pillow==13.0.0"),
)  # fmt: skip

#: What asks apt for a source package without touching the machine's own lists.
_SOURCE = (
    "mkdir -p lists/partial cache/archives/partial && "
    "echo 'deb-src [signed-by=/usr/share/keyrings/debian-archive-keyring.gpg] http://deb.debian.org/debian "
    "bookworm main' > sources.list && "
    'ours="-qq -o Dir::Etc::sourcelist=$PWD/sources.list -o Dir::Etc::sourceparts=- -o Dir::State::lists=$PWD/lists '
    '-o Dir::Cache=$PWD/cache" && '
    "apt-get $ours update && apt-get $ours source --download-only libpng1.6"
)

#: The source of libpng 1.6.39 in Debian bookworm: the PngSuite (free use, by its README) and files that broke decoders.
LIBPNG = Archive("libpng1.6_1.6.39.orig.tar.gz", "a00e9d2f2f664186", ("sh", "-c", _SOURCE))
