"""`inkledger packet`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from ledger.cli.frame import Answer, verb
from ledger.cli.out_file import page_or_document
from ledger.model.errors import Refusal
from ledger.model.packet import Packet

_BACK = "Take the reader's notes in: inkledger notes import FILE"


@click.argument("pass_name", metavar="PASS")
@click.option("--pages", metavar="PAGES", help="Only these pages: 1-24,30.")
@click.option("--for", "reader", metavar="NAME", default="", help="Whom it is for; that is recorded.")
@click.option("--title-page", "words", metavar="TEXT", default="", help="What to say to the reader on the first page.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path),
              help="Write it there: .html, a script also .docx; packet-PASS-N.html here if left out.")  # fmt: skip
def _packet(here: Path, pass_name: str, pages: str | None, reader: str, words: str, out: Path | None) -> Answer:
    """A reading packet: the newest round of a pass as one HTML file, for a reader who has nothing but a browser.

    The reader turns the pages, writes notes on them and sends back the file that the packet saves:
    `inkledger notes import` takes it in. As .docx a script is for readers who want margins: their comments come back
    the same way.
    """
    from ledger.desk.lending.packet_sent import refuse_unsendable, send
    from ledger.desk.lending.packets import PacketWish, packet
    from ledger.render.outcome import outcome_document, outcome_text

    document = out is not None and page_or_document(out)
    wish = PacketWish(pass_name, pages, words, reader)
    refuse_unsendable(here, wish)
    made = packet(here, wish)
    to = out or Path(f"packet-{made.packet.entry}.html")
    done = send(here, wish, made, here / to, _document(made.packet, to) if document else _page(made.packet))
    told = (f"The packet of {made.packet.entry} is in {to}.", *done.said, _BACK)
    written = replace(done, said=told, paths=(str(to), *done.paths))
    return Answer(outcome_text(written), outcome_document(written))


def _page(packet: Packet) -> bytes:
    from ledger.render.lending.packet_page import packet_html

    return packet_html(packet).encode("utf-8")


def _document(packet: Packet, to: Path) -> bytes:
    from ledger.render.lending.packet_document import packet_docx

    if packet.drawn:
        raise Refusal("pictures are read as a page; a word processor's file is for a script", path=str(to),
                      remedy="name a file that ends in .html")  # fmt: skip
    return packet_docx(packet)


command = verb("packet", "inkledger packet script --pages 1-8")(_packet)
