"""`python -m tests.bench fuzz [--slice] [--inputs 20000] [--seed 1]`: real files of a book, damaged in seeded ways.

Every damaged file goes through the readers and what is built on them, in this process, and a part of them through the
command in a real repository. Each must be read, or refused in words, within two seconds (the command: thirty); what is
written back must be as typed, and the quick reading of entries must say what the TOML parser says.
"""

from __future__ import annotations

import argparse
import json
import random
import signal
import subprocess
import sys
import tempfile
import tomllib
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import FrameType
from typing import NamedTuple

from ledger.compare.drafts import compare_drafts
from ledger.judge.draft import judge_draft
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.note import Reply
from ledger.model.pages import label_order, page_label, page_name, page_numbers, pages_text, parse_pages
from ledger.read.anchors import read_anchor
from ledger.read.cast_edit import add_people
from ledger.read.config import default_book, read_book
from ledger.read.entries import entry_name, entry_of_tag, numbered, read_entry, write_entry
from ledger.read.entry_lines import read_plain_layout
from ledger.read.notes import read_notes, round_name
from ledger.read.notes_edit import add_note, add_reply, number_notes
from ledger.read.outline import read_outline
from ledger.read.page_names import pages_by_name, pages_in_order
from ledger.read.patterns import fits, label_of
from ledger.read.script import read_script
from ledger.read.toml_text import line_of_key, load_toml
from tests.typed_book import BOOK, SCRIPT, TypedBook, typed_book

DEMO = Path(__file__).parent.parent.parent / "demo_project"
#: Seconds one input may take.
PATIENCE = 2.0
ENTRIES = {
    "ledger/inks-1.toml": """entry   = "pass"
pass    = "inks"
round   = 1
date    = 2026-03-02T17:20:00+01:00
by      = "Ida Kestrel <ida@example.org>"
message = "chapter one inked"
pages   = "1-24"
basis   = { script = "script-4", pencils = "pencils-2" }

[files]
"art/inks/p001.tif" = "3b18e512dba79e4c8300dd08aeb37f8e728b8dad"

[made_from]
"1" = { pencils = "9c1f", script = "a page" }
""",
    "ledger/lock-inks-1.toml": """entry   = "lock"
pass    = "inks"
number  = 1
date    = 2026-03-02
by      = "Ida Kestrel <ida@example.org>"
pages   = "1-24,30,cover"
scopes  = ["structure", "drawing"]
round   = 2
approved_by = "E. Marsh"

[files]
"script/01.md" = "3b18e512dba79e4c8300dd08aeb37f8e728b8dad"
"art/inks/p001.png" = ""
""",
    "ledger/alteration-3.toml": """entry   = "alteration"
number  = 3
date    = 2026-03-02T17:20:00Z
by      = "Ida"
class   = "EA"
reason  = "the lamp must be lit"
asked_by = "E. Marsh"
pages   = "3"
scopes  = ["drawing"]
passes  = ["inks"]

[files]
"art/inks/p003.png" = "3b18e512dba79e4c8300dd08aeb37f8e728b8dad"
""",
    "ledger/reopen-1.toml": """entry   = "reopen"
number  = 1
date    = 2026-03-02T17:20:00.123456-09:30
by      = "Ida"
class   = "AA"
reason  = "the flood"
pages   = "60-84"
scopes  = ["structure"]
passes  = ["inks"]
""",
    "ledger/handoff-1.toml": """entry   = "handoff"
number  = 1
date    = 2026-03-02T17:20:00+01:00
by      = "Ida"
pass    = "flats"
pages   = "1-4"
to      = "Bo"
round   = 1
packet  = true

[files]
"art/inks/p001.png" = "3b18e512dba79e4c8300dd08aeb37f8e728b8dad"
""",
}
NOTES = """# Marsh on script-3
from: E. Marsh
on: script-3
date: 2026-02-11

- [ ] 1 (p12.3) The door should open inward, or the turn has no surprise.
  - query: inward is against fire rules in that harbour, does it matter?
- [x] 2 (scene "Harbour office") Tomas explains too much.
  - done in script-4: cut to two lines
- [x] 3 (p7.2 "You said the map") Too blunt?
  - stet: it is who she is
- [ ] 4 (p30 @0.42,0.31) Can we lose a page here?
  - carried to inks: see when the flood pages are drawn
- [ ] (ch 2)

  Further words of a note without a number.
"""
NAMES = (
    "art/inks/p001.png", "art/inks/p024-025.tif", "p012-p013.png", "f001.png", "b2.png", "cover.jpg", "1-24,30,cover",
    "Page 12 (final) v3.png", "012_inks_FINAL.tif", "ledger/lock-inks-2.toml", "lock/inks/2", "p12.3 \"words\"", "ch 2",
    "p12 @0.42,0.31", 'scene "Harbour office"', "notes/2026-03-03-ida.md", "script/*.md", "pass-1", "24-25",
)  # fmt: skip
#: What breaks readers: signs that end strings, numbers too large, depth, controls, both line ends, lone halves.
NASTY = (
    b"\x00", b"\xef\xbb\xbf", b"\r", b"\r\n", b"\x1b[31m", b"\xe2\x80\xa8", b"\xe2\x80\xae", b"\xff\xfe", b"\xc3",
    b"\xed\xa0\x80", b"e\xcc\x81", b"9" * 5000, b"1e999", b"-0", b"0x7fffffffffffffffff", b"inf", b"nan",
    b"9999-12-31T23:59:60Z", b"0000-00-00", b"2026-02-30", b"[" * 3000, b"{" * 3000, b"]]", b'"""', b"'''", b"\\",
    b"\\u", b"\\U0011FFFF", b'"', b"'", b"#", b"# ", b"## ", b"=", b"[[", b"[page", b"[page 0]", b"[page 99999999999]",
    b"[pages 9-3]", b"[panel -1]", b"PAGE NINETY-NINE THOUSAND", b"W: ", b": ", b"W (", b"{whisper", b"<!--", b"-->",
    b"```\n", b"~~~", b"    ", b"\t", b"- [ ] ", b"- [x] 99999999999999999999 (", b"> " * 300, b"- " * 300, b"* " * 300,
    b"_" * 2000, b"*" * 2001, b"`" * 999, b"(" * 999, b"&#0;", b"&#x110000;", b"[a]: b\n", b"---\n", b"===\n", b"ALL: ",
    b"{#" + b"x" * 500 + b"}", b"\xc2\xa0", b"\xe3\x80\x80", "ǅ".encode(), "İ".encode(), "ﬁ".encode(), "١٢".encode(),
)  # fmt: skip


