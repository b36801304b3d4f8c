"""What happens in the life of a long book, as plain values: who changes which file in which commit, in which order."""

from __future__ import annotations

import hashlib
import io
import random
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from PIL import Image, ImageDraw

from ledger.model.entry import Alteration, Entry, Lock, Reopen, Round
from ledger.read.entries import write_entry

PASSES = ("thumbs", "pencils", "inks", "tones", "flats", "colours", "letters", "proofs")
LOCKS = {"pencils": ("structure",), "inks": ("structure", "drawing"), "letters": ("wording",)}
BY = "Ida Kestrel <ida@example.org>"
START = datetime(2023, 1, 2, 9, tzinfo=UTC)
CHAPTER_PAGES = 20
#: Pages of inks whose pictures are really there; of all others there is the pointer alone.
DRAWN = 6
_WORDS = ("and it isn't", "and it is no", "and it was not", "but it's not")
_SHOWN = "art/inks/p{:03d}.png"
#: What the commits that touch the closed draft do: better words and remarks, or what has to be told of every one of
#: them: a balloon grown too long, a line cut, a line given to somebody else.
DEEDS = ("usual", "cut", "given", "grown")
_TOO_LONG = "and it isn't, nor was it ever, nor will it be before the spring tide comes"


@dataclass(frozen=True)
class Size:
    """How long the book's life is. `touching` of its commits change the draft that is closed by then, by a deed."""

    commits: int = 5000
    entries: int = 200
    pages: int = 160
    touching: int = 50
    merges: int = 25
    deed: str = "usual"


@dataclass
class Deed:
    """One commit: what it changes (None: gone), the entries it records; `aside` is a branch's, `joins` ends it."""

    message: str
    files: dict[str, bytes | None] = field(default_factory=dict)
    entries: list[Entry] = field(default_factory=list)
    aside: bool = False
    joins: bool = False


def book_toml(pages: int) -> bytes:
    """The book, its passes in a row."""
    head = f'[book]\ntitle = "The Salt Lantern"\npages = {pages}\n\n[page]\ntrim_mm = [50.8, 76.2]\nppi = 25\n\n'
    cast = '[cast]\nW = "Wren"\nT = "Tomas Arde"\nM = "Mara"\n\n'
    script = '[[pass]]\nname = "script"\nkind = "text"\nfiles = "script/*.md"\n'
    blocks = []
    for name in PASSES:
        closes = ", ".join(f'"{scope}"' for scope in LOCKS.get(name, ()))
        locks = f"locks = [{closes}]\n" if closes else ""
        blocks.append(f'\n[[pass]]\nname = "{name}"\nkind = "art"\nfiles = "art/{name}/p{{page}}.png"\n'
                      f'from = ["script"]\n{locks}')  # fmt: skip
    return (head + cast + script + "".join(blocks)).encode()


def chapter(
    number: int,
    cut: Collection[int] = (),
    said: Mapping[int, str] | None = None,
    remark: int = 0,
    given: Collection[int] = (),
) -> bytes:
    """A chapter of twenty pages; those in `cut` lack their last line, `said` holds other words of a page's first one.

    In pages of `given` Mara says that line. A remark stands at the end where a number is given for it.
    """
    told = [f"# Chapter {number}: The tide gauge\n"]
    for at in range(1, CHAPTER_PAGES + 1):
        page = CHAPTER_PAGES * (number - 1) + at
        told.append(f"## Stair {page}\n\n[page {page}]\n" if at % 4 == 1 else f"[page {page}]\n")
        for panel in (1, 2, 3):
            told.append(f"[panel {panel}]\nWren at the gauge, step {page}, the water {panel} below.\n")
            words = "and it is not" if panel > 1 else (said or {}).get(at, "and it is not")
            who = "M" if at in given and panel == 1 else "W"
            told.append(f"{who}: You said the map was here on step {page}, {words}.")
            told += [] if at in cut and panel == 3 else [f"T: It was there, {page} by {panel}. {{whisper}}"]
            told.append("")
    if remark:
        told.append(f"<!-- looked at {remark} times -->\n")
    return "\n".join(told).encode()


def pointer(content: bytes) -> bytes:
    """The large-file pointer of a content."""
    digest = hashlib.sha256(content).hexdigest()
    return f"version https://git-lfs.github.com/spec/v1\noid sha256:{digest}\nsize {len(content)}\n".encode()


