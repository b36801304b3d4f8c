"""Scenes, lines and pages of a comparison as rows of JSON, letter by letter what their documents become."""

from __future__ import annotations

from collections.abc import Iterable
from json.encoder import encode_basestring_ascii as quoted

from ledger.model.change import LineChange, PageChange, PanelChange
from ledger.model.script import Line, Scene
from ledger.render.json_text import Rows


def scene_rows(scenes: Iterable[Scene]) -> Rows:
    """Where scenes stand."""
    return Rows(
        [
            f'{{"index": {scene.index}, "chapter": {quoted(scene.chapter)}, "title": {quoted(scene.title)}, '
            f'"path": {quoted(scene.path)}, "line": {scene.line}}}'
            for scene in scenes
        ]
    )


def line_rows(lines: Iterable[LineChange]) -> Rows:
    """What became of lines."""
    return Rows([f'{{"kind": {quoted(kind)}, "old": {_line(old)}, "new": {_line(new)}}}' for kind, old, new in lines])


def _line(line: Line | None) -> str:
    if line is None:
        return "null"
    path, number, _, role, speaker, text, _, _, page, panel, _ = line
    return (
        f'{{"path": {quoted(path)}, "line": {number}, "role": {quoted(role)}, "speaker": {quoted(speaker)}, '
        f'"text": {quoted(text)}, "page": {_label(page)}, "panel": {_number(panel)}}}'
    )


def page_rows(pages: Iterable[PageChange]) -> Rows:
    """What became of pages and of the panels on them."""
    return Rows(
        [
            f'{{"kind": {quoted(kind)}, "old": {_label(old)}, "new": {_label(new)}, '
            f'"panels": [{", ".join(map(_panel, panels))}]}}'
            for kind, old, new, panels in pages
        ]
    )


def _panel(panel: PanelChange) -> str:
    return f'{{"kind": {quoted(panel.kind)}, "old": {_number(panel.old)}, "new": {_number(panel.new)}}}'


def _label(label: str | None) -> str:
    return "null" if label is None else quoted(label)


def _number(number: int | None) -> str:
    return "null" if number is None else str(number)
