"""Who speaks: what stands before the colon of a line, read against the cast (convention §3)."""

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ledger.read.cast_names import CUES, EVERYBODY, CastNames

if TYPE_CHECKING:
    from ledger.model.book import Person


class Mouth(NamedTuple):
    """Role and speaker of a line, the key and cue as typed; `known` is False where a cast has nobody of that name.

    `loose` is a word in capitals that only its place makes a key.
    """

    role: str
    speaker: str
    key: str
    cue: str = ""
    known: bool = True
    loose: bool = False


# Patterns are compiled when first met.
_NUMBERED = r"\d{1,3}[.)][ \t]+"
_COLON = r"(?s)(\*{1,3}|_{1,3}|)([^:：\t\[\]{}<>]{1,60}?)[ \t]*([*_]{0,3})[ \t]*[:：]([*_]{0,3})(.*)"
_TAB = r"(?s)(\*{1,3}|_{1,3}|)([^\t\[\]{}<>]{1,60}?)\1 *\t(.*)"
_WRAPPED = r"(\*{1,3}|_{1,3})(.+)\1\Z"
_CUED = r"(.+?)\s*\(([^()]*)\)\Z"
_CAPITALS = r"[^\W_][\w'’.#-]*(?: (?:[\w'’#.-]+|&)){0,4}\Z"
_NAME_LIKE = r"([^\W\d_][\w'’.-]*(?: [^\W\d_][\w'’.-]*){0,2})(?: \([^()]*\))?:(?=\s)"
_PARTED = r"(?i)\s*[&+/,]\s*|\s+and\s+|\s+[-–—]\s+"
_NO_KEY = frozenset(("PAGE", "PAGES", "PANEL", "PANELS"))
_CONTINUED = r"(?i)\(?(?:cont['’]?d?\.?|continued|continuing)\)?\Z"
_SHORT_CUES = ("CAP", "CAPTION", "SFX", "FX")
_SOUNDS = ("SFX", "FX", "SIGN", "TITLE", "TEXT")


