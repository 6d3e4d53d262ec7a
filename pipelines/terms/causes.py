"""The cause tree of rescue calls: what the caller saw, what the yard found, what would have prevented it.

In: nothing. Out: `SYMPTOMS`, `SYSTEMS`, `REMEDIES`, `CAUSES`. Common practice in yards, no source.
Three things are kept apart: symptom (seen), cause (found), remedy (what would have prevented it). Each cause has one
primary remedy, so shares add to one. Unknown is an answer of its own and is never shared out among the known causes.
Elsewhere: how words are matched to these codes (`intake`).
"""

from dataclasses import dataclass
from enum import StrEnum

UNKNOWN = "unknown"
UNCODED = "uncoded"


class Remedy(StrEnum):
    """What would have prevented a call."""

    RENEWAL = "scheduled renewal"
    INSPECTION = "inspection or test"
    PRE_DEPARTURE = "pre-departure check"
    BRIEFING = "crew briefing"
    TURN_ROUND = "turn-round ashore"
    FITTING = "fitting something"
    NOTHING = "nothing known"
    UNKNOWN = "unknown"


class LifeEffect(StrEnum):
    """What a cause does to the life of the part it names."""

    FAILURE = "failure"
    OUTSIDE = "outside damage"
    NONE = "goes on"


SYSTEMS = ("cooling", "fuel", "ignition", "electrical", "control", "drive", "steering", "hull", "engine", "operation", UNKNOWN)

SYMPTOMS: dict[str, tuple[str, ...]] = {
    "won't start, no crank": (
        "no crank",
        "dead",
        "won't start",
        "wont start",
        "does not start",
        "clicks only",
        "no start",
        "nothing when key turned",
    ),
    "won't start, cranks": ("cranks", "cranks but won't start", "cranks no start", "turns over", "turns over won't fire", "won't fire"),
    "stops under way": (
        "stops",
        "stopped",
        "cut out",
        "cuts out",
        "engine died",
        "died",
        "stalled",
        "conked out",
        "stopped under way",
        "engine stopped",
    ),
    "loses power": ("limp mode", "no power", "low power", "loses power, limp mode", "lost power", "loss of power", "sluggish", "won't rev"),
    "overheats": (
        "overheating",
        "hot",
        "overheated",
        "overheat",
        "temp alarm",
        "temperature alarm",
        "running hot",
        "steam",
        "o/heat",
        "no tell-tale",
    ),
    "revs, no drive": ("no drive", "revs no drive", "lost drive", "engine revs boat does not move", "revs but no drive"),
    "no gear or throttle": (
        "stuck in gear",
        "no gear",
        "stuck throttle",
        "no gear, stuck in gear or throttle",
        "won't go in gear",
        "throttle stuck",
    ),
    "no steering": ("steering", "lost steering", "steering gone", "steering stiff", "can't steer"),
    "taking water": ("water in bilge", "sinking", "leak", "leaking", "bilge full", "taking on water"),
    "fire, smoke or fuel smell": ("fire", "smoke", "fuel smell", "fire, smoke, fuel smell", "burning smell", "smell of petrol"),
    "aground or adrift": ("aground", "adrift", "drifting", "lost anchor", "aground, drifting, lost anchor", "anchor dragged"),
    "lost, late or unwell": ("lost", "late", "unwell", "dark", "weather", "dark, lost, late, unwell, weather", "medical"),
    "precaution": ("tow as a precaution", "nothing found", "tow as a precaution; nothing found", "precautionary"),
    UNKNOWN: ("not known", "n/k", "?", "not stated", "other"),
}


@dataclass(frozen=True)
class Cause:
    """One cause of a call.

    Attributes
    ----------
    code
        The word every table uses.
    system
        One of `SYSTEMS`.
    symptoms
        What a caller sees, the usual one first.
    remedies
        What would have prevented it, the primary one first.
    component
        The part it names; empty when no part is at fault.
    effect
        What it does to that part's life.
    words
        Other ways the trade writes it, lower case.
    """

    code: str
    system: str
    symptoms: tuple[str, ...]
    remedies: tuple[Remedy, ...]
    component: str = ""
    effect: LifeEffect = LifeEffect.NONE
    words: tuple[str, ...] = ()


