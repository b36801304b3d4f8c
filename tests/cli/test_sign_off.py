"""`lock`, `alter`, `reopen`: what is closed stays closed, what was agreed is admitted, at `git commit` itself."""

from __future__ import annotations

import shlex
import tomllib

import pytest

from tests.typed_book import TypedBook


def entry(book: TypedBook, name: str) -> dict[str, object]:
    return tomllib.loads((book.top / f"ledger/{name}.toml").read_text())


def commit(book: TypedBook, code: int) -> str:
    book.git("add", "-A")
    return book.git("commit", "-qm", "an edit", code=code)


def test_a_sign_off_is_an_entry_of_its_own(signed: TypedBook) -> None:
    said = entry(signed, "lock-pencils-1")
    assert said["scopes"] == ["structure"] and said["round"] == 1
    assert set(said["files"]) == {"script/01.md"}  # type: ignore[call-overload]
    assert signed.git("show", "--name-only", "--format=", "HEAD").split() == ["ledger/lock-pencils-1.toml"]
    assert "lock/pencils/1" in signed.git("tag", "-l")


def test_a_pass_that_closes_nothing_is_not_signed_off(entered: TypedBook) -> None:
    assert "locks" in entered.ledger("lock", "script", code=2).err


def test_a_newer_draft_must_be_entered_first(entered: TypedBook) -> None:
    entered.change("script/01.md", "N: Listen.", "J: Listen.")
    entered.git("commit", "-qam", "a change without a round")
    told = entered.ledger("lock", "pencils", code=2)
    assert "enter script" in told.err


#: Worked cases after pencils are locked (trade facts T-119): what was typed, what git commit does, the rule named.
CASES = [
    ("N: Listen.", "N: Listen!", 0, ""),
    ("N: Push.", "N: Push now.", 0, ""),
    ("A door swollen with damp.", "A green door, swollen.", 0, ""),
    ("J: Found it in the bilge.\n", "", 1, "line-cut"),
    ("N: Push.", "J: Push.", 1, "speaker-changed"),
    ("SFX: KRRNK\n", "SFX: KRRNK\n\nN: Again.\n", 1, "line-added"),
    ("[page 4]\n", "[page 4]\n[panel]\nGulls.\n\n[page]\n", 1, "page-added"),
    ("## The far room", "## The far room, later", 0, ""),
]


@pytest.mark.parametrize(("old", "new", "code", "rule"), CASES)
def test_after_the_story_is_locked(signed: TypedBook, old: str, new: str, code: int, rule: str) -> None:
    signed.change("script/01.md", old, new)
    said = commit(signed, code)
    assert rule in said
    staged = signed.ledger("check", "--staged", "--json", code=code).document if code else None
    if staged:
        assert rule in {f["rule"] for f in staged["findings"]}
        assert "inkledger alter" in said


def test_a_slip_admits_what_is_staged_and_nothing_else(signed: TypedBook) -> None:
    signed.change("script/01.md", "J: Found it in the bilge.\n", "")
    assert "line-cut" in commit(signed, 1)
    told = signed.ledger("alter", "--reason", "the key is found later", "--class", "EA", "--asked-by", "Ada", "--json")
    assert told.document["entry"] == "alteration-1"
    said = entry(signed, "alteration-1")
    assert (said["class"], said["pages"], said["scopes"], said["passes"]) == ("EA", "1", ["structure"], ["script"])
    signed.git("commit", "-qm", "the key goes")
    assert signed.ledger("audit").code == 0
    signed.change("script/01.md", "N: Push.", "J: Push.")
    assert "speaker-changed" in commit(signed, 1)
    signed.git("checkout", "-q", "HEAD", "--", ".")
    signed.ledger("enter", "script", "-m", "after the slip")
    assert "alteration/1" in signed.git("tag", "-l")
    assert signed.git("rev-parse", "alteration/1^{commit}") == signed.git("rev-parse", "HEAD~1")


@pytest.mark.parametrize("how", ["add", "-a", "-- script/01.md"])
def test_the_way_out_that_a_refused_commit_tells_is_one(signed: TypedBook, how: str) -> None:
    """Typed as it stands there; what `commit -a` took in is not staged any more once it is stopped."""
    signed.change("script/01.md", "N: Push.", "J: Push.")
    if how == "add":
        signed.git("add", "-A")
    said = signed.git("commit", "-m", "late", *([] if how == "add" else how.split()), code=1)
    told = [row.strip() for row in said.partition("Or agree to it")[2].splitlines()[1:] if row.startswith("  ")]
    assert ("git add -- script/01.md" in told) == (how != "add")
    signed.env["GIT_EDITOR"] = "echo late >"
    for row in told:
        program, *words = shlex.split(row)
        assert program == "git" or words[0] == "alter"
        signed.git(*words) if program == "git" else signed.ledger(*words)
    assert signed.git("status", "--porcelain") == "" and "alteration-1.toml" in signed.git("show", "--stat", "HEAD")


