"""The change memo, read as its reader would."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from markdown_it import MarkdownIt

from ledger.model.change import Comparison, DraftChange, LineChange, SceneChange, Side
from ledger.model.entry import Alteration
from ledger.model.memo import MemoFacts
from ledger.model.note import Anchor, Followed, Note, Reply
from ledger.model.stale import Stale, StalePage
from ledger.render.markdown import words
from ledger.render.memo.change_memo import FOOT, memo_markdown
from tests.render.drafts import GULLS, OFFICE, ROOF, STAIRS, said, whole

PLAIN = MemoFacts("The Salt Lantern", "script-3", "script-4")


def note(number: int, state: str, text: str, *replies: Reply) -> Note:
    return Note("marsh", number, state, text, Anchor("p12.3", page="12", panel=3), "notes/marsh.md", 5 + number, 6,
                replies=replies)  # fmt: skip


def one_change(change: SceneChange) -> str:
    return memo_markdown(Comparison(Side("script-3", 9, 1), Side("script-4", 9, 1), DraftChange((change,))), PLAIN)


def test_the_head_says_what_from_when_and_for_whom() -> None:
    facts = replace(
        PLAIN, old_date=date(2026, 2, 11), new_date=date(2026, 3, 2), reader="E. Marsh", message="gulls out"
    )
    memo = memo_markdown(whole(), facts)
    assert memo.startswith("# The Salt Lantern: what changed from script-3 to script-4\n\nFor E. Marsh.\n")
    assert "From script-3 (11 February 2026) to script-4 (2 March 2026)." in memo
    assert "> gulls out" in memo
    assert "- Words: 4,210 before, 4,388 now (178 more)." in memo


def test_sections_stand_in_the_order_of_their_weight() -> None:
    memo = memo_markdown(whole(), PLAIN)
    titles = [row[3:] for row in memo.split("\n") if row.startswith("## ")]
    assert titles == ["Scenes and lines", "Who speaks", "Pages and panels", "Wording", "Polish", "Pictures"]


def test_a_cut_and_a_new_scene_are_told_in_full_action_too() -> None:
    memo = memo_markdown(whole(), PLAIN)
    assert "**“Gulls” (p4) was cut** (2 lines, 2 lettered words):\n\n> p4.1 *Gulls on the rail.*\n>\n" in memo
    assert "> p4.1 **Tomas Arde:** They know." in memo
    assert "### Chapter 2: The flood\n\n**“The lamp” (p6) is new**" in memo


def test_each_kind_of_change_is_a_sentence() -> None:
    memo = memo_markdown(whole(), PLAIN)
    for told in (
        "**“Harbour office” (p1-2) was split in two:** “Harbour office” (p1) and “Behind the desk” (p1-2).",
        "- New on p2.2: Ada says “He moved it last night.”",
        "“The stairs” (p3) is now called “Up the stairs”.",
        "**“Roof” (p5) was moved** from Chapter 2: The flood to Chapter 1: The tide gauge",
        "- Tom is called Tomas Arde throughout.",
        "- On p1.3 Tomas Arde's “It was.” is Ada's now.",
        "- Pages 2-3 became 3-4: every side flips.",
        "- On p1.2 Wren's “You said the map was here.” became “You said the chart was still here.”",
        "1 small change of wording, not told one by one.",
        "- **inks:** p3 (panel 2) was redrawn.",
        "- **inks:** p12 is new.",
    ):
        assert told in memo, told


def test_a_line_of_a_cut_scene_that_lives_on_says_where() -> None:
    kept = GULLS.lines[1]._replace(page="9", panel=2)
    cut = SceneChange("cut", (GULLS,), (), lines=(LineChange("cut", GULLS.lines[0], None),))
    home = SceneChange("kept", (STAIRS,), (STAIRS,), lines=(LineChange("moved", GULLS.lines[1], kept),))
    draft = DraftChange((cut, home))
    memo = memo_markdown(Comparison(Side("script-3", 9, 2), Side("script-4", 9, 1), draft), PLAIN)
    assert "> p4.1 **Tomas Arde:** They know. (now p9.2)" in memo
    assert "- Moved from p4.1 to p9.2: Tomas Arde's “They know.”" in memo


def test_scenes_merged_and_rewritten() -> None:
    memo = one_change(SceneChange("merged", (OFFICE, STAIRS), (OFFICE._replace(lines=(*OFFICE.lines, *STAIRS.lines)),)))
    assert "**“Harbour office” (p1-2) and “The stairs” (p3) were merged** into “Harbour office” (p1-3)." in memo
    memo = one_change(SceneChange("rewritten", (ROOF,), (ROOF,), similarity=0.42))
    assert "**“Roof” (p5) was rewritten:** 42% of its words stayed." in memo


def test_polish_alone_is_only_counted() -> None:
    old = said("1.1", "Wren", "We should have gone up there long before the water came.")
    change = LineChange("reworded", old, old._replace(text="We should have gone up there long before the water come."))
    memo = one_change(SceneChange("polished", (STAIRS,), (STAIRS,), similarity=0.9, lines=(change,)))
    assert "1 small change of wording" in memo
    assert "long before" not in memo


def test_notes_stale_pages_and_slips() -> None:
    done = note(2, "done", "Tomas explains too much.", Reply("done", "cut to two lines", 9, "script-4", Anchor("p14")))
    slip = Alteration(
        path="ledger/alteration-3.toml", number=3, date=date(2026, 2, 20), by="Ines <i@example.org>", pages="3",
        alteration_class="EA", reason="the lamp must be lit", asked_by="E. Marsh",
    )  # fmt: skip
    facts = replace(
        PLAIN,
        notes=(
            Followed(note(1, "open", "The door?"), "p12.3", "p13.3", "reworded", ("open-but-changed",)),
            Followed(done, "p1", "p1", "untouched", ("done-but-untouched",)),
        ),
        stale=Stale(
            tuple(StalePage("pencils", page, "script-3, now script-4: panel 2 is new") for page in ("1", "2", "7")),
            ("words only: page 9 of script was reworded after being drawn (pencils)",),
        ),
        slips=(slip,),
    )
    memo = memo_markdown(whole(), facts)
    assert "Needs a look (2):\n\n- marsh/1 (p12.3, now p13.3): The door? — open" in memo
    assert "still open, but its place changed" in memo
    assert "\n- marsh/2 (p1): Tomas explains too much. — done in script-4 at p14: cut to two lines" in memo
    assert "- **pencils:** p1-2,7 rest on script-3, now script-4: panel 2 is new." in memo
    assert "- Words only: page 9 of script was reworded after being drawn (pencils)." in memo
    assert "1 slip: 1 EA (editor's)." in memo
    assert "- alteration-3 (EA, p3): The lamp must be lit. Asked for by E. Marsh." in memo


def test_the_foot_claims_nothing() -> None:
    assert memo_markdown(whole(), PLAIN).endswith(f"\n---\n\n{FOOT}\n")


def test_nothing_changed_is_said() -> None:
    kept = SceneChange("kept", (STAIRS,), (STAIRS,))
    assert "No scene has changed in its words." in one_change(kept)


def test_signs_that_act_only_in_some_places_stay_as_typed_elsewhere() -> None:
    assert words("Maro & Lusk #2 - 3 > 2") == "Maro & Lusk #2 - 3 > 2"
    assert [words(text) for text in ("# one", "- two", "3. three", "&amp; four", "~~five~~")] == [
        "\\# one", "\\- two", "3\\. three", "\\&amp; four", "\\~~five\\~~",
    ]  # fmt: skip


def test_words_of_the_book_stay_words_in_markdown() -> None:
    evil = STAIRS._replace(
        title="<b>*x*</b>", lines=(said("1.1", "W", "# [a](b) `c` <script>alert(1)</script> &amp;"),)
    )
    memo = one_change(SceneChange("new", (), (evil,), lines=(LineChange("added", None, evil.lines[0]),)))
    page = MarkdownIt().render(memo)
    assert "<script>" not in page
    assert "<b>" not in page
    assert "# [a](b) `c` &lt;script&gt;alert(1)&lt;/script&gt; &amp;amp;" in page