def picture(page: int, version: int) -> bytes:
    """One page of ink."""
    made = Image.new("L", (50, 75), 255)
    ImageDraw.Draw(made).rectangle((5 + version % 20, 10 + page % 20, 25 + version % 20, 60), fill=0)
    out = io.BytesIO()
    made.save(out, "PNG")
    return out.getvalue()


def shown(page: int) -> str:
    """Where an inked page lies."""
    return _SHOWN.format(page)


class Life:
    """The book on its way through the years; the same `Size` gives the same life."""

    def __init__(self, size: Size) -> None:
        self.size = size
        self.dice = random.Random(size.commits)
        self.files: dict[str, bytes] = {}
        self.oids: dict[str, str] = {}
        self.contents: list[bytes] = []
        self.numbers: dict[str, int] = {}
        self.versions: dict[str, int] = {}
        self.chapters = max(1, size.pages // CHAPTER_PAGES)
        self.cuts: dict[int, set[int]] = defaultdict(set)
        self.said: dict[int, dict[int, str]] = defaultdict(dict)
        self.given: dict[int, set[int]] = defaultdict(set)
        self.remarks: dict[int, int] = {}
        self.touched = 0

    def deeds(self) -> Iterator[Deed]:
        """Every commit in order; the same number whatever happens in them."""
        yield self._first()
        each = self.size.commits // len(PASSES)
        entry_every = self.size.commits // self.size.entries
        touch_every = (self.size.commits - 2 * each) // self.size.touching
        merge_every = self.size.commits // self.size.merges
        for at in range(1, self.size.commits):
            name = PASSES[min(at // each, len(PASSES) - 1)]
            aside = merge_every - 4 <= at % merge_every < merge_every - 1
            joins = at % merge_every == merge_every - 1
            if at % entry_every == entry_every // 2:
                deed = self._entry(name, at, at % each)
            elif at > 2 * each + 1 and at % touch_every == 7 and not joins:
                deed = self._touch(at)
            else:
                deed = self._work(name, at, closed=f"lock-{name}" in self.numbers)
            deed.aside, deed.joins = aside, joins
            yield deed

    def _first(self) -> Deed:
        files: dict[str, bytes | None] = {
            "book.toml": book_toml(self.size.pages),
            ".gitattributes": b"*.md -text\n*.toml -text\nart/** filter=lfs diff=lfs merge=lfs -text\n",
            "ledger/README.md": b"# The ledger of this book\n",
        }
        for number in range(1, self.chapters + 1):
            files[f"script/{number:02d}.md"] = chapter(number)
        return self._done("Lay out the book", files)

    def _done(self, message: str, files: dict[str, bytes | None], entries: list[Entry] | None = None) -> Deed:
        for path, data in files.items():
            assert data is not None
            self.files[path] = data
            self.oids[path] = hashlib.sha1(b"blob %d\0" % len(data) + data).hexdigest()
        return Deed(message, files, entries or [])

    def _export(self, name: str, page: int) -> tuple[str, bytes]:
        path = f"art/{name}/p{page:03d}.png"
        version = self.versions[path] = self.versions.get(path, -1) + 1
        if name == "inks" and page <= DRAWN:
            content = picture(page, version)
            self.contents.append(content)
        else:
            content = b"%s %d %d" % (name.encode(), page, version)
        return path, pointer(content)

    def _work(self, name: str, at: int, *, closed: bool) -> Deed:
        """An ordinary day: some pages (none of a pass that is signed off), a note, a letter."""
        if at % 9 == 0 or closed:
            return self._done("Notes", {f"notes/round-{at % 40}.md": b"- [ ] %d (p12) Too dark?\n" % at})
        if at % 23 == 0:
            return self._done("A letter", {"letter.txt": b"Dear Marsh, %d\n" % at})
        first = at * 2 % self.size.pages
        pages = [first % self.size.pages + 1, (first + 1) % self.size.pages + 1]
        return self._done(f"{name}: pages {pages[0]} and on", dict(self._export(name, page) for page in pages))

    def _touch(self, at: int) -> Deed:
        """A commit that changes the closed draft: as a rule a line reworded, every fifth time a remark.

        Once words are closed, only remarks. Where the deed is another, it is done every time.
        """
        self.touched += 1
        number, page = 3 * self.touched % self.chapters + 1, 7 * self.touched % CHAPTER_PAGES + 1
        if self.size.deed != "usual":
            return self._late(number, (page + self.touched // 40) % CHAPTER_PAGES + 1)
        if self.touched % 5 == 0 or "lock-letters" in self.numbers:
            self.remarks[number] = at
            return self._done("A remark in the script", self._chapter(number))
        self.said[number][page] = _WORDS[self.touched % len(_WORDS)]
        return self._done("Better words", self._chapter(number))

    def _late(self, number: int, page: int) -> Deed:
        """A commit that changes what is closed, without a slip."""
        if self.size.deed == "grown":
            self.said[number][page] = _TOO_LONG
        elif self.size.deed == "cut":
            self.cuts[number].add(page)
        else:
            self.given[number].add(page)
        return self._done("A late change", self._chapter(number))

    def _chapter(self, number: int) -> dict[str, bytes | None]:
        text = chapter(number, self.cuts[number], self.said[number], self.remarks.get(number, 0), self.given[number])
        return {f"script/{number:02d}.md": text}

    def _number(self, stem: str) -> int:
        self.numbers[stem] = self.numbers.get(stem, 0) + 1
        return self.numbers[stem]

    def _entry(self, name: str, at: int, into: int) -> Deed:
        when = START + timedelta(hours=4 * at)
        each = self.size.commits // len(PASSES)
        entry_every = self.size.commits // self.size.entries
        last = into + entry_every >= each
        entry: Entry
        if last and name in LOCKS:
            entry = self._lock(name, when)
        elif at > 4 * each and self._due(at, 7):
            return self._late_page(when)
        elif at > 3 * each and self._due(at, 11):
            return self._slip(at, when)
        elif at > 3 * each and self._due(at, 37):
            number = self._number("reopen")
            entry = Reopen(
                path=f"ledger/reopen-{number}.toml", number=number, date=when, by=BY, pages="100-104",
                scopes=("structure", "drawing"), passes=("inks",), reason="the flood is redrawn",
            )  # fmt: skip
        else:
            entry = self._round(name, when)
        return self._done(entry.name, {entry.path: write_entry(entry)}, [entry])

    def _due(self, at: int, nth: int) -> bool:
        return at // (self.size.commits // self.size.entries) % nth == 0

    def _held(self, *starts: str) -> dict[str, str]:
        return {path: oid for path, oid in sorted(self.oids.items()) if path.startswith(starts)}

    def _round(self, name: str, when: datetime) -> Round:
        number = self._number(name)
        files = self._held(f"art/{name}/")
        origins = {str(int(path[-7:-4])): {"script": oid * 2} for path, oid in files.items()}
        return Round(path=f"ledger/{name}-{number}.toml", number=number, date=when, by=BY, message="as far as it is",
                     pass_name=name, files=files, basis={"script": "script-1"}, made_from=origins)  # fmt: skip

    def _lock(self, name: str, when: datetime) -> Lock:
        number = self._number(f"lock-{name}")
        scopes = LOCKS[name]
        closed = self._held("script/", *([f"art/{name}/"] if "drawing" in scopes else []))
        return Lock(path=f"ledger/lock-{name}-{number}.toml", number=number, date=when, by=BY, pass_name=name,
                    scopes=scopes, files=closed, message="signed off")  # fmt: skip

    def _slip(self, at: int, when: datetime) -> Deed:
        """A line taken out of the closed script, with its slip."""
        number, cut = at % self.chapters + 1, at % CHAPTER_PAGES + 1
        self.cuts[number].add(cut)
        page = CHAPTER_PAGES * (number - 1) + cut
        files = self._chapter(number)
        self._done("", files)
        entry = self._alteration(when, pages=str(page), scopes=("structure", "wording"), files=self._held("script/"))
        return self._done("a line cut, agreed", {**files, entry.path: write_entry(entry)}, [entry])

    def _late_page(self, when: datetime) -> Deed:
        """An inked page drawn anew, with its slip."""
        page = self.dice.randrange(1, self.size.pages + 1)
        path, data = self._export("inks", page)
        self._done("", {path: data})
        entry = self._alteration(when, pages=str(page), scopes=("drawing",), files={path: self.oids[path]})
        return self._done("a page redrawn, agreed", {path: data, entry.path: write_entry(entry)}, [entry])

    def _alteration(self, when: datetime, **said: object) -> Alteration:
        number = self._number("alteration")
        return Alteration(path=f"ledger/alteration-{number}.toml", number=number, date=when, by=BY,
                          passes=("script",), reason="the lamp must be lit", **said)  # type: ignore[arg-type]  # fmt: skip
