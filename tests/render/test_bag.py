"""The texts of a bundle, clause by clause of RFC 8493."""

from __future__ import annotations

from ledger.render.lending.bag import bag_info, declaration, manifest, tag_files


def test_the_declaration_is_two_lines_in_their_order() -> None:
    """RFC 8493, 2.1.1."""
    assert declaration().encode() == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"


def test_the_payload_is_summed_as_bytes_and_files() -> None:
    """RFC 8493, 2.2.2: Payload-Oxum is OctetCount.StreamCount."""
    assert bag_info([("External-Description", "inks\nof it"), ("Contact-Name", " ")], [10, 5]).splitlines()[1:] == [
        "Payload-Oxum: 15.2"
    ]


def test_line_ends_and_per_cent_signs_in_a_path_are_written_as_codes() -> None:
    """RFC 8493, 2.1.3: LF, CR, CRLF and the per cent sign, and no other sign, are encoded."""
    assert manifest({"data/50 %\r\nä.png": "ab"}) == "ab  data/50 %25%0D%0Aä.png\n"


def test_the_tag_manifest_comes_last_and_does_not_name_itself() -> None:
    """RFC 8493, 2.2.1: it lists tag files, and no tag manifest."""
    files = tag_files([], {"data/p001.png": ("ab", 1)}, {"sheet.md": b"words"})
    assert list(files)[-1] == "tagmanifest-sha256.txt"
    named = [row.split("  ")[1] for row in files["tagmanifest-sha256.txt"].decode().splitlines()]
    assert named == ["bag-info.txt", "bagit.txt", "manifest-sha256.txt", "sheet.md"]
