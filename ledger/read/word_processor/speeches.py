"""Names that stand in a paragraph of their own, with their words in the next: which paragraphs make one speech."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from ledger.read.marks import leading_marks, trade_heading
from ledger.read.mouths import Mouths
from ledger.read.word_processor.document import Paragraph

#: Parts of the names of styles under which templates set a speaker's name (common practice, no source).
_NAME_STYLES = ("character", "speaker")
#: A word in capitals alone on its line is a name, not a sound, if it stands so this often (own choice).
OFTEN = 3


class Speeches:
    """Knows which paragraphs of a document are names and which their words."""

    def __init__(self, paragraphs: Sequence[Paragraph], levels: Mapping[int, int], mouths: Mouths) -> None:
        self.paragraphs, self.levels, self.mouths = paragraphs, levels, mouths
        self.often: Counter[str] = Counter(
            each.text.strip() for each in paragraphs if len(each.text) <= 60 and self._name(each)
        )

    def groups(self) -> Iterator[list[Paragraph]]:
        """Every paragraph once, in order: those of one speech together, else each by itself."""
        at = 0
        while at < len(self.paragraphs):
            end = self._end_of_speech(at)
            yield list(self.paragraphs[at:end])
            at = end

    def _end_of_speech(self, at: int) -> int:
        name = self.paragraphs[at]
        first = at + 1
        if first >= len(self.paragraphs) or not self._name(name):
            return at + 1
        if _aside(self.paragraphs[first].text) and first + 1 < len(self.paragraphs):
            first += 1
        words = self.paragraphs[first]
        if not self._words(words) or not self._spoken(name, words):
            return at + 1
        end = first + 1
        while end < len(self.paragraphs) and self._goes_on(words, self.paragraphs[end]):
            end += 1
        return end

    def _name(self, each: Paragraph) -> bool:
        text = each.text.strip()
        if not text or "\n" in text or each.number in self.levels or len(text) > 60:
            return False
        if leading_marks(text)[0] or trade_heading(text):
            return False
        spoken = self.mouths.split(text)
        return not spoken[1] if spoken else self.mouths.alone(text) is not None

    def _words(self, each: Paragraph) -> bool:
        """Whether a paragraph can be what is said below a name."""
        text = each.text.strip()
        if not text or each.number in self.levels or leading_marks(text)[0] or trade_heading(text):
            return False
        return self.mouths.split(text) is None and not (self._name(each) and self._sure(each))

    def _sure(self, each: Paragraph) -> bool:
        """Whether a name is one for certain: of the cast, by its style, or because it comes again and again."""
        text = each.text.strip()
        mouth = self.mouths.alone(text)
        by_style = any(part in each.style for part in _NAME_STYLES)
        return by_style or self.often[text] >= OFTEN or (mouth is None or not mouth.loose)

    def _spoken(self, name: Paragraph, words: Paragraph) -> bool:
        """Whether what stands below a name is its speech."""
        if name.row:
            return name.row == words.row and words.cell == name.cell + 1
        return not words.row and (self._sure(name) or (name.set_off and words.set_off))

    def _goes_on(self, words: Paragraph, each: Paragraph) -> bool:
        """Whether a speech has one more paragraph: in its cell, or set off in the same way."""
        if words.row:
            return (each.row, each.cell) == (words.row, words.cell) and self._words(each)
        return words.set_off and each.set_off and each.style == words.style and not each.row and self._words(each)


def _aside(text: str) -> bool:
    """`(whispering)` between a name and its words."""
    bare = text.strip()
    return bare[:1] == "(" and bare[-1:] == ")" and len(bare) <= 60 and "{" not in bare and "}" not in bare


def aside_cue(text: str) -> str | None:
    """An aside as the convention writes a cue, None where it is none."""
    return "{" + text.strip()[1:-1].strip() + "}" if _aside(text) and len(text.strip()) > 2 else None
