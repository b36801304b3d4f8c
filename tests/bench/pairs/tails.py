"""What people add to a sentence: {x} and {y} things, {o} a place, {r} a look, {m} somebody, {e} a deed."""

from __future__ import annotations

SAID = (
    "and the {x} knows it", "before the {x} cools", "as if a {x} had a say in it",
    "which is more than the {o} deserves", "or so {m} tells it over breakfast",
    "while you were busy with that {x}", "and I will swear so in the {o}",
    "though {m} prefers the {r} version", "because a {x} never lies", "unless somebody {e} it again",
    "since the {x} was {e}", "and not for the first time this spring", "like every {r} thing around here",
    "whatever they write about the {o}", "so do not stand there like a {x}", "even if {m} begs",
    "and my knees remember the {o}", "until a {r} {x} turned up", "the way {m} wanted",
    "with a {x} in each hand", "and then came the bill for the {x}", "just as the {o} went dark",
    "and nobody {e} anything after that", "in spite of the {r} {x}", "between the {o} and the devil",
    "for the price of a {x}", "and you can tell {m} where it hurts", "without so much as a {r} look",
    "long after the {x} was sold", "and the cat has seen it too", "if we are honest about the {o}",
    "as sure as {m} snores", "and may the {x} rot", "on a Sunday of all days", "before {m} was even born",
    "with the {o} full of visitors", "and it was never {e} since", "when what we need is a {r} {x}",
    "by way of the {o}", "and a {x} on top of it", "no matter how {r} it looks",
    "the same week the {o} flooded", "and {m} paid for it twice", "not counting the {x}",
)  # fmt: skip
DONE = (
    "the {x} out of focus in front", "a {r} light over everything", "while {m} watches from the {o}",
    "and beyond it the {o}", "seen through the spokes of a {x}", "as the {x} tips over",
    "{m} half cut off by the border", "with a {r} shadow behind", "the {x} still swinging",
    "from low down, past a {x}", "smoke from the {o} in the corner", "one boot on the {x}",
    "in four thin slices", "the background left white", "and {m} has not noticed yet",
    "bigger than the {x} ever was", "mirrored in a {r} {x}", "no borders",
    "the way the {o} looked on the first page", "a {x} where the moon should be",
    "with {m} small on the right", "close enough to smell the {x}", "against the windows of the {o}",
    "between two {r} posts", "hatched so dark that only the {x} is white", "and the {o} leans in",
    "a sleeve, a {x}, nothing more", "{m} yawning",
)  # fmt: skip
TOLD = (
    "if {m} is to be believed", "and the {o} forgot us", "a {r} time for everyone", "or was it the {x}",
    "long before the {x}", "as they say in the {o}", "and I was {r} then", "with {m} still alive",
    "one {x} poorer", "and nobody {e} a thing",
)  # fmt: skip
TAILS = {"dialogue": SAID, "action": DONE, "caption": TOLD}
