"""Sentences in three phrasings: {t} {u} things, {p} a place, {d} a deed, {q} a look, {n} somebody, {k} a number."""

from __future__ import annotations

#: Each row says one thing in three ways; a writer who rewrites a line goes from one to another.
SAID: tuple[tuple[str, str, str], ...] = (
    (
        "Somebody {d} the {t} before we came.",
        "Before we got here the {t} was {d}.",
        "We came too late, {n}, the {t} was {d} already.",
    ),
    (
        "You told me the {t} was in the {p}.",
        "In the {p}, you said. That is where the {t} was meant to be.",
        "And the {t}? I went to the {p} for it, as you told me.",
    ),
    (
        "I have not slept since the {p} burned.",
        "Since the fire in the {p} I lie awake.",
        "How would I sleep? I still smell the {p} burning.",
    ),
    (
        "Give me the {t} and nobody has to know.",
        "Nobody needs to hear of it if the {t} comes to me.",
        "Hand over the {t}. I can keep a secret, {n}.",
    ),
    (
        "My father {d} a {t} like that one.",
        "A {t} like that was {d} by my own father.",
        "It is the {t} my father {d}, or its sister.",
    ),
    (
        "There are {k} of them in the {p}, and not one is ours.",
        "I counted {k} in the {p}. None belongs to us.",
        "{k}, {n}! All strangers, all of them in the {p}.",
    ),
    (
        "If the {t} breaks, we walk home from the {p}.",
        "We go on foot from the {p} once that {t} gives out.",
        "One more knock and the {t} is done, and then it is a long walk from the {p}.",
    ),
    (
        "Why would {n} keep a {q} {t}?",
        "A {q} {t} is nothing {n} would hold on to.",
        "Tell me what {n} wants with a {t}, and a {q} one at that.",
    ),
    (
        "I saw {n} by the {p} with a {t} under one arm.",
        "{n} was at the {p}, carrying a {t}. I saw it myself.",
        "With my own eyes: {n}, the {t}, and the whole {p} asleep.",
    ),
    (
        "Put the {t} back where the {u} was.",
        "That {t} belongs in place of the {u}. Put it there.",
        "Where the {u} stood, there goes the {t}.",
    ),
    (
        "They will ask about the {t}, so say it was {q}.",
        "Tell them it was {q} if anyone asks you about the {t}.",
        "The {t} was {q}. That is our story, {n}.",
    ),
    (
        "We leave from the {p} at {k}, with or without you.",
        "At {k} we are gone from the {p}, and I will not wait.",
        "Be at the {p}. {k} sharp. I wait for nobody.",
    ),
    (
        "I could have {d} the {t} myself, years ago.",
        "Years ago it was in my power, and I never {d} the {t}.",
        "Ten years I had the chance. The {t} would have been {d} by now.",
    ),
    ("No {t} was ever made that {q}.", "Show me another {t} as {q} as that.", "So {q}? I never met such a {t}."),
    (
        "The {p} has a second door, behind the {t}.",
        "Behind that {t} is another way out of the {p}.",
        "Look past the {t}: the {p} has two doors, {n}.",
    ),
    (
        "What was in the {p} belongs to whoever {d} it.",
        "Whoever {d} it owns it, even if it lay in the {p}.",
        "Finders keepers. It came out of the {p}, I {d} it, it is mine.",
    ),
    (
        "Do you still dream about the {t}?",
        "That {t} again, in your sleep?",
        "You talk at night, {n}. Mostly about the {t}.",
    ),
    (
        "The {u} was a lie and so was the {t}.",
        "First a false {t}, then a false {u}.",
        "Nothing was true, neither the {t} nor the {u}.",
    ),
    (
        "Every winter someone takes a {t} from the {p}.",
        "The {p} loses one {t} a year, always in winter.",
        "When the snow comes another {t} goes missing in the {p}.",
    ),
    (
        "I will trade you this {u} for the {q} {t}.",
        "The {q} {t} for my {u}. A fair trade.",
        "Look here, {n}: a {u}. Yours, and I get the {t}, the {q} one.",
    ),
    (
        "Ask {n} how the {t} came to be {d}.",
        "How was the {t} {d}? {n} could tell you.",
        "It is {n} who knows who {d} the {t}.",
    ),
    (
        "Nobody is allowed in the {p} after {k}.",
        "After {k} the {p} is closed, to you as well.",
        "{k} is the hour. Then the {p} is shut and stays shut.",
    ),
    (
        "I kept the {t}. I kept all of it, even the {u}.",
        "All of it is still with me, the {u}, the {t}.",
        "Thrown away? Not the {t}, and certainly not the {u}.",
    ),
    (
        "It smells of {t} and rain in the {p}.",
        "Rain and {t}: that is how the {p} smells.",
        "Do you smell it? All the {p} is {t} and wet coats.",
    ),
    (
        "You look {q}, {n}. Sit by the {t}.",
        "Sit here by the {t}, {n}, you are all {q}.",
        "Come to the {t} and sit. {q}, that is how you look.",
    ),
    (
        "Only a fool would have {d} that in the {p}.",
        "It takes a fool, and a {p}, to have {d} such a thing.",
        "In the {p}, of all places! Which idiot {d} it?",
    ),
    (
        "The key fits the {t}, not the {u}.",
        "It opens the {t}. The {u} has another key.",
        "Wrong lock: you want the {t}, and you are scratching at the {u}.",
    ),
    (
        "My mother was born in the {p}, beside the {t}.",
        "Beside a {t} in the {p}, that is where my mother came into the world.",
        "I come from here. My mother had me near the {t}, in this very {p}.",
    ),
    (
        "Count the {t} again. There were {k} yesterday.",
        "Yesterday we had {k}. Count each {t} once more.",
        "{k}, I wrote it down. So where is the last {t}?",
    ),
    (
        "I never liked how {n} {d} the {t}.",
        "The way the {t} was {d}: I blamed {n} for that.",
        "{n} {d} the {t}, and I held my tongue, and I was wrong.",
    ),
    (
        "Take the stairs by the {p}, they creak less.",
        "By the {p} the stairs are quieter. Go that way.",
        "Not here. There is a staircase near the {p} that makes no sound.",
    ),
    (
        "A {t} does not walk out of the {p} alone.",
        "Somebody carried it: no {t} leaves the {p} on legs.",
        "So the {t} grew feet and strolled from the {p}, did it?",
    ),
    (
        "They paid {k} for the {u} and nothing for us.",
        "For a {u}, {k}. For you and me not a penny.",
        "We went free of charge, {n}. The {u} cost them {k}.",
    ),
    (
        "Let me see your hands. You {d} it, I can tell.",
        "It was you who {d} it. Your hands say so.",
        "Hands on the table. Which of you {d} it?",
    ),
    (
        "When the {t} stops, run for the {p}.",
        "Run to the {p} the moment you stop hearing the {t}.",
        "Silence means go. No {t}, no waiting: straight to the {p}.",
    ),
    (
        "I wrote to you about the {q} {t}. You never answered.",
        "Not one answer, after all I wrote of the {t} being {q}.",
        "Three letters, {n}. Three, about a {t} that was {q}.",
    ),
)
DONE: tuple[tuple[str, str, str], ...] = (
    (
        "{n} lifts the {t} out of the {p} dust.",
        "Out of the dust of the {p}: the {t}, in {n}'s hand.",
        "Close on the {t} as {n} blows the dust away.",
    ),
    (
        "The {p}, empty. A {q} {t} swings on a nail.",
        "Nobody in the {p}. From a nail hangs the {t}, {q}.",
        "On a nail in the deserted {p} sways a {q} {t}.",
    ),
    (
        "Wide on the {p} at dusk, {k} figures below.",
        "Dusk. {k} small figures cross before the {p}.",
        "From above: the {p} in the last light, {k} people like ants.",
    ),
    (
        "{n} turns away and pockets the {t}.",
        "The {t} vanishes in {n}'s pocket.",
        "While nobody looks, {n} slips the {t} into a coat.",
    ),
    (
        "Rain on the {t}. The {u} is already soaked.",
        "The {u} dripping, and now rain reaches the {t} too.",
        "Drops run from the {u} to the {t}.",
    ),
    (
        "A hand reaches past the {u} for the {t}.",
        "Fingers, close, between {u} and {t}.",
        "Past the {u} comes an arm, groping for the {t}.",
    ),
    (
        "{n} stands in the door of the {p}, lit from behind.",
        "Backlit, the door of the {p}: {n}.",
        "A silhouette we know as {n} fills the doorway of the {p}.",
    ),
    (
        "The {t} falls. Nobody in the {p} moves.",
        "Everyone in the {p} stares at the {t} on the floor.",
        "Frozen faces in the {p} as the {t} hits the ground.",
    ),
    (
        "They run, {n} first, the {t} held high.",
        "{n} in the lead and the {t} above all heads: they run.",
        "Running feet, running shadows, the {t} carried by {n} like a flag.",
    ),
    (
        "Steam hides the {p}. Only the {u} shows.",
        "Through steam the {u}; of the {p} nothing is seen.",
        "All white, the {p} lost in steam except for one {u}.",
    ),
    (
        "{n} and the {t}, reflected in a puddle by the {p}.",
        "A puddle near the {p} holds {n} upside down, {t} and all.",
        "In the water at the {p} we see the {t}, then {n}'s face.",
    ),
    (
        "Insert: the {t}, marked with the number {k}.",
        "The number {k}, scratched in the {t}, fills the panel.",
        "We read {k} on the side of the {t}.",
    ),
    ("The lid of the {t} opens a crack.", "A crack of dark: the {t} is opening.", "Slowly, the {t} gapes."),
    (
        "{n} laughs until the {u} shakes.",
        "The {u} trembles with {n}'s laughter.",
        "Laughing, {n} has to hold on to the {u}.",
    ),
    (
        "Night over the {p}. One {q} window.",
        "One window, {q}, in the dark mass of the {p}.",
        "The {p} sleeps but for a single pane, {q}.",
    ),
    (
        "{n} kneels and sets the {t} beside the {u}.",
        "The {t} is laid next to the {u} by a kneeling {n}.",
        "On both knees now, {n} arranges {t} and {u} side by side.",
    ),
    (
        "Crowd in the {p}, every head turned to the {t}.",
        "All eyes in the full {p} are on the {t}.",
        "Heads, hats, shoulders: the {p} is packed and gapes at the {t}.",
    ),
    (
        "Tight on {n}'s eyes. The {t} burns in them.",
        "The {t} aflame, mirrored in the eyes of {n}.",
        "Two small fires: so {n} sees the {t}.",
    ),
    (
        "Paper drifts through the {p} like snow.",
        "Snow of torn paper all over the {p}.",
        "Scraps float down past the roof of the {p}.",
    ),
    (
        "{n} drags the {t} up the steps of the {p}.",
        "Step by step the {t} goes up to the {p}, {n} hauling.",
        "The steps of the {p}. Bent double, {n}. Behind, bumping, the {t}.",
    ),
)
TOLD: tuple[tuple[str, str, str], ...] = (
    (
        "Three days before the {t} was {d}.",
        "The {t} would be {d} in three days.",
        "In three days no {t} would be left that was not {d}.",
    ),
    (
        "Nobody went to the {p} that year.",
        "That year the {p} stayed empty.",
        "For a whole year not a soul set foot in the {p}.",
    ),
    (
        "I remember the {t} better than the faces.",
        "Faces I forgot. The {t} I remember.",
        "Ask me of the {t}, do not ask me for faces.",
    ),
    ("{k} o'clock, the {p}.", "The {p}, about {k}.", "{k} had struck at the {p}."),
    (
        "What {n} did with the {u} we learned later.",
        "Later we heard about {n} and the {u}.",
        "It was long after that they told us of the {u}, and of {n}.",
    ),
    (
        "The {q} {t} was only the beginning.",
        "It began with a {t}, a {q} one.",
        "First came the {t}. It was {q}, and it was not the last.",
    ),
    ("We sold the {t} to buy a {u}.", "A {u} was what we got for the {t}.", "Out went the {t}, and in came a {u}."),
    (
        "The road to the {p} was closed until Easter.",
        "Until Easter no road led to the {p}.",
        "Easter came before we saw the {p} again.",
    ),
    (
        "Somewhere a {q} {t} was ringing.",
        "There was a ringing, as of a {q} {t}.",
        "I heard it ring, {q}, unmistakably a {t}.",
    ),
    (
        "She said {n}, and meant the {u}.",
        "It was {n} she named, but the {u} she thought of.",
        "The {u} in her mind, and {n} on her lips.",
    ),
    (
        "Two winters later the {p} had a new roof.",
        "They roofed the {p} anew after two winters.",
        "A new roof for the {p}, and it took two winters.",
    ),
    (
        "My first {t} was {d} within an hour.",
        "Within an hour they had {d} my first {t}.",
        "One hour I had it, my first {t}, then it was {d}.",
    ),
    (
        "History does not mention the {t}.",
        "You will find no {t} in the histories.",
        "About the {t} the chronicles say nothing.",
    ),
    (
        "The {u} outlived all of us except {n}.",
        "Only {n} lived longer than the {u}.",
        "All dead but {n}, and the {u} still there.",
    ),
    (
        "Every town has a {p}, ours had a {q} one.",
        "Ours was {q}, the {p}, as every town has one.",
        "Like any town we had a {p}. It was {q}.",
    ),
    (
        "I wrote it all down on the back of a {t}.",
        "The back of a {t} was all I had to write on.",
        "What I know I noted behind a {t}.",
    ),
)


FRAMES = {"dialogue": SAID, "action": DONE, "caption": TOLD}

#: Put before a sentence, or after it, when a line is polished.
BEFORE = {
    "dialogue": ("Well,", "Look,", "So", "Honestly,", "And", "But", "Believe me,", "Oh,"),
    "action": ("Now", "Later,", "Beat.", "Same angle:", "Closer:", "Silence, then"),
    "caption": ("And", "Much later,", "Still,", "As it happened,"),
}
AFTER = {
    "dialogue": ("I swear", "you know", "believe it or not", "for all I care", "my dear", "once and for all"),
    "action": ("without a word", "in the half light", "seen from below", "very slowly", "out of focus"),
    "caption": ("or so we said", "as far as I know", "in those days"),
}
NUMBERS = ("three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "fourteen", "twenty")
