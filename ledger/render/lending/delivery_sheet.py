"""The sheet that lies beside the pages of a delivery: what was sent, how it stands, what is still open."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.model.book import MODES
from ledger.model.delivery import Altered, Bundle, Delivered, OpenNote, Signed
from ledger.model.entry import CLASSES
from ledger.model.pages import page_name, pages_words
from ledger.render.lending.delivery_text import since_words, what_pages
from ledger.render.letter import Block, Items, Letter, Paragraph, Row, Section, Sheet, Subhead, Table
from ledger.render.markdown import letter_markdown
from ledger.render.page import set_page
from ledger.render.plain import bytes_words, plural
from ledger.render.told import day, in_a_row, quoted, sentence, strong, words

#: The names of the sheet in the bundle: to open, and to read as text.
HTML, MARKDOWN = "sheet.html", "sheet.md"
#: The facts of a page, a column each; how many signs of its sum, which is enough to tell files apart by eye; what
#: stands where a file states no resolution.
_HEADS = ("File", "Page", "Pixels", "mm at its ppi", "Mode", "ppi", "Bytes", "SHA-256 begins")
_BEGINNING, _NOTHING = 12, "not stated"
FOOT = (
    "Made by inkledger. The pages are as they were committed on the day of delivery. This sheet is a working record: "
    "the classes of alterations and the sign-offs it names are labels between the people at work on the book, not "
    "legal or contract advice."
)


def delivery_sheets(bundle: Bundle) -> dict[str, bytes]:
    """The sheet as one HTML file with small pictures, and as Markdown without: name in the bundle -> bytes."""
    letter = delivery_letter(bundle)
    page = set_page("letter.html", styles=("letter.css", "table.css"), letter=letter)
    texts = {HTML: page, MARKDOWN: letter_markdown(letter)}
    return {name: text.encode("utf-8", "backslashreplace") for name, text in texts.items()}


def delivery_letter(bundle: Bundle) -> Letter:
    """The sheet as a letter; sections that have nothing to say are left out."""
    sections: list[tuple[str, list[Block]]] = [
        ("Since the last delivery", _since(bundle)),
        ("Signed off", [Items(tuple(_signed(each) for each in bundle.signed))] if bundle.signed else []),
        ("Alterations after the sign-off", _altered(bundle)),
        (f"Open notes: {len(bundle.notes)}", [Items(tuple(map(_note, bundle.notes)))] if bundle.notes else []),
        ("To look at", [Items(tuple(words(each.message) for each in bundle.findings))] if bundle.findings else []),
        ("The pages", _pages(bundle)),
    ]
    return Letter(
        title=words(bundle.title),
        about=f"{in_a_row([words(name) for name in bundle.passes])}, {words(what_pages(bundle))}",
        opening=(f"{words(bundle.entry)}, {day(bundle.date)}, from {words(bundle.by.partition('<')[0].strip())}.",),
        message="",
        short=tuple(_in_short(bundle)),
        sections=tuple(Section(title, tuple(told)) for title, told in sections if told),
        foot=FOOT,
    )


def _in_short(bundle: Bundle) -> Iterator[str]:
    yield f"{plural(len(bundle.delivered), 'file')} in data/, {bytes_words(bundle.bytes)} in all, in page order."
    if bundle.extent is not None:
        extent = bundle.extent
        parts = [f"{extent.front} of front matter"] if extent.front else []
        parts += [plural(extent.story, "story page")]
        parts += [f"{extent.back} of back matter"] if extent.back else []
        blanks = f", {plural(extent.blanks, 'blank')} at the end" if extent.blanks else ", no blanks"
        yield (
            f"The whole book: {plural(extent.pages, 'page')} ({', '.join(parts)}); in folded sheets of "
            f"{extent.signature} pages{blanks}."
        )
    yield from _make(bundle)
    yield from _kinds(bundle)
    yield "To check the files after copying: sha256sum -c manifest-sha256.txt"


def _make(bundle: Bundle) -> Iterator[str]:
    """What the binder asks: the trimmed page, its bleed, and from which side the book is read."""
    if bundle.page is not None:
        across, down = bundle.page.trim_mm
        bleed = f"{bundle.page.bleed_mm:g} mm of bleed on every side" if bundle.page.bleed_mm else "no bleed"
        yield f"A trimmed page: {across:g} x {down:g} mm, with {bleed}."
    yield f"The book is read from {'right to left' if bundle.reading == 'rtl' else 'left to right'}."


def _kinds(bundle: Bundle) -> Iterator[str]:
    """Sizes and modes, each with how many pages have it."""
    counts: dict[str, int] = {}
    for each in bundle.delivered:
        told = _measure(each)
        counts[told] = counts.get(told, 0) + 1
    for told, count in list(counts.items())[:6]:
        yield f"{plural(count, 'file')}: {told}."
    if len(counts) > 6:
        yield f"{plural(len(counts) - 6, 'further kind')} of file: each is named below."


def _measure(each: Delivered) -> str:
    """`2750 x 4175 px, RGB, 8 bits a channel, 400 ppi stated`."""
    told = [f"{each.px[0]} x {each.px[1]} px", MODES.get(each.mode, each.mode)]
    if each.mode not in ("1", ""):
        told.append(f"{each.depth} bits a channel")
    ppi = _ppi(each)
    told.append(f"{ppi} ppi stated" if ppi else "no resolution stated")
    return ", ".join(told)


def _since(bundle: Bundle) -> list[Block]:
    return [Paragraph(f"Since {words(bundle.last)}: {words(since_words(bundle))}.")] if bundle.last else []


def _signed(each: Signed) -> str:
    name = strong(words(each.pass_name) + ":")
    rounds = f"{words(each.round)}, " if each.round else ""
    if not each.sign_off:
        return f"{name} {rounds}never signed off."
    approved = f", approved by {words(each.approved_by)}" if each.approved_by else ""
    return f"{name} {rounds}signed off by {words(each.sign_off)}{approved}."


def _altered(bundle: Bundle) -> list[Block]:
    """Slips and reopenings, class by class."""
    told: list[Block] = []
    for sign, whose in CLASSES.items():
        mine = [each for each in bundle.altered if each.alteration_class == sign]
        if mine:
            told += [Subhead(f"{sign} ({whose}): {len(mine)}"), Items(tuple(map(_slip, mine)))]
    return told


def _slip(each: Altered) -> str:
    opened = " opened again until the next sign-off" if each.reopened else ""
    asked = f" Asked for by {words(each.asked_by)}." if each.asked_by else ""
    return f"{words(each.entry)}, {words(pages_words(each.pages))}{opened}: {sentence(words(each.reason))}{asked}"


def _note(each: OpenNote) -> str:
    place = words(each.place) if each.place else "the whole book"
    reader = f" ({words(each.reader)})" if each.reader else ""
    return f"{words(each.id)}{reader}, {place}, {each.state}: {quoted(each.text)}"


def _pages(bundle: Bundle) -> list[Block]:
    """Every file with its facts, the beginning of its sum and its small picture, pass by pass."""
    told: list[Block] = []
    for name in bundle.passes:
        mine = [each for each in bundle.delivered if each.pass_name == name]
        told += [Subhead(words(name))] if len(bundle.passes) > 1 else []
        told.append(Table(f"The pages of {name}", _HEADS, tuple(map(_row, mine)), "Small"))
    return [*told, Paragraph("The whole SHA-256 of every file stands in manifest-sha256.txt.")]


def _row(each: Delivered) -> Row:
    name = page_name(each.page)
    mode = MODES.get(each.mode, each.mode)
    cells = (
        words(each.path.removeprefix("data/")), name, f"{each.px[0]} x {each.px[1]}", _millimetres(each),
        mode if each.mode in ("1", "") else f"{mode}, {each.depth} bits", _ppi(each) or _NOTHING,
        f"{each.size:,}", each.sha256[:_BEGINNING],
    )  # fmt: skip
    return Row(cells, Sheet(name, f"{name} of {each.pass_name}, small", each.thumbnail))


def _millimetres(each: Delivered) -> str:
    """Width and height on paper at the resolution that the file states."""
    if each.ppi is None or min(each.ppi) <= 0:
        return _NOTHING
    return " x ".join(f"{px / ppi * 25.4:.1f}" for px, ppi in zip(each.px, each.ppi, strict=True))


def _ppi(each: Delivered) -> str:
    """What the file states, once where it is the same both ways; "" where it states nothing."""
    if each.ppi is None:
        return ""
    across, down = (f"{value:.4g}" for value in each.ppi)
    return across if across == down else f"{across} x {down}"