_NO_CRANK, _CRANKS, _STOPS, _POWER, _HOT = "won't start, no crank", "won't start, cranks", "stops under way", "loses power", "overheats"
_NO_DRIVE, _GEAR, _STEER, _WATER, _FIRE = (
    "revs, no drive",
    "no gear or throttle",
    "no steering",
    "taking water",
    "fire, smoke or fuel smell",
)
_ADRIFT, _LATE, _CARE = "aground or adrift", "lost, late or unwell", "precaution"
_R, _I, _P, _B = Remedy.RENEWAL, Remedy.INSPECTION, Remedy.PRE_DEPARTURE, Remedy.BRIEFING
_T, _F, _N = Remedy.TURN_ROUND, Remedy.FITTING, Remedy.NOTHING
_FAILED, _OUTSIDE = LifeEffect.FAILURE, LifeEffect.OUTSIDE

_CAUSES = (
    Cause(
        "battery left flat",
        "electrical",
        (_NO_CRANK,),
        (_B, _T, _F),
        words=("flat battery", "battery flat", "lights left on", "radio left on", "discharged"),
    ),
    Cause(
        "battery worn out",
        "electrical",
        (_NO_CRANK,),
        (_R, _I),
        "start battery",
        _FAILED,
        ("battery dead", "battery failed", "old battery", "terminal loose"),
    ),
    Cause(
        "starter or solenoid failed",
        "electrical",
        (_NO_CRANK,),
        (_I, _N),
        "starter motor",
        _FAILED,
        ("starter failed", "solenoid stuck", "starter jammed"),
    ),
    Cause("main switch or fuse failed", "electrical", (_NO_CRANK,), (_I, _N), "wiring", _FAILED, ("fuse blown", "main switch failed")),
    Cause("lanyard off or in gear", "control", (_NO_CRANK,), (_B,), words=("in gear", "kill cord off", "lanyard off")),
    Cause(
        "kill switch corroded",
        "control",
        (_NO_CRANK, _STOPS),
        (_I, _P),
        "kill switch",
        _FAILED,
        ("kill switch failed", "stop switch corroded"),
    ),
    Cause(
        "tap shut or hose off",
        "fuel",
        (_CRANKS, _STOPS),
        (_P, _B),
        words=("fuel tap shut", "vent shut", "hose unplugged", "bulb not pumped", "fuel tap off"),
    ),
    Cause(
        "old or watery fuel",
        "fuel",
        (_CRANKS, _POWER),
        (_T, _I, _R),
        words=("old fuel", "water in fuel", "stale fuel", "bad fuel", "dirty fuel"),
    ),
    Cause(
        "plugs fouled",
        "ignition",
        (_CRANKS, _POWER),
        (_R,),
        "spark plugs",
        _FAILED,
        ("fouled plugs", "plugs flooded", "flooded", "plug fouled"),
    ),
    Cause(
        "coil failed",
        "ignition",
        (_CRANKS, _STOPS),
        (_N,),
        "ignition coil",
        _FAILED,
        ("ignition coil failed", "coil pack failed", "no spark"),
    ),
    Cause(
        "fuel exhausted",
        "fuel",
        (_STOPS, _CRANKS),
        (_P, _B, _T),
        words=("out of fuel", "empty tank", "ran out of fuel", "tank empty", "no fuel"),
    ),
    Cause("fuel gauge failed", "fuel", (_STOPS,), (_I,), "fuel tank", _FAILED, ("gauge lied", "sender failed")),
    Cause(
        "fuel filter blocked",
        "fuel",
        (_STOPS, _POWER),
        (_R, _I, _T),
        "water-separating fuel filter",
        _FAILED,
        ("filter blocked", "blocked filter", "clogged filter", "water in filter"),
    ),
    Cause("engine fuel filter blocked", "fuel", (_STOPS, _POWER), (_R,), "engine fuel filter", _FAILED, ("fine filter blocked",)),
    Cause(
        "filter choked by dirty fuel",
        "fuel",
        (_STOPS, _POWER),
        (_T, _I),
        "water-separating fuel filter",
        _OUTSIDE,
        ("growth in tank", "diesel bug"),
    ),
    Cause(
        "fuel hose sucking air",
        "fuel",
        (_STOPS,),
        (_I, _R),
        "fuel hose",
        _FAILED,
        ("air leak", "air in fuel", "bulb collapsed", "hose cracked"),
    ),
    Cause("fuel pump failed", "fuel", (_STOPS,), (_N,), "fuel pump", _FAILED, ("lift pump failed",)),
    Cause("lanyard pulled", "control", (_STOPS,), (_B,), words=("kill cord pulled", "kill cord", "kill cord came off")),
    Cause(
        "rope or weed round propeller",
        "drive",
        (_STOPS, _POWER),
        (_B, _F),
        words=(
            "rope round prop",
            "rope in prop",
            "net round propeller",
            "line round prop",
            "fouled prop",
            "weed on propeller",
            "rope round propeller",
        ),
    ),
    Cause("low oil", "engine", (_STOPS,), (_P, _I), words=("oil low", "low oil pressure", "oil alarm")),
    Cause(
        "loose connector or wet plug",
        "electrical",
        (_STOPS, _NO_CRANK),
        (_I, _N),
        "wiring",
        _FAILED,
        ("loose connector", "wet connector", "corroded connector"),
    ),
    Cause("control unit failed", "electrical", (_STOPS, _POWER), (_N,), "engine control unit", _FAILED, ("ecu failed",)),
    Cause("sensor failed", "electrical", (_POWER, _STOPS), (_N,), "engine sensor", _FAILED, ("sensor fault", "bad sensor")),
    Cause(
        "alternator or regulator failed",
        "electrical",
        (_NO_CRANK, _STOPS),
        (_I, _N),
        "alternator",
        _FAILED,
        ("not charging", "alternator failed", "no charge"),
    ),
    Cause("regulator failed", "electrical", (_NO_CRANK, _STOPS), (_N,), "rectifier-regulator", _FAILED, ("rectifier failed",)),
    Cause(
        "belt broken",
        "engine",
        (_HOT, _STOPS),
        (_R, _I),
        "drive belt",
        _FAILED,
        ("broken belt", "belt gone", "belt snapped", "belt slipped", "snapped belt"),
    ),
    Cause("timing belt broken", "engine", (_STOPS,), (_R,), "camshaft timing belt", _FAILED, ("cam belt broken",)),
    Cause("engine seized or valve", "engine", (_STOPS,), (_N,), words=("seized", "engine seized", "valve dropped")),
    Cause("overloaded", "operation", (_POWER,), (_P, _B), words=("too many aboard", "bilge full of water")),
    Cause("injector fault", "fuel", (_POWER,), (_I,), "injectors", _FAILED, ("injectors coked", "injector dripping")),
    Cause(
        "weed in intake",
        "cooling",
        (_HOT,),
        (_P, _B, _F),
        words=(
            "intake blocked",
            "weed",
            "bag in intake",
            "blocked intake",
            "strainer full",
            "intake weed",
            "jellyfish",
            "strainer blocked",
        ),
    ),
    Cause("seacock left shut", "cooling", (_HOT,), (_P,), words=("seacock shut", "seacock closed")),
    Cause(
        "impeller burnt, run dry", "cooling", (_HOT,), (_P,), "raw-water pump impeller", _OUTSIDE, ("run dry", "impeller burnt", "ran dry")
    ),
    Cause(
        "impeller failed",
        "cooling",
        (_HOT,),
        (_R, _I),
        "raw-water pump impeller",
        _FAILED,
        ("impeller", "impeller vanes gone", "impeller gone", "torn impeller", "vanes gone", "impeller torn"),
    ),
    Cause("thermostat stuck", "cooling", (_HOT,), (_R, _I), "thermostat", _FAILED, ("thermostat", "stat stuck")),
    Cause(
        "cooling hose failed",
        "cooling",
        (_HOT, _WATER),
        (_R, _I),
        "cooling hose",
        _FAILED,
        ("hose split", "hose burst", "split hose", "clamp failed", "hose off"),
    ),
    Cause(
        "exhaust elbow failed",
        "cooling",
        (_HOT, _WATER),
        (_I, _R),
        "exhaust elbow",
        _FAILED,
        ("elbow blocked", "riser rusted", "exhaust elbow blocked"),
    ),
    Cause("heat exchanger blocked", "cooling", (_HOT,), (_R, _I), "heat exchanger", _FAILED, ("scale", "scaled up", "exchanger scaled")),
    Cause("sand pumped through", "cooling", (_HOT,), (_B,), "raw-water pump impeller", _OUTSIDE, ("sand", "ran aground, sand")),
    Cause(
        "hub slipped after a strike",
        "drive",
        (_NO_DRIVE,),
        (_B,),
        "propeller hub",
        _OUTSIDE,
        ("spun hub", "hub slipped", "pin sheared", "hub spun", "sheared pin"),
    ),
    Cause("hub worn", "drive", (_NO_DRIVE,), (_I, _R), "propeller hub", _FAILED, ("hub worn out",)),
    Cause(
        "propeller struck",
        "drive",
        (_NO_DRIVE, _POWER),
        (_B,),
        "propeller",
        _OUTSIDE,
        ("prop strike", "bent prop", "hit something", "struck object", "prop damaged"),
    ),
    Cause(
        "gearbox or coupling failed", "drive", (_NO_DRIVE,), (_I, _R), "gearbox", _FAILED, ("gearbox failed", "coupling failed", "coupling")
    ),
    Cause("universal joint failed", "drive", (_NO_DRIVE,), (_I, _R), "universal joints", _FAILED, ("u-joint failed",)),
    Cause(
        "shift or throttle cable broken",
        "control",
        (_GEAR,),
        (_R, _I),
        "shift and throttle cable",
        _FAILED,
        ("cable broken", "cable rusted", "throttle cable", "shift cable"),
    ),
    Cause(
        "steering cable or hydraulics failed",
        "steering",
        (_STEER,),
        (_I, _R),
        "steering cable",
        _FAILED,
        ("steering cable broken", "hydraulic leak", "steering failed"),
    ),
    Cause("rope on rudder", "steering", (_STEER,), (_B,), words=("rope on rudder", "rudder fouled")),
    Cause("drain plug out", "hull", (_WATER,), (_P,), words=("bung out", "plug out", "drain bung")),
    Cause("bilge pump failed", "hull", (_WATER,), (_P, _I, _R), "bilge pump", _FAILED, ("bilge pump dead", "float switch stuck")),
    Cause("bellows split", "hull", (_WATER,), (_I, _R), "sterndrive bellows", _FAILED, ("bellows torn", "bellows")),
    Cause("stern gland leaking", "hull", (_WATER,), (_I, _R), "stern gland", _FAILED, ("gland leaking", "shaft seal leaking")),
    Cause("swamped", "hull", (_WATER,), (_B,), words=("swamped from astern",)),
    Cause("fuel leak", "fuel", (_FIRE,), (_I, _R), "fuel hose", _FAILED, ("leaking fuel", "petrol leak")),
    Cause("wiring fault", "electrical", (_FIRE, _NO_CRANK), (_I, _F), "wiring", _FAILED, ("short circuit", "wiring", "chafed wire")),
    Cause("ran aground", "operation", (_ADRIFT,), (_B,), words=("grounding", "grounded", "aground", "ran aground")),
    Cause("anchor or mooring let go", "operation", (_ADRIFT,), (_B,), words=("anchor dragged", "mooring parted", "lost anchor")),
    Cause("lost, late, unwell or weather", "operation", (_LATE,), (_B,), words=("got lost", "crew unwell", "bad weather", "late back")),
    Cause(
        "no fault found",
        "operation",
        (_CARE, _STOPS),
        (_N,),
        words=("nff", "nothing found", "works on test", "no fault", "ok on test", "tested ok"),
    ),
    Cause(
        "mechanical, not further stated",
        UNKNOWN,
        (_STOPS,),
        (Remedy.UNKNOWN,),
        words=("mechanical", "engine failure", "engine trouble", "breakdown", "engine fault"),
    ),
    Cause(
        UNKNOWN, UNKNOWN, (), (Remedy.UNKNOWN,), words=("not known", "n/k", "unk", "?", "other", "none", "not stated", "none; not at fault")
    ),
)

CAUSES: dict[str, Cause] = {cause.code: cause for cause in _CAUSES}


def remedy_of(cause: str) -> str:
    """Return the primary remedy of a cause code; a code the tree does not hold is `unknown`."""
    known = CAUSES.get(cause)
    return known.remedies[0].value if known else Remedy.UNKNOWN.value


def system_of(cause: str) -> str:
    """Return the system of a cause code; a code the tree does not hold is `unknown`."""
    known = CAUSES.get(cause)
    return known.system if known else UNKNOWN
