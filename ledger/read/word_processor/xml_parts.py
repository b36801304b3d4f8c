"""XML of a part as it streams by: whole elements of a few names, each forgotten once it was used."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

from lxml import etree

from ledger.model.errors import Refusal

#: An element as lxml gives it.
Element = etree._Element

#: Bytes that may stream by before one of the asked elements ends; more is a trap or no draft (own choice).
_WINDOW = 4 << 20


class Met(NamedTuple):
    """`event` is "whole" for an outermost element asked for, or "start" and "end" of one asked for as a frame."""

    event: str
    name: str
    element: Element


def name_of(element: Element) -> str:
    """An element's name without its namespace, "" for a comment, an instruction or an entity."""
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def value(element: Element, name: str) -> str | None:
    """An attribute by its name without the namespace."""
    for key, said in element.attrib.items():
        if str(key).rpartition("}")[2] == name:
            return str(said)
    return None


def child(element: Element | None, name: str) -> Element | None:
    """The first child of this name."""
    if element is None:
        return None
    return next((each for each in element if name_of(each) == name), None)


def stream(path: str, chunks: Iterable[bytes], whole: Collection[str], frames: Collection[str] = ()) -> Iterator[Met]:
    """The elements of a part in document order. `whole` and `frames` are names without namespace.

    Nothing outside the part is fetched, no entity is put in. Raises Refusal for broken XML, for entities declared in
    it, and for an element larger than any paragraph.
    """
    parser = etree.XMLPullParser(
        events=("start", "end"), tag=[f"{{*}}{name}" for name in {*whole, *frames}], resolve_entities=False,
        load_dtd=False, no_network=True, huge_tree=False, remove_comments=True, remove_pis=True,
    )  # fmt: skip
    inside, waited, fed, checked = 0, 0, False, False
    for chunk in chunks:
        _feed(path, parser, chunk)
        fed = True
        waited += len(chunk)
        for event, element in parser.read_events():
            checked = checked or _without_entities(path, element)
            name = name_of(element)
            if name in whole:
                inside += 1 if event == "start" else -1
                if event == "end" and inside == 0:
                    yield Met("whole", name, element)
            elif inside == 0:
                yield Met(event, name, element)
            if event == "end" and inside == 0:
                _forget(element)
                waited = 0
        if waited > _WINDOW:
            raise Refusal(
                "one paragraph of it is larger than 4 MiB, as no draft has", path=path,
                remedy="save it again from the word processor, or as plain text",
            )  # fmt: skip
    if fed:
        _close(path, parser)


def _feed(path: str, parser: etree.XMLPullParser, chunk: bytes) -> None:
    try:
        parser.feed(chunk)
    except etree.XMLSyntaxError as fault:
        raise _broken(path, fault) from fault


def _close(path: str, parser: etree.XMLPullParser) -> None:
    try:
        parser.close()
    except etree.XMLSyntaxError as fault:
        raise _broken(path, fault) from fault


def _broken(path: str, fault: etree.XMLSyntaxError) -> Refusal:
    said = "its XML declares entities that unpack without end" if "entity" in str(fault).lower() else ""
    return Refusal(said or "it is damaged: its XML breaks off or is not well formed", path=path,
                   remedy="open it in the word processor and save it again")  # fmt: skip


def _without_entities(path: str, element: Element) -> bool:
    """A draft declares no entities (ECMA-376 part 2 forbids a document type altogether). Raises Refusal."""
    declared = element.getroottree().docinfo.internalDTD
    if declared is not None and any(True for _ in declared.iterentities()):
        raise Refusal(
            "its XML declares entities, as no word processor does; nothing was read", path=path,
            remedy="open it in the word processor and save it again",
        )  # fmt: skip
    return True


def _forget(element: Element) -> None:
    """Frees an element that was used, and what came before it."""
    element.clear()
    above = element.getparent()
    while above is not None and element.getprevious() is not None:
        del above[0]
