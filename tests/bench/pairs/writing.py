"""Writes stories: sentences, rows, scenes and a first draft, all from one seed."""

from __future__ import annotations

import random
import re
from dataclasses import dataclass, replace

from tests.bench.pairs.banks import BANKS, EVERYDAY, GAGS, SHORT
from tests.bench.pairs.frames import AFTER, BEFORE, FRAMES, NUMBERS
from tests.bench.pairs.story import Chapter, Panel, Row, Scene, Sentence, Story, Topic
from tests.bench.pairs.tails import TAILS
from tests.bench.pairs.wordings import ALIKE

_WORD = re.compile(r"(?<![\w{])[a-z]{4,}(?![\w}'])")
_ARTICLE = re.compile(r"\b([Aa])(?= [aeiou])")
_BEGINS = re.compile(r"(?:^|(?<=[.!?] ))[a-z]")
#: How often a sentence goes on after what it had to say.
GOES_ON = 0.7


@dataclass
class Writer:
    """Somebody who writes about a topic; `chance` is the only source of chance."""

    story: Story
    chance: random.Random
    topic: Topic

    def slots(self) -> dict[str, str]:
        """Words for a frame."""
        bank, pick = self.topic, self.chance.choice
        one, other, third = self.chance.sample(bank.things, 3)
        people = [f"@{self.chance.randrange(len(self.story.names))}@" for _ in range(2)]
        return {"t": one, "u": other, "p": pick(bank.places), "d": pick(bank.deeds), "q": pick(bank.looks),
                "n": people[0], "k": pick(NUMBERS), "x": third, "o": pick(bank.places), "r": pick(bank.looks),
                "m": people[1], "e": pick(bank.deeds)}  # fmt: skip

    def sentence(self, role: str) -> Sentence:
        """A new sentence."""
        frame, form = self.chance.randrange(len(FRAMES[role])), self.chance.randrange(3)
        return _said(role, frame, form, self.tail(role), self.slots(), self.chance)

    def tail(self, role: str) -> int:
        """How a sentence goes on, -1 where it ends."""
        return self.chance.randrange(len(TAILS[role])) if self.chance.random() < GOES_ON else -1

    def row(self, role: str, who: int) -> Row:
        """A new line: mostly one or two sentences, sometimes a word or two that anybody says."""
        story, chance = self.story, self.chance
        if role == "sfx":
            return Row(story.fresh(), role, -1, [Sentence(chance.choice(story.bank.sounds))])
        if role == "dialogue" and chance.random() < 0.12:
            return Row(story.fresh(), role, who, [Sentence(chance.choice(SHORT))])
        count = 1 + (chance.random() < (0.35 if role == "dialogue" else 0.2))
        return Row(story.fresh(), role, who, [self.sentence(role) for _ in range(count)])

    def rows(self, count: int, speakers: list[int]) -> list[Row]:
        """New lines among the same people, none twice."""
        rows: list[Row] = []
        while len(rows) < count:
            role = self.chance.choices(["dialogue", "action", "caption", "sfx"], [62, 27, 8, 3])[0]
            row = self.row(role, self.chance.choice(speakers) if role == "dialogue" else -1)
            if all((row.role, row.who, row.text) != (r.role, r.who, r.text) for r in rows):
                rows.append(row)
        return rows

    def panels(self, rows: list[Row], page: int | None = None) -> list[Panel]:
        """Rows laid out in panels of one to three, pages of three to six panels; begins on `page` if there is one."""
        panels: list[Panel] = []
        number, room = (page, 2) if page is not None else (self.story.fresh(), self.chance.randint(3, 6))
        while rows:
            if not room:
                number, room = self.story.fresh(), self.chance.randint(3, 6)
            count = self.chance.randint(1, 3)
            panels.append(Panel(number, rows[:count]))
            rows, room = rows[count:], room - 1
        return panels

    def title(self) -> str:
        """A heading."""
        bank, chance = self.topic, self.chance
        place = chance.choice(bank.places).capitalize()
        shape = chance.randrange(4)
        if shape == 0:
            return f"{place}, {chance.choice(('dawn', 'noon', 'night', 'rain', 'next day', 'same evening'))}"
        if shape == 1:
            return f"The {chance.choice(bank.looks)} {chance.choice(bank.things)}"
        return f"{place} and {chance.choice(bank.things)}" if shape == 2 else place

    def scene(self, page: int | None = None) -> Scene:
        """A new scene of five to twenty-two lines."""
        speakers = self.chance.sample(range(len(self.story.names)), self.chance.randint(2, 4))
        rows = self.rows(self.chance.randint(5, 22), speakers)
        for who, gag in self.story.gags:
            if self.chance.random() < 0.12:
                rows.insert(
                    self.chance.randint(1, len(rows)), Row(self.story.fresh(), "dialogue", who, [Sentence(gag)])
                )
        return Scene(self.story.fresh(), self.title(), frozenset(), self.panels(rows, page), self.topic)

    def twin(self, scene: Scene) -> Scene:
        """A scene much like another: the same people in the same mood, some of it word for word."""
        rows = []
        for row in scene.rows:
            dice = self.chance.random()
            twin = Row(
                self.story.fresh(),
                row.role,
                row.who,
                [replace(s, slots=dict(s.slots)) for s in row.sentences],
            )
            if dice < 0.25:
                twin = self.row(row.role, row.who)
            elif dice < 0.75:
                self.rephrase(twin, 0.5)
            rows.append(twin)
        return Scene(
            self.story.fresh(),
            scene.title if self.chance.random() < 0.4 else self.title(),
            frozenset(),
            self.panels(rows),
            scene.topic,
        )

    def polish(self, row: Row) -> None:
        """A word changed, put before or put after; a sign changed."""
        sentence = self.chance.choice(row.sentences)
        ways = [self._other_word, self._before, self._after, self._sign]
        if row.role != "sfx":
            self.chance.choice(ways[: 4 if row.role == "dialogue" else 3])(sentence, row.role)

    def _other_word(self, sentence: Sentence, role: str) -> None:
        bank = self.topic
        for kind, words in (
            ("t", bank.things),
            ("q", bank.looks),
            ("p", bank.places),
            ("u", bank.things),
            ("d", bank.deeds),
        ):
            old = sentence.slots.get(kind, "")
            if old and old in sentence.text:
                sentence.slots[kind] = self.chance.choice(words)
                sentence.text = sentence.text.replace(old, sentence.slots[kind])
                return
        self._before(sentence, role)

    def _before(self, sentence: Sentence, role: str) -> None:
        first = sentence.text[:1] if sentence.text[:2] in ("I ", "I'") else sentence.text[:1].lower()
        sentence.text = f"{self.chance.choice(BEFORE[role])} {first}{sentence.text[1:]}"

    def _after(self, sentence: Sentence, role: str) -> None:
        sentence.text = f"{sentence.text[:-1]}, {self.chance.choice(AFTER[role])}{sentence.text[-1]}"

    def _sign(self, sentence: Sentence, role: str) -> None:
        sentence.text = sentence.text[:-1] + ("!" if sentence.text[-1] != "!" else "...")

    def rephrase(self, row: Row, loose: float) -> None:
        """Says a line in another way; every word of the matter changes with the likelihood `loose`."""
        for at, sentence in enumerate(row.sentences):
            if sentence.frame < 0:
                continue
            fresh = self.slots()
            slots = {
                kind: fresh[kind] if kind in fresh and self.chance.random() < loose else word
                for kind, word in sentence.slots.items()
            }
            form = (sentence.form + self.chance.randint(1, 2)) % 3
            tail = sentence.tail if self.chance.random() < 0.7 else self.tail(row.role)
            row.sentences[at] = _said(row.role, sentence.frame, form, tail, slots, self.chance)


