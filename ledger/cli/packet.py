"""`inkledger packet`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import Answer, verb
from ledger.cli.out_file import page_file


@click.argument("pass_name", metavar="PASS")
@click.option("--pages", metavar="PAGES", help="Only these pages: 1-24,30.")
@click.option("--title-page", "words", metavar="TEXT", default="", help="What to say to the reader on the first page.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path),
              help="Write it there (.html); packet-PASS-N.html in this folder if left out.")  # fmt: skip
def _packet(here: Path, pass_name: str, pages: str | None, words: str, out: Path | None) -> Answer:
    """A reading packet: the newest round of a pass as one HTML file, for a reader who has nothing but a browser.

    The reader turns the pages, writes notes on them and sends back the file that the packet saves:
    `inkledger notes import` takes it in.
    """
    from ledger.desk.packets import PacketWish, packet
    from ledger.render.documents import done_document
    from ledger.render.findings_text import findings_text
    from ledger.render.packet_page import packet_html

    named = page_file(out) if out else None
    made = packet(here, PacketWish(pass_name, pages, words))
    to = named or Path(f"packet-{made.packet.entry}.html")
    (here / to).write_text(packet_html(made.packet), "utf-8", newline="\n")
    told = [f"The packet of {made.packet.entry} is in {to}.", "Take the reader's notes in: inkledger notes import FILE"]
    if made.findings:
        told.append(findings_text(made.findings))
    return Answer("\n".join(told), done_document(paths=[str(to)], findings=made.findings))


command = verb("packet", "inkledger packet script --pages 1-8")(_packet)