class Mouths:
    """Reads keys; the same key is asked for again and again, so answers are kept."""

    def __init__(self, cast: "Sequence[Person]") -> None:
        self.cast = CastNames(cast)
        self.met: dict[str, Mouth | None] = {}

    def split(self, text: str) -> tuple[Mouth, str] | None:
        """The mouth and the words of a line `KEY: words` or `KEY<tab>words`, with or without a balloon number."""
        head, _, words = text.partition(":")
        if words[:1] == " " and len(head) <= 60 and head.isalnum() and (mouth := self.mouth(head)):
            return mouth, words.strip()
        numbered = re.match(_NUMBERED, text) if text[:1].isdecimal() else None
        return (self._split(text[numbered.end() :]) if numbered else None) or self._split(text)

    def _split(self, text: str) -> tuple[Mouth, str] | None:
        found = re.match(_COLON, text) if ":" in text or "：" in text else None
        if found:
            wrap, head, before, after, words = found.groups()
            rest = words if wrap and not before else after + words
            mouth = self.mouth(head) if _closed(wrap, before, after) else None
            if mouth and not _no_speech(mouth, rest):
                return mouth, rest.strip()
        tabbed = re.match(_TAB, text) if "\t" in text else None
        mouth = self.mouth(tabbed[2]) if tabbed else None
        return (mouth, tabbed[3].strip()) if tabbed and mouth else None

    def alone(self, text: str) -> Mouth | None:
        """The mouth of a line that is nothing but a name."""
        numbered = re.match(_NUMBERED, text) if text[:1].isdecimal() else None
        bare = text[numbered.end() :] if numbered else text
        wrapped = re.match(_WRAPPED, bare) if bare[:1] in ("*", "_") else None
        return self.mouth(wrapped[2] if wrapped else bare) if len(bare) <= 60 else None

    def mouth(self, head: str) -> Mouth | None:
        """Who a key stands for; None where it is no key."""
        if head not in self.met:
            self.met[head] = self._read(" ".join(head.split()))
        return self.met[head]

    def like_a_name(self, text: str) -> str | None:
        """The name of nobody in the cast that stands like a key before a colon; None where nothing does."""
        found = re.match(_NAME_LIKE, text) if ":" in text[:40] and self.cast else None
        return found[1] if found and all(word[0].isupper() for word in found[1].split()) else None

    def _read(self, key: str) -> Mouth | None:
        if not key or key[0] in "(\"'“#":
            return None
        name = self.cast.exact.get(key)
        if name and key not in CUES and key != EVERYBODY:
            return Mouth("dialogue", name, key)
        base, cue = key, ""
        if key[-1] == ")" and (found := re.match(_CUED, key)):
            base, cue = found[1], "" if re.match(_CONTINUED, found[2].strip()) else found[2].strip()
        sign = _cue_of(base)
        if sign:
            return self._of_a_cue(sign, key, cue)
        speaker = EVERYBODY if base == EVERYBODY else self.cast.find(base)
        if speaker:
            return Mouth("dialogue", speaker, key, cue)
        return self._several(base, key, cue) or self._capitals(base, key, cue)

    def _of_a_cue(self, sign: str, key: str, said: str) -> Mouth:
        """A caption, a sound, a voice: nobody's unless it names somebody."""
        speaker = self._named(sign, said)
        return Mouth(CUES[sign], speaker, key, sign if speaker or not said else f"{sign}, {said}")

    def _named(self, sign: str, said: str) -> str:
        if not said or said.upper() in CUES:
            return ""
        if self.cast:
            return self.cast.find(said) or self._all_known(said) or ""
        single = " " not in said and said[0].isupper() and sign not in _SOUNDS
        return said if single else ""

    def _all_known(self, base: str) -> str:
        names = [self.cast.find(part) for part in re.split(_PARTED, base)]
        return " & ".join(dict.fromkeys(filter(None, names))) if all(names) else ""

    def _several(self, base: str, key: str, cue: str) -> Mouth | None:
        """`W & T`: several at once; in a book without a cast words in capitals will do."""
        parts = [base] if base.isalnum() else re.split(_PARTED, base)
        if len(parts) < 2 or not all(parts):
            return None
        cues = [part for part in parts if _cue_of(part)]
        people = [part for part in parts if part not in cues]
        names = [self.cast.find(part) or (None if self.cast else _in_capitals(part)) for part in people]
        if not people or not all(names):
            return None
        speaker = " & ".join(dict.fromkeys(filter(None, names)))
        if cues and len(people) == 1:
            return Mouth(CUES[_cue_of(cues[0])], speaker, key, ", ".join(filter(None, [*cues, cue])))
        return None if cues else Mouth("dialogue", speaker, key, cue, loose=not self.cast)

    def _capitals(self, base: str, key: str, cue: str) -> Mouth | None:
        name = _in_capitals(base)
        return Mouth("dialogue", name, key, cue, known=not self.cast, loose=True) if name else None


def _cue_of(base: str) -> str:
    """The cue that a key is: `CAP`, `Cap`, `V.O.`, `SFX 2`; "" where it is none."""
    bare = re.sub(r"\s+#?\d+\Z", "", base) if base[-1:].isdecimal() else base
    plain = bare.replace(".", "") if len(bare) <= 5 else bare
    if plain in CUES:
        return plain
    return plain.upper() if plain.upper() in _SHORT_CUES else ""


def _in_capitals(base: str) -> str | None:
    cased = base.upper() == base and base.lower() != base and len(base) <= 40 and base not in _NO_KEY
    return base if cased and (base.isalnum() or re.match(_CAPITALS, base)) else None


def _closed(wrap: str, before: str, after: str) -> bool:
    """Whether the emphasis around a key ends with it: `**W:**`, `**W**:`, or none at all."""
    return (before == wrap) or (not before and after == wrap) if wrap else not before


def _no_speech(mouth: Mouth, rest: str) -> bool:
    """A colon in `12:30` or `HTTP://` ends no key."""
    return rest[:2] == "//" or (mouth.loose and (rest[:1] == "/" or rest[:1].isdigit()))