def _said(role: str, frame: int, form: int, tail: int, slots: dict[str, str], chance: random.Random) -> Sentence:
    """A sentence; how its common words are worded is kept among the slots, so that it is worded alike again."""

    def other(found: re.Match[str]) -> str:
        words = ALIKE.get(found[0])
        return slots.setdefault(f"~{words[0]}", chance.choice(words)) if words else found[0]

    text = _WORD.sub(other, FRAMES[role][frame][form]).format(**slots)
    if tail >= 0:
        text = f"{text[:-1]}, {TAILS[role][tail].format(**slots)}{text[-1]}"
    text = _ARTICLE.sub(lambda found: f"{found[1]}n", text)
    return Sentence(_BEGINS.sub(lambda found: found[0].upper(), text), frame, form, tail, slots)


def new_topic(story: Story, chance: random.Random) -> Topic:
    """A dozen things and what belongs to them, from the story's bank and from anywhere."""
    bank = story.bank
    return Topic(
        tuple(chance.sample(bank.things, 5) + chance.sample(EVERYDAY.things, 7)),
        tuple(chance.sample(bank.places, 2) + chance.sample(EVERYDAY.places, 3)),
        tuple(chance.sample(bank.deeds, 4) + chance.sample(EVERYDAY.deeds, 5)),
        tuple(chance.sample(bank.looks, 3) + chance.sample(EVERYDAY.looks, 5)),
    )


def first_draft(seed: int, size: int) -> tuple[Story, random.Random]:
    """A story of so many scenes, and the chance that goes on from there."""
    chance = random.Random(seed * 7919 + size)
    bank = BANKS[seed % len(BANKS)]
    people = chance.sample(bank.people, 6 + min(5, size // 10))
    gags = [(chance.randrange(len(people)), gag) for gag in chance.sample(GAGS, 4)]
    story = Story(bank, [], people, gags, paged=chance.random() < 0.85, titled=chance.random() < 0.9)
    scenes: list[Scene] = []
    while len(scenes) < size:
        shared = scenes[-1].panels[-1].page if scenes and chance.random() < 0.25 else None
        twin = len(scenes) > 3 and chance.random() < 0.04
        like = chance.choice(scenes) if twin else None
        writer = Writer(story, chance, like.topic if like else new_topic(story, chance))
        scenes.append(writer.twin(like) if like else writer.scene(shared))
        story.twins |= {like.id, scenes[-1].id} if like else set()
    for scene in scenes:
        scene.sources = frozenset([scene.id])
    at = 0
    while at < size:
        count = chance.randint(4, 12)
        title = f"Chapter {len(story.chapters) + 1}: {Writer(story, chance, scenes[at].topic).title()}"
        story.chapters.append(Chapter(title, scenes[at : at + count], bare=chance.random() < 0.1))
        at += count
    return story, chance
