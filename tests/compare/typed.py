"""Drafts for tests from text as it is typed; the smallest reader that will do."""

from __future__ import annotations

import re

from ledger.model.script import Draft, Line, Page, Panel, Scene
from ledger.model.words import count_words

_MARK = re.compile(r"\[(?:pages? ([\d-]+)|(page)|panel(?: (\d+))?)\]\Z")
_SAID = re.compile(r"([A-Z][\w &]*?)(?: \((\w+)\))?: (.*)")
_ROLES = {"CAP": "caption", "SFX": "sfx"}


class _Typist:
    def __init__(self, path: str, cast: dict[str, str]) -> None:
        self.path, self.cast = path, cast
        self.scenes: list[dict] = []
        self.pages: list[dict] = []
        self.chapter, self.chapters = "", 0
        self.fresh = True

    def scene(self, number: int, title: str, pin: str | None, *, headed: bool) -> None:
        self.scenes.append(
            {"index": len(self.scenes), "chapter": self.chapter, "title": title, "path": self.path, "line": number,
             "pin": pin, "headed": headed, "number_of_chapter": self.chapters, "lines": [], "omitted": False}
        )  # fmt: skip
        self.fresh = False

    def heading(self, number: int, text: str) -> None:
        level, _, words = text.partition(" ")
        pin = re.search(r" \{#([\w-]+)\}\Z", words)
        title = words[: pin.start()] if pin else words
        if level == "#":
            self.chapter, self.chapters, self.fresh = title, self.chapters + 1, True
        else:
            self.scene(number, title, pin and pin[1], headed=True)

    def mark(self, number: int, found: re.Match[str]) -> None:
        if found[1] or found[2]:
            label = found[1] or str(len(self.pages) + 1)
            self.pages.append({"label": label, "path": self.path, "line": number, "panels": [], "holds": False})
        elif self.pages:
            page = self.pages[-1]
            page["panels"].append(Panel(len(page["panels"]) + 1, self.path, number))
            page["holds"] = True

    def line(self, number: int, role: str, speaker: str, text: str) -> None:
        if self.fresh or not self.scenes:
            self.scene(number, "", None, headed=False)
        page = self.pages[-1] if self.pages else None
        panel = len(page["panels"]) or None if page else None
        if page:
            page["holds"] = True
        self.scenes[-1]["lines"].append(
            Line(self.path, number, number, role, speaker, text, page=page and page["label"], panel=panel,
                 scene=len(self.scenes) - 1)
        )  # fmt: skip


def typed(text: str, cast: dict[str, str] | None = None, path: str = "script/01.md") -> Draft:
    """A draft from one file; `cast` gives names to keys."""
    typist = _Typist(path, cast or {})
    for number, row in enumerate(text.split("\n"), 1):
        words = row.strip()
        mark, said = _MARK.match(words), _SAID.match(words)
        if words.startswith("#"):
            typist.heading(number, words)
        elif words == "[omitted]":
            if typist.scenes and not typist.scenes[-1]["lines"]:
                typist.scenes[-1]["omitted"] = True
            elif typist.pages:
                typist.pages[-1]["omitted"] = True
        elif mark:
            typist.mark(number, mark)
        elif said:
            key = said[1]
            role = _ROLES.get(key, "dialogue")
            name = said[2] if role == "caption" else key
            speaker = " & ".join(typist.cast.get(n, n) for n in (name or "").split(" & ")) if role != "sfx" else ""
            typist.line(number, role, speaker, said[3])
        elif words:
            typist.line(number, "action", "", words)
    scenes = tuple(Scene(**{**s, "lines": tuple(s["lines"])}) for s in typist.scenes)
    pages = tuple(Page(**{**p, "panels": tuple(p["panels"])}) for p in typist.pages)
    lettered = sum(count_words(line.text) for s in scenes for line in s.lines if line.lettered)
    return Draft(scenes, pages, words=lettered, paths=(path,))
