"""A file that is there whole or as it was: full disks, links, devices, folders of others, kills."""

from __future__ import annotations

import os
import threading
from pathlib import Path

import pytest

from ledger.gitedge.one_file import put_whole


def test_a_file_is_written_and_written_over_with_its_mode(tmp_path: Path) -> None:
    place = tmp_path / "a.html"
    put_whole(place, b"one")
    place.chmod(0o600)
    put_whole(place, b"two")
    assert (place.read_bytes(), place.stat().st_mode & 0o777) == (b"two", 0o600)
    assert [each.name for each in tmp_path.iterdir()] == ["a.html"]


def test_a_link_is_followed_and_stays(tmp_path: Path) -> None:
    (tmp_path / "to").mkdir()
    (tmp_path / "a.html").symlink_to("to/b.html")
    put_whole(tmp_path / "a.html", b"one")
    assert (tmp_path / "a.html").is_symlink() and (tmp_path / "to/b.html").read_bytes() == b"one"


def test_what_is_no_file_is_written_to(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    heard: list[bytes] = []
    reader = threading.Thread(target=lambda: heard.append((tmp_path / "pipe").read_bytes()))
    reader.start()
    put_whole(tmp_path / "pipe", b"one")
    reader.join()
    assert heard == [b"one"]


def test_what_a_killed_run_left_is_taken_away_and_a_link_there_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret").write_bytes(b"secret")
    (tmp_path / "a.html.inkledger-new").symlink_to("secret")
    put_whole(tmp_path / "a.html", b"one")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["a.html", "secret"]
    assert (tmp_path / "secret").read_bytes() == b"secret"


def test_on_a_full_disk_it_is_as_it_was_and_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "a.html"
    place.write_bytes(b"older")

    def full(file: int) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match=r"No space left on device: '.*a\.html'$"):
        put_whole(place, b"one")
    assert place.read_bytes() == b"older" and len(list(tmp_path.iterdir())) == 1


def test_a_folder_that_is_not_there_is_named_by_the_file(tmp_path: Path) -> None:
    with pytest.raises(OSError, match=r"none/a\.html'$"):
        put_whole(tmp_path / "none/a.html", b"one")
