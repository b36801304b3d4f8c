"""What a page of an art pass is made from, as its entry writes it down."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from ledger.judge.resting.fingerprint import Fingerprints
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.pages import label_order, page_numbers
from ledger.model.script import Draft
from ledger.model.snapshot import FileAt
from ledger.read.state import BookState

#: Between the object ids of two pictures that one page is made from: a spread drawn from two single pages.
AND = "+"


class Sources:
    """What the passes of a state have for a page, each thing worked out once.

    `kinds` holds what became of pictures that were looked at before: (object id then, object id now) -> kind; `lost`
    the pairs of which either can't be read.
    """

    def __init__(self, state: BookState, kinds: dict[tuple[str, str], str] | None = None) -> None:
        self.state = state
        self.kinds = {} if kinds is None else kinds
        self.lost: set[tuple[str, str]] = set()
        self._prints: dict[str, Fingerprints] = {}
        self._exports: dict[str, dict[str, FileAt]] = {}
        self._newest: dict[str, tuple[Round | None, bool]] = {}

    def content(self, upstream: Pass, label: str) -> str | None:
        """What an upstream pass has for a page: a fingerprint or object ids, None for nothing."""
        if upstream.kind == "text":
            return self.prints(upstream.name).of(label)
        ids = [self.known(file) for file in self.pictures(upstream, label)]
        return AND.join(each for each in ids if each) or None

    def newest(self, upstream: Pass) -> tuple[Round | None, bool]:
        """The newest round of a pass, and whether its files are there as it holds them, by their object ids."""
        if upstream.name not in self._newest:
            mine = [e for e in self.state.entries if isinstance(e, Round) and e.pass_name == upstream.name]
            entry = max(mine, key=lambda each: each.number, default=None)
            files = self.state.snapshot.files
            there = {path: files[path].oid for path in self.state.paths(upstream)} if entry else {}
            same = entry is not None and there == {path: oid for path, oid in entry.files.items() if oid}
            self._newest[upstream.name] = (entry, same)
        return self._newest[upstream.name]

    def prints(self, name: str) -> Fingerprints:
        """The pages of a text pass as they are."""
        if name not in self._prints:
            try:
                self._prints[name] = Fingerprints(self.state.draft(name))
            except ContentMissing:
                self._prints[name] = Fingerprints(Draft())
        return self._prints[name]

    def prints_then(self, entry_name: str) -> Fingerprints:
        """The pages of a text pass as a round held them; none where they can't be had."""
        if entry_name not in self._prints:
            self._prints[entry_name] = Fingerprints(self._draft_then(entry_name))
        return self._prints[entry_name]

    def _draft_then(self, entry_name: str) -> Draft:
        from ledger.read.script import read_script

        entry = next((e for e in self.state.entries if isinstance(e, Round) and e.name == entry_name), None)
        try:
            files = [(path, self.state.snapshot.store.blob(oid)) for path, oid in entry.files.items()] if entry else []
            return read_script(files, self.state.book.cast)
        except (ContentMissing, Refusal):
            return Draft()

    def pictures(self, upstream: Pass, label: str) -> list[FileAt]:
        """The pictures of an upstream pass that a page is made from: that of the page, or those of its halves."""
        if upstream.name not in self._exports:
            found = self.state.exports(upstream)
            self._exports[upstream.name] = {each: found[each][0] for each in sorted(found, key=label_order)}
        exports = self._exports[upstream.name]
        if label in exports:
            return [exports[label]]
        numbers = set(page_numbers(label))
        return [file for each, file in exports.items() if numbers & set(page_numbers(each))]

    def known(self, file: FileAt) -> str | None:
        """The object id of a picture; the one git would give it where git has not seen it."""
        if file.oid or not file.regular:
            return file.oid
        try:
            data = self.state.snapshot.store.read(file)
        except (ContentMissing, OSError):
            return None
        held = next((oid for entry in self.state.entries for oid in entry.files.values() if oid), "")
        return blob_id(data, form_of(held))


def made_from(state: BookState, pass_: Pass, pages: Iterable[str]) -> dict[str, dict[str, str]]:
    """Page label -> upstream pass -> what the page is made from in this state.

    For a drawn upstream pass the object id of its picture, for a text pass the page fingerprint. An upstream pass
    that has nothing for a page is left out, and so is a page for which none has.
    """
    if pass_.kind != "art":
        return {}
    sources = Sources(state)
    upstream = [each for name in pass_.comes_from if (each := state.book.pass_named(name))]
    made = {}
    for label in sorted(set(pages), key=label_order):
        found = {each.name: content for each in upstream if (content := sources.content(each, label))}
        if found:
            made[label] = found
    return made


def form_of(oid: str) -> str:
    """The digest that an object id is made with, by its length: sha1 or sha256."""
    return "sha256" if len(oid) == 64 else "sha1"


def blob_id(data: bytes, form: str = "sha1") -> str:
    """The object id git gives to bytes that no filter changes; `form` is that of the repository, sha1 or sha256."""
    return hashlib.new(form, b"blob %d\0" % len(data) + data, usedforsecurity=False).hexdigest()