class Sort(NamedTuple):
    """A sort of file: real ones, and what is done with a damaged one."""

    real: Sequence[tuple[str, bytes]]
    ask: Callable[[str, bytes, bytes], None]
    share: int


def damaged(rng: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """A real file with one to six things done to it."""
    held = bytearray(data)
    for _ in range(rng.choice((1, 1, 1, 2, 2, 3, 4, 6))):
        at, to = sorted((rng.randint(0, len(held)), rng.randint(0, len(held))))
        to = min(to, at + rng.choice((1, 3, 20, 400)))
        match rng.randrange(9):
            case 0:
                held[at:at] = rng.choice(NASTY)
            case 1:
                held[at:to] = b""
            case 2:
                held[at:at] = held[at:to] * rng.choice((1, 2, 50))
            case 3 if held:
                held[min(at, len(held) - 1)] ^= 1 << rng.randrange(8)
            case 4:
                lines = bytes(held).split(b"\n")
                rng.shuffle(lines) if rng.random() < 0.2 else lines.insert(rng.randrange(len(lines) + 1),
                                                                           rng.choice(lines))  # fmt: skip
                held = bytearray(b"\n".join(lines))
            case 5:
                other = rng.choice(others)
                start = rng.randint(0, len(other))
                held[at:to] = other[start : start + rng.choice((5, 40, 300))]
            case 6:
                del held[at:]
            case 7:
                held[at:to] = rng.randbytes(to - at)
            case _:
                held[at:to] = rng.choice(NASTY)
    return bytes(held[:60_000])


# -- what is asked of each sort; only Refusal (and what a reader's docstring names) may be raised


def entry(path: str, data: bytes, _: bytes) -> None:
    quick = read_plain_layout(data)
    try:
        whole: object = tomllib.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        whole = None
    assert quick is None or quick == whole, "the quick reading says something else"
    found = read_entry(path, data)
    assert read_entry(path, write_entry(found)) == found
    numbered(path, data)


def book(path: str, data: bytes, _: bytes) -> None:
    try:
        values, text = load_toml(data, path)
    finally:
        for key in (("pass", 1, "from"), ("cast", "T"), ("book",)):
            line_of_key(data.decode("utf-8", "replace"), key)
    line_of_key(text, tuple(values)[:1])
    found = read_book(data, path)
    add_people(data, found.cast[:1], path)


def script(path: str, data: bytes, real: bytes) -> None:
    usual = default_book("A book")
    cast = read_book(BOOK.encode()).cast
    new, old = read_script(((path, data),), cast), read_script(((path, real),), cast)
    judge_draft(new, usual)
    compare_drafts(old, new)
    compare_drafts(new, new)
    read_outline(((path, data),), cast)


def notes(path: str, data: bytes, _: bytes) -> None:
    found = read_notes(path, data)
    number_notes(data)
    longer, number = add_note(data, "Is it?\nIs it not?", anchor="p12")
    assert number in {note.number for note in read_notes(path, longer).notes}
    for note in found.notes[:3]:
        if note.number is not None:
            try:
                add_reply(data, note.number, Reply("done", "cut", 0, "script-4", None), line=note.line)
            except Refusal:
                continue


def name(path: str, data: bytes, _: bytes) -> None:
    text = data.decode("utf-8", "surrogateescape")
    for each in read_book(BOOK.encode()).passes:
        label_of(text, each)
    label = page_label(text)
    if label is not None:
        page_numbers(label), page_name(label), label_order(label), pages_text([label])
    entry_name(text), entry_of_tag(text), read_anchor(text), round_name(text)
    pages_by_name([text, "p001.png"]), pages_in_order([text, "p1.png"], 1)
    fits("art/inks/p001.png", text)
    try:
        parse_pages(text)
    except ValueError as fault:
        assert "page" in str(fault) or fault.args, "no words"


def sorts() -> dict[str, Sort]:
    """Every sort of file with its share of the inputs, in per cent."""
    drafts = [(f"script/{p.name}", p.read_bytes()) for p in sorted(DEMO.glob("drafts/script-*/*")) if p.is_file()]
    rounds = [(f"notes/{p.name}", p.read_bytes()) for p in sorted(DEMO.glob("notes/**/*.md"))]
    books = [("book.toml", p.read_bytes()) for p in sorted(DEMO.glob("book*.toml"))]
    return {
        "entries": Sort([(path, text.encode()) for path, text in ENTRIES.items()], entry, 30),
        "book.toml": Sort([("book.toml", BOOK.encode()), *books], book, 25),
        "script": Sort([("script/01.md", SCRIPT.encode()), *((p, d[:6000]) for p, d in drafts)], script, 15),
        "notes": Sort([("notes/marsh-1.md", NOTES.encode()), *rounds], notes, 20),
        "names": Sort([("", each.encode()) for each in NAMES], name, 10),
    }


def inputs(rng: random.Random, sort: Sort, count: int) -> Iterator[tuple[str, bytes, bytes]]:
    """Path, damaged bytes, and the real ones they were."""
    others = [data for _, data in sort.real]
    for _ in range(count):
        path, data = rng.choice(sort.real)
        yield path, damaged(rng, data, others), data


def _too_long(_: int, __: FrameType | None) -> None:
    raise TimeoutError("it takes for ever")


def fault_of(ask: Callable[[str, bytes, bytes], None], path: str, data: bytes, real: bytes) -> str | None:
    """What goes wrong with an input, None where it is read or refused in words with its place."""
    signal.setitimer(signal.ITIMER_REAL, PATIENCE)
    try:
        ask(path, data, real)
    except Refusal as refusal:
        said = refusal.message.strip() and (refusal.path is None or refusal.path == path)
        return None if said else f"a refusal without words or place: {refusal!r}"
    except ContentMissing:
        return None
    except BaseException as fault:
        place = traceback.extract_tb(fault.__traceback__)[-1]
        return f"{type(fault).__name__}: {str(fault)[:150]} ({Path(place.filename).name}:{place.lineno})"
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
    return None


def by_command(book_: TypedBook, path: str, data: bytes) -> str | None:
    """The same in a real book, through the command."""
    place = book_.top / path
    was = place.read_bytes() if place.exists() else None
    book_.write(path, data)
    try:
        for words in (("check", "--json"), ("notes", "list", "--json"), ("status",)):
            line = [sys.executable, "-m", "ledger", *words]
            done = subprocess.run(line, cwd=book_.top, capture_output=True, timeout=30, stdin=subprocess.DEVNULL)
            if done.returncode not in (0, 1, 2) or b"Traceback" in done.stdout + done.stderr:
                return f"{' '.join(words)}: exit {done.returncode}: {done.stderr.decode('utf-8', 'replace')[-300:]}"
            if "--json" in words:
                json.loads(done.stdout)
    except subprocess.TimeoutExpired:
        return "it takes for ever"
    except ValueError as fault:
        return f"no JSON: {fault}"
    finally:
        place.unlink() if was is None else place.write_bytes(was)
    return None


def small_book(top: Path) -> TypedBook:
    """A book with an entry of each sort that is damaged, and a notes round."""
    made = typed_book(top)
    made.ledger("enter", "script", "-m", "first")
    return made


class Damage(NamedTuple):
    """An input that was not borne: its sort, what went wrong, and its bytes."""

    sort: str
    fault: str
    data: bytes


def fuzzed(seed: int, count: int, commands: int, top: Path) -> tuple[Counter[str], list[Damage]]:
    """So many inputs in this process and so many through the command; gives counts by sort and what went wrong."""
    before = signal.signal(signal.SIGALRM, _too_long)
    counted: Counter[str] = Counter()
    found: list[Damage] = []
    try:
        for kind, sort in sorts().items():
            rng = random.Random(f"{seed} {kind}")
            for path, data, real in inputs(rng, sort, count * sort.share // 100):
                counted[kind] += 1
                if (fault := fault_of(sort.ask, path, data, real)) is not None:
                    found.append(Damage(kind, fault, data))
    finally:
        signal.signal(signal.SIGALRM, before)
    real_book = small_book(top)
    for kind, sort in sorts().items():
        if kind == "names":
            continue
        rng = random.Random(f"{seed} {kind} command")
        for path, data, _ in inputs(rng, sort, commands // 4):
            counted[f"{kind} by the command"] += 1
            if (fault := by_command(real_book, path, data)) is not None:
                found.append(Damage(f"{kind} by the command", fault, data))
    return counted, found


def fuzz(arguments: list[str]) -> None:
    """Prints the counts; ends with exit 1 where an input was not borne."""
    options = argparse.ArgumentParser(prog="python -m tests.bench fuzz")
    options.add_argument("--slice", action="store_true")
    options.add_argument("--inputs", type=int, default=20_000)
    options.add_argument("--commands", type=int, default=400)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--keep", type=Path, help="a folder that the inputs which were not borne are written to")
    given = options.parse_args(arguments)
    count, commands = (1000, 8) if given.slice else (given.inputs, given.commands)
    with tempfile.TemporaryDirectory() as folder:
        counted, found = fuzzed(given.seed, count, commands, Path(folder) / "book")
    for kind, number in counted.items():
        wrong = sum(each.sort == kind for each in found)
        print(f"{kind:28} {number:6} inputs, {wrong} not borne")
    print(f"{counted.total()} inputs, {len(found)} not borne")
    for number, each in enumerate(found):
        print(f"  {each.sort}: {each.fault}")
        if given.keep:
            given.keep.mkdir(exist_ok=True)
            (given.keep / f"{number}-{each.sort.partition(' ')[0]}").write_bytes(each.data)
    sys.exit(1 if found else 0)
