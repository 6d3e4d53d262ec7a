"""What a boat may carry so that its crew gets home alone: the form of each spare, the tools it takes, and aids that are no part of it.

In: nothing. Out: `SPARES` by component, `AIDS`, `NEVER_ABOARD`, `SAFETY_GEAR`. Common practice in yards, no source. Whether a crew may
fit a part at all is said by the catalogue and by the fleet's own `components`, never here; what it weighs and costs only its records say.
Elsewhere: cautions (`cautions`), causes (`causes`), what a crew is told instead (`briefing`).
"""

from dataclasses import dataclass

from pipelines.terms import components

GLOVES_AND_RAG = "gloves and a rag"


@dataclass(frozen=True)
class Spare:
    """How a part is carried: in which form, the tools a crew needs to fit it, and when it may be fitted at all."""

    form: str
    tools: tuple[str, ...] = ()
    only: str = ""


@dataclass(frozen=True)
class Aid:
    """Something carried that is no part of the boat: the causes it gets a crew home from, its tools, and keys of its cautions."""

    name: str
    causes: tuple[str, ...]
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    only: str = ""


_PROPELLER_TOOLS = ("propeller spanner", "pliers", "gloves and a rag")
_CALM = "only in calm shallow water or made fast; else wait for help"
_SHUT = "only with the seacock shut"
_NO_SMELL = "only where no fuel has run into the boat; on any smell leave it and call"

SPARES: dict[str, Spare] = {
    "raw-water pump impeller": Spare("impeller with its gasket", ("screwdrivers", "pliers"), _SHUT),
    "thermostat": Spare("thermostat with its gasket", ("spanners", GLOVES_AND_RAG), "only with the engine cold"),
    "drive belt": Spare(
        "one belt of the right length", ("spanners", "a bar to tension it"), "only with the engine stopped and the key out"
    ),
    "spark plugs": Spare("a full set, gapped", ("plug spanner",), "only with the space aired and the engine cool"),
    "glow plugs": Spare("a full set", ("spanners",), "only with the engine cool"),
    "water-separating fuel filter": Spare(
        "one filter with its seals", ("filter strap", "a tray", GLOVES_AND_RAG), "only with no spark near; a diesel has to be bled"
    ),
    "engine fuel filter": Spare("one filter with its seals", ("filter strap", "a tray", GLOVES_AND_RAG), "never on a high-pressure side"),
    "fuel hose": Spare("the whole hose with bulb and connectors", ("screwdrivers", "a tray", GLOVES_AND_RAG), _NO_SMELL),
    "propeller": Spare("one propeller", _PROPELLER_TOOLS, _CALM),
    "propeller hub": Spare("nut, washer, split pin and shear pins or hub kit", _PROPELLER_TOOLS, _CALM),
    "cooling hose": Spare("short lengths, clamps and tape", ("screwdrivers", "a knife"), _SHUT),
    "kill switch": Spare("a second lanyard"),
    "air filter": Spare("one element", ("screwdrivers",)),
    "bilge pump": Spare("a small pump with float switch and connectors", ("screwdrivers", "wire stripper"), "only with vapour aired out"),
    "wiring": Spare("fuses of the same rating, never a larger one", (), "only with the supply switched off"),
}
"""A part that is not here is carried as one piece, with the tools its maker names."""

CLEANED_NOT_RENEWED = frozenset({"raw-water strainer"})
"""Parts of which a spare stops no tow: a crew clears them."""

AIDS: tuple[Aid, ...] = (
    Aid(
        "jump pack",
        ("battery left flat",),
        (),
        (components.BATTERY, components.PETROL_VAPOUR),
        "only as its maker says, with the battery space aired",
    ),
    Aid("can of engine oil", ("low oil",), ("funnel", GLOVES_AND_RAG), (components.HOT_MOVING,), "only to top up, engine stopped and cool"),
)

NEVER_ABOARD = frozenset({"fuel leak", "wiring fault"})
"""Causes whose mending is no job for a crew afloat, whatever part they name."""

SAFETY_GEAR = (
    "Lifejackets, flares, extinguishers, anchor, bailer, first aid, paddle and whatever else law, maker or insurer demand are no matter "
    "of this count: they are aboard whatever it says, and nothing of the kit takes their place."
)
