"""What a page of an art pass is made from, as its entry writes it down."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from ledger.judge.fingerprint import page_fingerprint
from ledger.model.book import Pass
from ledger.model.errors import ContentMissing
from ledger.model.pages import label_order, page_numbers
from ledger.model.snapshot import FileAt
from ledger.read.state import BookState

#: Between the object ids of two pictures that one page is made from: a spread drawn from two single pages.
AND = "+"


def made_from(state: BookState, pass_: Pass, pages: Iterable[str]) -> dict[str, dict[str, str]]:
    """Page label -> upstream pass -> what the page is made from in this state.

    For a drawn upstream pass the object id of its picture, for a text pass the page fingerprint. An upstream pass
    that has nothing for a page is left out, and so is a page for which none has.
    """
    if pass_.kind != "art":
        return {}
    upstream = [each for name in pass_.comes_from if (each := state.book.pass_named(name))]
    made = {}
    for label in sorted(set(pages), key=label_order):
        found = {each.name: content for each in upstream if (content := content_of(state, each, label))}
        if found:
            made[label] = found
    return made


def content_of(state: BookState, upstream: Pass, label: str) -> str | None:
    """What an upstream pass has for a page, None for nothing."""
    if upstream.kind == "text":
        try:
            return page_fingerprint(state.draft(upstream.name), label)
        except ContentMissing:
            return None
    return AND.join(known for file in pictures_of(state, upstream, label) if (known := _known(state, file))) or None


def pictures_of(state: BookState, upstream: Pass, label: str) -> list[FileAt]:
    """The pictures of an upstream pass that a page is made from: that of the page, or those of its halves."""
    exports = state.exports(upstream)
    if label in exports:
        return [exports[label][0]]
    numbers = set(page_numbers(label))
    return [exports[each][0] for each in sorted(exports, key=label_order) if numbers & set(page_numbers(each))]


def _known(state: BookState, file: FileAt) -> str | None:
    """The object id of a picture; the one git would give it where git has not seen it."""
    if file.oid or not file.regular:
        return file.oid
    try:
        data = state.snapshot.store.read(file)
    except (ContentMissing, OSError):
        return None
    held = next((oid for entry in state.entries for oid in entry.files.values() if oid), "")
    return blob_id(data, "sha256" if len(held) == 64 else "sha1")


def blob_id(data: bytes, form: str = "sha1") -> str:
    """The object id git gives to bytes that no filter changes; `form` is that of the repository, sha1 or sha256."""
    return hashlib.new(form, b"blob %d\0" % len(data) + data, usedforsecurity=False).hexdigest()
