"""`save`, `undo`, `doctor`, `hook`: keeping things, and taking the last one back."""

from __future__ import annotations

from tests.typed_book import TypedBook


def test_save_records_everything(entered: TypedBook) -> None:
    entered.write("designs/nell.md", "Nell\n")
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    (entered.top / "art/pencils/p004.png").unlink()
    told = entered.ledger("save", "-m", "on the train", "--json").document
    assert told["paths"] == ["art/pencils/p004.png", "designs/nell.md", "script/01.md"]
    assert entered.git("status", "--porcelain") == ""
    assert "recorded already" in entered.ledger("save").out


def test_save_is_judged_as_a_commit_is(signed: TypedBook) -> None:
    signed.change("script/01.md", "N: Push.", "J: Push.")
    head = signed.git("rev-parse", "HEAD")
    assert "speaker-changed" in signed.ledger("save", code=1).out
    assert signed.git("rev-parse", "HEAD") == head


def test_what_was_made_to_be_read_is_named_and_left_out(entered: TypedBook) -> None:
    """A packet in the book's folder is for its reader: it is taken in when git was told to, or among the memos."""
    entered.ledger("packet", "script")
    entered.ledger("packet", "script", "--for", "Bede", "--out", "notes/for-bede.docx")
    entered.ledger("wallchart", "--out", "art/Wall.HTML")
    entered.ledger("audit", "--out", "audit.json")
    entered.ledger("memo", "--out", "memos/for-marsh.html")
    entered.write("designs/nell.md", "Nell\n")
    entered.write("designs/nell.html", "<!doctype html>\n<title>my own page</title>\n")
    told = entered.ledger("save", "-m", "on the train").out
    left = ["art/Wall.HTML", "audit.json", "notes/for-bede.docx", "packet-script-1.html"]
    assert f"Left out: {', '.join(left)}, made by inkledger for somebody to read" in " ".join(told.split())
    assert "git add art/Wall.HTML" in told and "Saved 3 files" in told
    assert entered.git("status", "--porcelain", "-uall").split() == [x for path in left for x in ("??", path)]
    assert entered.git("ls-tree", "-r", "--name-only", "HEAD", "memos").split() == ["memos/for-marsh.html"]
    again = entered.ledger("save").out
    assert "recorded already" in again and "packet-script-1.html" in again
    backup = " ".join(entered.ledger("backup", "../copy").out.split())
    assert "not recorded yet" not in backup and "packet-script-1.html" in backup
    entered.git("add", "packet-script-1.html")
    assert "Saved 1 file;" in entered.ledger("save").out
    entered.write("packet-script-1.html", (entered.top / "packet-script-1.html").read_bytes() + b"\n")
    assert entered.ledger("save", "--json").document["paths"] == ["packet-script-1.html"], "it is part of the book now"


def test_working_files_are_not_in_git_unless_somebody_adds_them(entered: TypedBook) -> None:
    """`masters` are the layered files, often a hundred times an export: nothing takes them in unasked."""
    entered.change("book.toml", 'locks = ["structure"]', 'locks = ["structure"]\nmasters = "work/p{page}.*"')
    for page in (1, 2):
        entered.write(f"work/p00{page}.psd", b"8BPS in layers")
    entered.write("work/brushes.txt", "round 4\n")
    entered.git("add", "work/p002.psd")
    told = entered.ledger("save", "-m", "on the train").out
    assert "Saved 3 files" in told
    assert "Left out: work/p001.psd, named by masters in book.toml, so not in git unless you add it." in " ".join(
        told.split()
    )
    assert entered.git("ls-tree", "-r", "--name-only", "HEAD", "work").split() == ["work/brushes.txt", "work/p002.psd"]
    assert entered.git("status", "--porcelain", "-uall").split() == ["??", "work/p001.psd"]
    entered.write("work/p002.psd", b"8BPS in other layers")
    assert "work/p002.psd" in entered.ledger("save", "--json").document["paths"]
    assert "git add work/p001.psd, then save again" in entered.ledger("save").out
    entered.git("add", "work/p001.psd")
    assert entered.ledger("save", "--json").document["paths"] == ["work/p001.psd"]