def test_nothing_to_admit(signed: TypedBook) -> None:
    assert "nothing" in signed.ledger("alter", "--reason", "just so", code=1).out
    assert not (signed.top / "ledger/alteration-1.toml").exists()


def test_round_and_slip_in_one(signed: TypedBook) -> None:
    signed.change("script/01.md", "N: Push.", "J: Push.")
    signed.ledger("enter", "script", code=1)
    told = signed.ledger("enter", "script", "--class", "AA", "--reason", "he is nearer", "--json").document
    assert told["entry"] == "script-2" and "ledger/alteration-1.toml" in told["paths"]
    assert {"alteration/1", "pass/script/2"} <= set(signed.git("tag", "-l").split())
    assert signed.ledger("audit").code == 0


def test_drawing_is_closed_by_decoded_pixels(entered: TypedBook) -> None:
    from PIL import Image

    for page in range(1, 5):
        entered.draw("inks", f"{page:03}", page + 5)
    entered.ledger("enter", "inks")
    entered.ledger("lock", "inks", "--pages", "1-2")
    place = entered.top / "art/inks/p001.png"
    Image.open(place).save(place, compress_level=1)
    commit(entered, 0)
    entered.draw("inks", "003", 22)
    commit(entered, 0)
    entered.draw("inks", "002", 22)
    assert "panel-redrawn" in commit(entered, 1)
    entered.ledger("alter", "--reason", "the lamp must be lit")
    said = entry(entered, "alteration-1")
    assert (said["pages"], said["scopes"], said["passes"]) == ("2", ["drawing"], ["inks"])
    entered.git("commit", "-qm", "lamp lit")
    assert entered.ledger("audit").code == 0


def test_reopened_pages_are_told_not_stopped(signed: TypedBook) -> None:
    signed.ledger("reopen", "pencils", "--pages", "1", "--reason", "a new opening")
    signed.change("script/01.md", "J: Found it in the bilge.\n", "")
    commit(signed, 0)
    told = signed.ledger("check", "--json").document
    assert ("line-cut", "query") in {(f["rule"], f["level"]) for f in told["findings"]}
    signed.change("script/01.md", "N: Push.", "J: Push.")
    commit(signed, 1)


def test_entries_are_written_once(signed: TypedBook) -> None:
    place = signed.top / "ledger/script-1.toml"
    place.write_bytes(place.read_bytes().replace(b"\n", b"\r\n", 1))
    assert "entry-changed" in commit(signed, 1)
    signed.git("reset", "-q", "--hard")
    place.unlink()
    assert "entry-removed" in commit(signed, 1)


def test_weakening_and_using_it_in_one_commit_is_caught(signed: TypedBook) -> None:
    signed.change("book.toml", 'from = ["script"]\nlocks = ["structure"]', 'from = ["script"]\nlocks = []')
    signed.change("script/01.md", "N: Push.", "J: Push.")
    assert "speaker-changed" in commit(signed, 1)


def test_the_late_edit_by_no_verify_is_found_by_the_audit(signed: TypedBook) -> None:
    signed.change("script/01.md", "N: Push.", "J: Push.")
    signed.git("add", "-A")
    signed.git("commit", "-qnm", "nobody looks")
    told = signed.ledger("audit", "--json", code=1).document
    assert ("speaker-changed", "block") in {(f["rule"], f["level"]) for f in told["findings"]}
    signed.ledger("alter", "--late", "--reason", "agreed on the phone")
    signed.git("commit", "-qm", "slip for it")
    settled = signed.ledger("audit", "--json").document
    assert any("alteration-1" in f["message"] for f in settled["findings"])


def test_a_slip_narrower_than_the_change_is_not_written(signed: TypedBook) -> None:
    """A slip admits a script as a whole, so it must name every page on which it differs (convention §4)."""
    signed.change("script/01.md", "J: Found it in the bilge.\n", "")
    signed.change("script/01.md", "N: Listen.", "J: Listen.")
    signed.git("add", "-A")
    told = signed.ledger("alter", "--reason", "r", "--pages", "4", code=1)
    assert "page 1 as well" in told.out
    assert not (signed.top / "ledger/alteration-1.toml").exists()
    rules = {
        f["rule"]
        for f in signed.ledger("alter", "--reason", "r", "--pages", "4", "--json", code=1).document["findings"]
    }
    assert rules == {"line-cut", "speaker-changed"}
    assert "page 1 as well" in signed.ledger("enter", "script", "--reason", "r", "--pages", "4", code=1).out
    assert "pages 1, 4" in signed.ledger("alter", "--reason", "r", "--pages", "1,4").out
    signed.git("commit", "-qm", "agreed")


