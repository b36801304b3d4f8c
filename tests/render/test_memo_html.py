"""The memo as an HTML file, read as text: what stands in it, in which order, and that no words of a book act in it."""

from __future__ import annotations

import base64
import hashlib
from html.parser import HTMLParser

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.model.change import Comparison, DraftChange, LineChange, SceneChange, Side
from ledger.model.memo import MemoFacts
from ledger.render.hypertext import hypertext
from ledger.render.letter import Items, Letter, Polish, Quoted
from ledger.render.memo.change_memo import memo_letter
from ledger.render.memo.page import memo_html
from ledger.render.plain import one_line
from ledger.render.told import new_wording, old_wording, plain, words
from tests.render.drafts import STAIRS, said, scene, whole

PLAIN = MemoFacts("The Salt Lantern", "script-3", "script-4")
HOSTILE = (
    "<script>alert(1)</script>", "</title></style><img src=x onerror=alert(1)>", "{{ 7 * 7 }}{% include 'x' %}",
    "\"><a href='javascript:alert(1)'>&amp;&lt;", "\x02\x07 \u202egnp.exe \x1b[31m", "]]><!-- -->",
)  # fmt: skip


class Reader(HTMLParser):
    """The elements of a page in order, each with its attributes, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.inside: list[tuple[str, str]] = []
        self.tag = ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self.tag = tag

    def handle_data(self, data: str) -> None:
        self.inside.append((self.tag, data))

    def text(self, *tags: str) -> str:
        return "".join(data for tag, data in self.inside if tag in tags or not tags)

    def names(self) -> list[str]:
        return [tag for tag, _ in self.elements]


def one_scene(title: str, *texts: str) -> Comparison:
    lines = tuple(said("1.1", text, text) for text in texts)
    change = SceneChange(
        "new",
        (),
        (scene(title, *lines, chapter=title),),
        lines=tuple(LineChange("added", None, line) for line in lines),
    )
    return Comparison(Side("script-3"), Side("script-4", 9, 1), DraftChange((change,)))


def told(letter: Letter) -> list[str]:
    """Every sentence of a letter that a page shows, without marks."""
    found = [*letter.opening, *letter.short]
    for section in letter.sections:
        found.append(section.title)
        for block in section.blocks:
            match block:
                case Items():
                    found += block.items
                case Quoted():
                    found += [f"{place} {text}" for place, text in block.rows]
                case Polish():
                    found += [block.told, *(item for one in block.one_by_one() if isinstance(one, Items)
                                            for item in one.items)]  # fmt: skip
                case _:
                    found.append(block.told)
    return [plain(each) for each in (*found, letter.foot)]


def test_the_page_says_every_sentence_of_the_letter_in_order() -> None:
    text, at = Reader(memo_html(whole(), PLAIN)).text(), 0
    sentences = told(memo_letter(whole(), PLAIN))
    assert len(sentences) > 30
    for each in sentences:
        assert each in text[at:], each
        at = text.index(each, at) + len(each)


def test_what_polish_was_folded_is_marked_word_by_word() -> None:
    page = memo_html(whole(), PLAIN)
    assert "<summary>1 small change of wording</summary>" in page
    assert "“<bdi>No boat, no <del>lamp,</del> nobody.</bdi>”" in page


def test_the_policy_stands_before_what_it_rules_and_knows_it_by_its_digest() -> None:
    page = Reader(memo_html(whole(), PLAIN))
    names = page.names()
    policy = next(at for at, (_, held) in enumerate(page.elements) if held.get("http-equiv"))
    assert policy < min(names.index("style"), names.index("script"))
    rules = dict(rule.split(" ", 1) for rule in (page.elements[policy][1]["content"] or "").split("; "))
    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == "'none'"
    for tag in ("style", "script"):
        held = [data for name, data in page.inside if name == tag and data.strip()]
        digests = [base64.b64encode(hashlib.sha256(each.encode()).digest()).decode() for each in held]
        assert rules[f"{tag}-src"] == " ".join(f"'sha256-{each}'" for each in digests)


def test_the_head_names_book_language_and_width() -> None:
    page = Reader(memo_html(whole(), PLAIN))
    assert page.elements[0] == ("html", {"lang": "en"})
    assert page.text("title").strip() == "The Salt Lantern: what changed from script-3 to script-4"
    assert ("meta", {"name": "viewport", "content": "width=device-width, initial-scale=1"}) in page.elements


def test_the_page_asks_for_nothing() -> None:
    page = Reader(memo_html(whole(), PLAIN))
    assert not {"link", "img", "iframe", "object", "embed", "base", "form"} & set(page.names())
    addresses = [held[key] or "" for _, held in page.elements for key in ("src", "href", "action") if key in held]
    assert addresses and all(address.startswith("#") for address in addresses)
    assert "url(" not in page.text("style") and "@import" not in page.text("style")


def test_who_it_is_for_is_said() -> None:
    page = memo_html(whole(), MemoFacts("The Salt Lantern", "script-3", "script-4", reader="E. <Marsh>"))
    assert "<p>For <bdi>E. &lt;Marsh&gt;</bdi>.</p>" in page


def test_hostile_words_stay_words() -> None:
    ours = set(Reader(memo_html(one_scene("A title", "A line."), PLAIN)).names())
    for text in HOSTILE:
        facts = MemoFacts(text, text, text, reader=text, message=text)
        page = Reader(memo_html(one_scene(text, text), facts))
        assert set(page.names()) <= ours | {"blockquote"}, text
        assert page.text("title").startswith(one_line(text)), text
        assert page.text().count(one_line(text)) >= 8, text
        assert not any(key.startswith("on") for _, held in page.elements for key in held)


def test_words_are_isolated_from_the_direction_of_the_rest() -> None:
    assert hypertext(f"On {words('שלום')} it") == "On <bdi>שלום</bdi> it"
    assert "\u202e" not in memo_html(one_scene("\u202etitle", "\u202eline"), PLAIN)


#: Words and blanks of which two wordings are likely to share some.
TYPED = st.lists(st.sampled_from([*"ab<&", "map ", " chart", "\u00a0", "  ", "Ada,"]) | st.characters(), max_size=12)


@settings(max_examples=150, deadline=None)
@given(TYPED.map("".join), TYPED.map("".join))
def test_marks_inside_a_line_change_no_word_of_it(old: str, new: str) -> None:
    """Law: two wordings come back whole, and what both have stands outside of `<del>` and `<ins>` alike."""
    struck, under = Reader(f"<p>{hypertext(old_wording(old, new))}"), Reader(f"<p>{hypertext(new_wording(old, new))}")
    assert struck.text() == f"“{one_line(old)}”"
    assert under.text() == f"“{one_line(new)}”"
    assert set(struck.names()) <= {"p", "bdi", "del"}
    assert set(under.names()) <= {"p", "bdi", "ins"}


def test_a_letter_of_one_part_needs_no_list_of_parts() -> None:
    assert "<nav" not in memo_html(one_scene("The stairs", "Up."), PLAIN)
    assert "<nav" in memo_html(whole(), PLAIN)


def test_nothing_changed_is_a_page_too() -> None:
    kept = Comparison(Side("script-3"), Side("script-4"), DraftChange((SceneChange("kept", (STAIRS,), (STAIRS,)),)))
    assert memo_letter(kept, PLAIN).sections == ()
    assert "No scene has changed in its words." in Reader(memo_html(kept, PLAIN)).text()