def test_undo_takes_the_last_round_back(entered: TypedBook) -> None:
    before = entered.git("rev-parse", "HEAD")
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    entered.ledger("enter", "script")
    told = entered.ledger("undo", "--json").document
    assert told["done"] is True and told["entry"] == "script-2"
    assert entered.git("rev-parse", "HEAD") == before
    assert "pass/script/2" not in entered.git("tag", "-l")
    assert "N: Listen!" in (entered.top / "script/01.md").read_text()
    assert not (entered.top / "ledger/script-2.toml").exists()
    assert entered.git("status", "--porcelain").split() == ["M", "script/01.md"]
    assert entered.ledger("audit").code == 0
    entered.ledger("enter", "script")


def test_undo_leaves_what_something_stands_on(entered: TypedBook) -> None:
    entered.write("designs/nell.md", "Nell\n")
    entered.git("add", "-A")
    entered.git("commit", "-qm", "by hand")
    head = entered.git("rev-parse", "HEAD")
    entered.ledger("undo", code=2)
    assert entered.git("rev-parse", "HEAD") == head


def test_doctor_makes_tags_again_and_names_what_is_gone(entered: TypedBook) -> None:
    before = entered.git("for-each-ref", "refs/tags")
    entered.git("tag", "-d", "pass/script/1")
    told = entered.ledger("doctor", "--json").document
    assert told["tags_made"] == ["pass/script/1"]
    assert entered.git("for-each-ref", "refs/tags") == before, "a tag is determined by its entry"
    oid = entered.git("rev-parse", "HEAD:art/pencils/p003.png").strip()
    (entered.top / ".git/objects" / oid[:2] / oid[2:]).unlink()
    told = entered.ledger("doctor", "--json", code=1).document
    assert [(m["path"], m["entry"]) for m in told["missing"]] == [("art/pencils/p003.png", "pencils-1")]


def test_a_hook_of_the_users_is_kept_called_and_put_back(entered: TypedBook) -> None:
    entered.ledger("hook", "remove")
    own = entered.top / ".git/hooks/pre-commit"
    assert not own.exists()
    own.write_text('#!/bin/sh\necho "my own hook" >&2\n')
    own.chmod(0o755)
    entered.ledger("hook", "install")
    entered.ledger("hook", "install")
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    entered.git("add", "-A")
    assert entered.git("commit", "-qm", "an edit").count("my own hook") == 1
    entered.ledger("hook", "remove")
    assert own.read_text() == '#!/bin/sh\necho "my own hook" >&2\n'
    assert [p.name for p in own.parent.iterdir() if not p.name.endswith(".sample")] == ["pre-commit"]


def test_another_repository_in_the_book_is_not_half_saved(entered: TypedBook) -> None:
    entered.write("brushes/set.txt", "soft\n")
    entered.git("init", "-q", "brushes")
    head = entered.git("rev-parse", "HEAD")
    for _ in ("nothing committed in it", "something"):
        assert "brushes" in entered.ledger("save", code=2).err
        entered.git("-C", "brushes", "add", "-A")
        entered.git("-C", "brushes", "commit", "-q", "--allow-empty", "-m", "soft")
    assert entered.git("rev-parse", "HEAD") == head
    entered.write(".gitignore", "brushes/\n")
    entered.ledger("save")


def test_undo_says_what_it_leaves(entered: TypedBook) -> None:
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    entered.ledger("enter", "script", "-m", "louder")
    entered.write("memos/script-2.md", "my own words\n")
    told = entered.ledger("undo").out
    assert "Took back: script-2: louder; its entry is out of the ledger again." in told
    assert "Your drafts and pictures stay as they are now." in told
    assert "Changed since, so left as they are: memos/script-2.md." in told
    entered.ledger("save", "-m", "on the train")
    assert "ledger" not in entered.ledger("undo").out