def test_a_slip_for_one_picture_names_those_still_closed(entered: TypedBook) -> None:
    for page in range(1, 5):
        entered.draw("inks", f"{page:03}", page + 5)
    entered.ledger("enter", "inks")
    entered.ledger("lock", "inks")
    for page in ("002", "004"):
        entered.draw("inks", page, 22)
    entered.git("add", "-A")
    told = entered.ledger("alter", "--reason", "lamp", "--pages", "2")
    assert "Still closed, so that git commit will stop: page 4." in told.out
    entered.git("commit", "-qm", "both", code=1)
    entered.git("restore", "--staged", "art/inks/p004.png")
    entered.git("commit", "-qm", "page 2 alone")


def test_a_slip_for_words_before_the_first_page(entered: TypedBook) -> None:
    entered.change("script/01.md", "# Chapter 1: The slipway\n", "# Chapter 1: The slipway\n\nCAP: Years ago.\n")
    entered.ledger("enter", "script")
    entered.ledger("lock", "pencils")
    entered.change("script/01.md", "CAP: Years ago.\n", "CAP: Years ago.\nCAP: Or more.\n")
    entered.change("script/01.md", "N: Listen.", "J: Listen.")
    commit(entered, 1)
    entered.ledger("alter", "--reason", "a slower opening")
    assert "pages" not in entry(entered, "alteration-1")
    entered.git("commit", "-qm", "agreed")


def test_a_late_slip_says_what_it_admits(signed: TypedBook) -> None:
    assert "no late change" in signed.ledger("alter", "--late", "--reason", "r", code=1).out
    signed.change("script/01.md", "N: Push.", "J: Push.")
    signed.git("commit", "-qanm", "nobody looks")
    told = signed.ledger("alter", "--late", "--reason", "r")
    assert "page 2, as recorded" in told.out and "with the change" not in told.out


def test_a_reason_is_words(signed: TypedBook) -> None:
    for words in (["alter"], ["reopen", "pencils", "--pages", "1"]):
        assert "--reason is empty" in signed.ledger(*words, "--reason", "  ", code=2).err


def test_pages_that_are_not_there_are_not_signed_off(entered: TypedBook) -> None:
    head = entered.git("rev-parse", "HEAD")
    assert "page 9" in entered.ledger("lock", "pencils", "--pages", "9", code=2).err
    assert entered.git("rev-parse", "HEAD") == head
    assert "Not there yet, and closed all the same: page 5." in entered.ledger("lock", "pencils", "--pages", "3-5").out


def test_pages_of_a_script_without_marks_are_not_signed_off_alone(laid_out: TypedBook) -> None:
    laid_out.write("script/01.md", "# One\n\n## Shed\n\nN: Push.\n")
    laid_out.ledger("enter", "script")
    assert "nothing recorded stands there" in laid_out.ledger("lock", "pencils", "--pages", "1", code=2).err
    laid_out.ledger("lock", "pencils")


def test_open_pages_are_not_opened_again(signed: TypedBook) -> None:
    told = signed.ledger("reopen", "pencils", "--pages", "1", "--reason", "r")
    assert "page 1 of 'pencils' is open" in told.out
    assert "is not closed" in signed.ledger("reopen", "pencils", "--pages", "1", "--reason", "r", code=2).err
    signed.ledger("lock", "pencils")
    signed.ledger("reopen", "pencils", "--pages", "1-2", "--reason", "r")


def test_the_way_out_of_a_refused_round_is_a_round(signed: TypedBook) -> None:
    signed.change("script/01.md", "N: Push.", "J: Push.")
    assert 'inkledger enter script --reason "' in signed.ledger("enter", "script", code=1).out
    assert "git add -A, then inkledger alter" in signed.ledger("save", code=1).out.replace("\n", " ")


def test_a_pass_renamed_since_its_sign_off_can_be_reopened(signed: TypedBook) -> None:
    """Renaming the pass opens nothing (convention §4); the way out that `lock-loosened` names must run."""
    signed.change("book.toml", 'name = "pencils"', 'name = "roughs"')
    signed.change("book.toml", 'from = ["pencils", "script"]', 'from = ["roughs", "script"]')
    commit(signed, 0)
    signed.change("script/01.md", "N: Push.", "J: Push.")
    commit(signed, 1)
    signed.git("stash", "-q")
    signed.ledger("reopen", "pencils", "--pages", "2", "--reason", "he pushes")
    signed.git("stash", "pop", "-q")
    commit(signed, 0)
    assert "no pass of this book" in signed.ledger("reopen", "pensils", "--pages", "2", "--reason", "r", code=2).err


def test_a_key_of_the_cast_given_away_is_one_slip_on_all_its_pages(signed: TypedBook) -> None:
    signed.change("book.toml", 'N = "Nell"', 'N = "Ada"')
    assert "speaker-changed" in commit(signed, 1)
    signed.ledger("alter", "--reason", "she is somebody else now")
    said = entry(signed, "alteration-1")
    assert (said["pages"], said["scopes"], said["passes"]) == ("1-2,4", ["structure"], ["script"])
    signed.git("commit", "-qm", "another Nell")
    assert signed.ledger("audit").code == 0
