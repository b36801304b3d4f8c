"""Word banks of invented stories: people, places, things; no two banks share a name."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Bank:
    """What one story is made of. `deeds` are past forms that take an object."""

    people: tuple[str, ...]
    places: tuple[str, ...]
    things: tuple[str, ...]
    deeds: tuple[str, ...]
    looks: tuple[str, ...]
    sounds: tuple[str, ...]


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.split())


def _phrases(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(","))


FOUNDRY = Bank(
    _words("Mirka Oskel Dunja Pavro Ilse Tobren Harl Vesna Quill Rusko Anselm Jorun Katla Bero Sanne Wick"),
    _phrases(
        "furnace hall, mould loft, cooling yard, gatehouse, pattern shop, slag bank, canteen, foreman's box, "
        "crucible room, sand shed, crane bridge, wash house, pay window, bell pit, coal siding, boiler "
        "cellar, archive stair, tram stop, chapel of the founders, night office, weighing floor, tool crib, "
        "back gate, roof"
    ),
    _words(
        "ladle bell mould tongs crucible whistle ledger apron crane chain hammer furnace cinder gauge valve "
        "anvil pattern clapper wage casting sprue bucket glove shovel rivet lantern bellows ingot flask "
        "rammer wedge trolley hoist spoon slag punch file vice gate bolt goggles seam core clay wax plumbline"
    ),
    _words(
        "poured cracked cast hid weighed filed hauled quenched stamped buried melted borrowed signed dropped "
        "heated tapped polished counted sealed broke carried forged split swept numbered"
    ),
    _words("red grey cracked hot dented crooked silent heavy scorched cheap bronze brittle blackened unlucky"),
    _words("CLANGG HSSSS DOOOM KRANK TUNK FWOOSH RATTLE TING"),
)
RAILWAY = Bank(
    _words("Fenna Aldous Marisol Grigor Tamsin Eberhard Lio Philippa Nuno Zita Corwin Odile Basti Yelena Hob Renske"),
    _phrases(
        "signal box, dining car, snow shed, tunnel mouth, mail van, pass station, engine cab, second-class "
        "corridor, water tower, viaduct, turntable, goods yard, left luggage, waiting room, telegraph hut, "
        "guard's van, summit halt, avalanche gallery, footbridge, sleeping car, customs bench, roundhouse, "
        "coal stage, platform six"
    ),
    _words(
        "ticket lever whistle timetable parcel lantern trunk piston coupling flag telegram buffer snowplough "
        "compass teapot sleeper shutter blanket semaphore brake pass stamp luggage rail cutlery uniform stove "
        "passport mailbag axle headlamp funnel carriage window cushion crate points clock kettle gradient "
        "ballast fuse horn veil"
    ),
    _words(
        "punched missed derailed delayed coupled stoked signalled stole posted uncoupled forged braked wound "
        "opened searched shunted lit unloaded mislaid boarded waved thawed copied hoarded greased"
    ),
    _words(
        "frozen late narrow steep first-class sooty rattling foreign velvet locked drifting borrowed iron sleepless"
    ),
    _words("CHUFFF SKREEE TOOOT KACHUNK WHUMP DINGDING SHHHK BRRRAM"),
)
ORCHARD = Bank(
    _words("Prue Gilder Ottoline Amos Hesper Lubin Dorcas Ferran Wilmot Tansy Ezra Mabyn Crispin Isaura Pell Judoc"),
    _phrases(
        "cider barn, upper orchard, parish court, bee garden, press room, judge's kitchen, grafting shed, "
        "mill pond, market cross, hayloft, boundary wall, ladder store, assize hall, apple loft, schoolhouse, "
        "lane behind the inn, jury bench, walled garden, still room, cart track, threshing floor, vestry, "
        "ford, gallows oak"
    ),
    _words(
        "apple basket deed ladder hive warrant graft cider jug witness spade gavel sapling wasp bonnet fence "
        "petition scythe honey verdict boundary orchard barrel pruner wig candle seal bough blossom summons "
        "rope goat press stump worm inkwell hatchet oath tithe beehive cart pocketknife veil rind pip"
    ),
    _words(
        "picked swore grafted stole pruned bottled summoned planted burned inherited fenced pressed witnessed "
        "denied shook peeled traded sentenced watered poisoned measured promised dug pardoned spilled"
    ),
    _words("ripe sour crooked sworn rotten early sweet grafted mossy guilty wormy golden barren neighbourly"),
    _words("THWACK BUZZZ CREEEAK PLOP SNIP KNOCKKNOCK GLUG CAWW"),
)
OBSERVATORY = Bank(
    _words("Soraya Hjalmar Ione Casimir Thandi Ulric Neve Ruben Calla Dmitro Etta Farouk Lenka Orrin Siv Waldo"),
    _phrases(
        "dome, darkroom, instrument stair, night kitchen, plate library, meridian gap, generator hut, cable "
        "car, director's study, north ridge, spectrograph cellar, radio room, ice road, roof walk, guest "
        "bunk, clock vault, computing office, store tunnel, weather mast, old refractor, sickroom, mule "
        "stable, east parapet, map table"
    ),
    _words(
        "mirror plate comet logbook lens eyepiece chronometer telegram filter star shutter battery equation "
        "shawl tripod cable antenna thermos catalogue eclipse sextant plumb fuse glacier orbit parallax "
        "notebook pendulum prism meteor chart barometer ladder stove dial negative spectrum mitten pulley "
        "sledge slide moon aerial flare"
    ),
    _words(
        "exposed plotted discovered miscounted polished named developed photographed eclipsed fogged erased "
        "aligned doubted published predicted calibrated shattered tracked catalogued dimmed observed drew "
        "froze corrected radioed"
    ),
    _words(
        "faint distant fogged luminous frozen double variable nameless blurred southern steady doubtful silvered blind"
    ),
    _words("WHIRRR CLICK CRACKLE KRAKK TICKTOCK BWOMM SSST PINGG"),
)
THEATRE = Bank(
    _words(
        "Perpetua Lucan Bettine Mordo Clovis Ginevra Thibault Roswitha Ambrose Zelda Nando Ursule Jasper Fia "
        "Kolman Edda"
    ),
    _phrases(
        "trap room, prompt corner, fly loft, wardrobe, box office, green room, stage door, paint frame, royal "
        "box, orchestra pit, scene dock, upper gallery, dressing room nine, cloakroom, understage, coffee "
        "stall, lamp room, rehearsal hall, property store, thunder run, foyer, fire stair, puppet workshop, "
        "manager's bath"
    ),
    _words(
        "mask curtain script wig trapdoor greasepaint limelight dagger costume poster rope ghost corset "
        "trumpet cue chandelier crown puppet mirror sandbag cloak ticket violin fan skull bouquet backdrop "
        "thunder-sheet telegram slipper throne candelabra moustache lantern score wing ruff powder review "
        "contract parasol plank spangle needle"
    ),
    _words(
        "rehearsed forgot stitched upstaged stole whispered painted dropped prompted booed swapped hissed "
        "wore pawned cancelled applauded hoisted unmasked ruined memorised lit mended played insulted bribed"
    ),
    _words(
        "velvet tragic moth-eaten gilded hoarse powdered false sequinned late drunken faded royal papier- mache haunted"
    ),
    _words("BRAVOO THUD SWISHH KRASHH PLINK RUMMBLE CLAPCLAP POFF"),
)
#: What turns up in any story.
EVERYDAY = Bank(
    (),
    _phrases(
        "attic, bridge, bakery, churchyard, harbour steps, hospital ward, attorney's parlour, ferry landing, "
        "brewery, tailor's, bath house, quarry, lighthouse, post office, courtyard, greenhouse, tannery, "
        "dovecote, pawnshop, crossroads, ballroom, barracks, library, orphanage, dentist's, wine cellar, "
        "stable, swimming hole, prison yard, mill race, weir, tollhouse, bandstand, observatory gate, "
        "sawmill, printing house, allotment, ice house, morgue, billiard room, coach house, fish market, lock "
        "keeper's, sanatorium, toy shop, embankment, gravel pit, bowling alley, cable station, reading room, "
        "laundry, gasworks, butcher's, hat shop, causeway, quay"
    ),
    _words(
        "umbrella mandolin sausage canary almanac parsnip saddle thimble marmalade accordion typewriter "
        "cactus briefcase walnut pillow herring rosary abacus turnip scarf pistol oyster haystack tobacco "
        "dictionary ferret onion parachute mustard hairpin sundial kite pancake toothbrush harpoon ribbon "
        "cabbage gramophone shovelhat acorn trombone pitchfork doorbell mattress raisin stethoscope "
        "wheelbarrow lemon anchor doll pepper chisel radish cannon nightgown peacock garlic hammock "
        "photograph crowbar pigeon vinegar suitcase button tortoise plaster medal chimney beetroot fiddle "
        "rudder biscuit wardrobe pliers stamp coffin blackboard cello feather inkblot custard drum lobster "
        "mousetrap nutmeg pamphlet quilt razor spoonbill tambourine urn vase whisk yardstick zither birdcage "
        "corkscrew dumpling earring flagpole goblet hourglass icicle jigsaw keyhole lampshade monocle napkin "
        "overcoat padlock quiver rattle sponge telescope underpants violet wallet bathtub cauldron dustpan "
        "easel footstool"
    ),
    _words(
        "kicked tasted wrapped repaired kissed drowned sharpened rented refused invented folded adopted "
        "bandaged smuggled auctioned trimmed decorated inspected knitted pickled recited scratched thanked "
        "unwrapped varnished weighted xeroxed yanked zipped blessed cursed devoured emptied fancied guarded "
        "hammered ironed juggled kneaded loaned mocked nailed oiled paddled quoted rescued salted tickled "
        "uprooted vanished welcomed bartered chewed"
    ),
    _words(
        "purple wooden sticky generous hollow left-handed ancient woollen bankrupt salty enormous invisible "
        "lopsided peppery homesick transparent second-hand feverish barefoot clockwork damp elegant furious "
        "grateful hairy idle jealous knotted lazy muddy nervous oily pompous queer rusty slippery timid "
        "upright vain wobbly"
    ),
    (),
)
BANKS = (FOUNDRY, RAILWAY, ORCHARD, OBSERVATORY, THEATRE)

#: Said again and again, in any scene and by anybody.
SHORT = ("Yes.", "No.", "What?", "Not now.", "Go on.", "I know.", "Who?", "Wait.", "Please.", "Fine.", "Never.", "Why?",
         "Of course.", "Listen.", "Come here.", "You first.")  # fmt: skip
#: Running gags: whole sentences that come back.
GAGS = (
    "That is what the duck said.",
    "My uncle had one, and look at him now.",
    "I was promised soup.",
    "Nobody ever asks the accountant.",
    "It was like that when I got here.",
    "Third time this week, if you are counting.",
    "I blame the weather, as always.",
    "Left foot first, for luck.",
)
