"""Files of a book at one moment, and the same with some of them replaced."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from ledger.model.errors import ContentMissing
from ledger.model.overlay import overlaid
from ledger.model.snapshot import FileAt, Snapshot, byte_order


@dataclass
class Shelf:
    """Bytes by object id; remembers what it was asked to warm."""

    objects: dict[str, bytes]
    warmed: list[str] = field(default_factory=list)

    def read(self, file: FileAt) -> bytes:
        return self.blob(file.oid or "")

    def blob(self, oid: str) -> bytes:
        if oid not in self.objects:
            raise ContentMissing(oid, "not fetched")
        return self.objects[oid]

    def warm(self, files: list[FileAt]) -> None:
        self.warmed += [file.path for file in files]


def shelved(**files: str) -> tuple[Snapshot, Shelf]:
    shelf = Shelf({f"id-{text}": text.encode() for text in files.values()})
    named = {name.replace("__", "/"): FileAt(name.replace("__", "/"), f"id-{text}") for name, text in files.items()}
    return Snapshot("HEAD", named, shelf), shelf


def test_files_of_a_folder_in_byte_order() -> None:
    names = ["art/b", "art/a/z", "art/B", "art/é", "art/\udcff", "artefact", "art", "other/art/a"]
    book = Snapshot(".", {name: FileAt(name, None) for name in names}, Shelf({}))
    assert book.under("art") == ["art/B", "art/a/z", "art/b", "art/é", "art/\udcff"]
    assert book.under("art/") == book.under("art")
    assert book.under("nowhere") == []


def test_a_name_that_is_no_unicode_has_its_place() -> None:
    assert sorted(["\udcff", "z", "\u0fff"], key=byte_order) == ["z", "\u0fff", "\udcff"]


@pytest.mark.parametrize(("mode", "plain"), [("100644", True), ("100755", True), ("120000", False), ("160000", False)])
def test_links_and_other_repositories_are_no_plain_files(mode: str, plain: bool) -> None:
    assert FileAt("a", None, mode).regular is plain


def test_what_is_not_there_and_what_is_not_here() -> None:
    book, _ = shelved(a="one")
    with pytest.raises(KeyError):
        book.read("b")
    with pytest.raises(ContentMissing, match="not fetched"):
        overlaid(book, taken={"b": FileAt("b", "id-lost")}).read("b")


def test_bytes_put_over_hide_those_below() -> None:
    book, shelf = shelved(a="one", b="two")
    over = overlaid(book, contents={"b": b"TWO", "c": b"three"})
    assert {path: over.read(path) for path in over.files} == {"a": b"one", "b": b"TWO", "c": b"three"}
    assert over.files["b"].oid is None, "git has not seen these bytes"
    assert book.read("b") == b"two" and "c" not in book.files
    over.store.warm(list(over.files.values()))
    assert shelf.warmed == ["a"]


def test_files_taken_from_another_store_are_read_there() -> None:
    book, _ = shelved(a="one", b="two")
    _, other = shelved(b="other")
    over = overlaid(book, taken={"b": FileAt("b", "id-other")}, source=other)
    assert (over.read("a"), over.read("b")) == (b"one", b"other")
    assert over.store.blob("id-two") == b"two"


def test_without_a_source_they_are_read_from_below() -> None:
    book, _ = shelved(a="one", b="two")
    assert overlaid(book, taken={"a": FileAt("a", "id-two")}).read("a") == b"two"


def test_removed_files_are_gone_unless_put_there_again() -> None:
    book, _ = shelved(a="one", b="two")
    over = overlaid(book, contents={"b": b"again"}, removed=frozenset({"a", "b", "never"}))
    assert set(over.files) == {"b"} and over.read("b") == b"again"


def test_its_name_stays_unless_another_is_given() -> None:
    book, _ = shelved(a="one")
    assert [overlaid(book).name, overlaid(book, name="").name, overlaid(book, name="x").name] == ["HEAD", "", "x"]


def test_one_over_another() -> None:
    book, _ = shelved(a="one", b="two")
    twice = overlaid(overlaid(book, contents={"a": b"1"}), contents={"b": b"2"})
    assert (twice.read("a"), twice.read("b")) == (b"1", b"2")
