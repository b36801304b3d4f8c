"""The texts of a BagIt bundle (RFC 8493): declaration, what the bag is, and the sums of its files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from hashlib import sha256

from ledger.render.plain import one_line

DECLARATION, INFO, MANIFEST, TAG_MANIFEST = "bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt"
#: The signs of a path that a manifest writes otherwise (RFC 8493, 2.1.3); the per cent sign comes first.
_WRITTEN = (("%", "%25"), ("\r", "%0D"), ("\n", "%0A"))


def declaration() -> str:
    """`bagit.txt` (RFC 8493, 2.1.1): exactly these two lines, without a byte order mark."""
    return "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"


def bag_info(facts: Iterable[tuple[str, str]], sizes: Iterable[int]) -> str:
    """`bag-info.txt` (RFC 8493, 2.2.2): what is said of the bag, then bytes and count of its payload.

    `sizes` are those of the files in `data/`, in bytes. A value stands on one line; one that is empty is left out.
    """
    kept = list(sizes)
    rows = [f"{label}: {one_line(value)}" for label, value in facts if value.strip()]
    return "\n".join([*rows, f"Payload-Oxum: {sum(kept)}.{len(kept)}"]) + "\n"


def manifest(sums: Mapping[str, str]) -> str:
    """A manifest (RFC 8493, 2.1.3): path -> SHA-256 in hex, sorted by path, as `sha256sum -c` reads it."""
    return "".join(f"{digest}  {_written(path)}\n" for path, digest in sorted(sums.items()))


def _written(path: str) -> str:
    for sign, code in _WRITTEN:
        path = path.replace(sign, code)
    return path


def tag_files(
    facts: Iterable[tuple[str, str]], payload: Mapping[str, tuple[str, int]], beside: Mapping[str, bytes]
) -> dict[str, bytes]:
    """Every file of a bag but its payload, in the order in which they are written; the tag manifest is the last.

    `payload` is path (`data/p001.png`) -> SHA-256 in hex and size in bytes; `beside` are further files that stand
    beside `data/`, which the tag manifest covers too (RFC 8493, 2.2.1 and 2.2.4).
    """
    told = {
        DECLARATION: declaration().encode(),
        INFO: bag_info(facts, (size for _, size in payload.values())).encode(),
        MANIFEST: manifest({path: digest for path, (digest, _) in payload.items()}).encode(),
        **beside,
    }
    told[TAG_MANIFEST] = manifest({path: sha256(data).hexdigest() for path, data in told.items()}).encode()
    return told
