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


def source_of(project: str, version: str, digest: str) -> Archive:
    """The source of a Python project, as pip has it."""
    command = (
        sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
        "--no-binary", project, "--dest", "{folder}", f"{project}=={version}",
    )  # fmt: skip
    return Archive(f"{project}-{version}.tar.gz", digest, command)


def packed(project: str, version: str, digest: str) -> Archive:
    """A package of the JavaScript world, as npm has it."""
    command = ("npm", "pack", "--silent", "--pack-destination", "{folder}", f"{project}@{version}")
    return Archive(f"{project}-{version}.tgz", digest, command)


#: The CommonMark Spec 0.31.2, 2024-01-28 (CC BY-SA 4.0), with its 652 examples.
COMMONMARK = packed("commonmark-spec", "0.31.2", "588280df96c211f7")

#: The source of pypng 0.20220715.0 (MIT): a PNG decoder of its own, and 28 pictures of the PngSuite in its tests.
PNG_SUITE = source_of("pypng", "0.20220715.0", "739c433ba96f0783")

#: axe-core 4.14.1 (MPL 2.0): what can be checked of the WCAG by a program in the browser.
AXE = packed("axe-core", "4.14.1", "e6b0ce02b84d892e")

#: The source of pdfannots 0.5 (MIT, its tests included): PDFs marked in many programs, with what its tests say of them.
PDF_MARKS = source_of("pdfannots", "0.5", "75da28053efa6498")

#: The source of pypdf 7.1.1 (BSD-3-Clause): PDFs of many programs, marked, encrypted and odd ones among them.
PYPDF = source_of("pypdf", "7.1.1", "2eff4e2fc5fb22a6")

#: The source of tomlkit 0.13.2 (MIT) with the cases of toml-test for TOML 1.0 (MIT): 96 valid files, 185 others.
TOML_TEST = source_of("tomlkit", "0.13.2", "fff5fe59a87295b2")

#: The source of Pillow 13.0.0 (MIT-CMU) with the pictures of its tests, broken ones and traps for decoders among them.
PILLOW_PICTURES = source_of("pillow", "13.0.0", "cdcd1ba258178f73")

#: What asks apt for a source package from where the machine's own lists come, without touching those lists.
_SOURCE = (
    "mkdir -p lists/partial cache/archives/partial && "
    "apt-get indextargets --format '$(REPO_URI) $(RELEASE) $(COMPONENT)' 'Created-By: Packages' | sort -u | "
    "sed 's|^|deb-src [signed-by=/usr/share/keyrings/debian-archive-keyring.gpg] |' > sources.list && "
    'ours="-qq -o Dir::Etc::sourcelist=$PWD/sources.list -o Dir::Etc::sourceparts=- -o Dir::State::lists=$PWD/lists '
    '-o Dir::Cache=$PWD/cache" && '
    "apt-get $ours update && apt-get $ours source --download-only libpng1.6"
)

#: The source of libpng 1.6.39 in Debian bookworm: the PngSuite (free use, by its README) and files that broke decoders.
LIBPNG = Archive("libpng1.6_1.6.39.orig.tar.gz", "a00e9d2f2f664186", ("sh", "-c", _SOURCE))
