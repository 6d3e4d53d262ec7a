"""The built-in catalogue of components: what is fitted to a small powered craft and how it behaves.

In: nothing. Out: `CATALOGUE`, one `Component` a part, and `cautions_for`. Facts are common practice in yards, no source,
unless a standard is named; none is an interval or a life, because the maker's manual sets those.
Elsewhere: a fleet's own parts (record kind `components` adds to and overrides these), causes of calls (`causes`),
misspelt words (`intake`).
"""

from dataclasses import dataclass

ENGINE, VESSEL = "engine", "vessel"
OUTBOARD, INBOARD, STERNDRIVE = "outboard", "inboard", "sterndrive"
PETROL, DIESEL, ELECTRIC = "petrol", "diesel", "electric"

PETROL_VAPOUR = "petrol vapour"
PROPELLER = "propeller"
HOT_MOVING = "hot and moving parts"
BATTERY = "battery"
CARBON_MONOXIDE = "carbon monoxide"
HIGH_PRESSURE = "high pressure"
LIFTING = "lifting"
BELOW_WATERLINE = "below the waterline"
STEERING = "steering"
AFLOAT = "afloat"


@dataclass(frozen=True)
class Component:
    """One part of the catalogue.

    Attributes
    ----------
    code
        The word every table uses.
    system
        System it belongs to (a code of `causes.SYSTEMS`).
    carried_by
        `engine`: it moves with the engine; `vessel`: it stays with the boat.
    drives, fuels
        What has it by default; an empty tuple means any.
    safety, hidden, wear_visible, crew_can_fit
        As in the record kind `components`.
    clock
        `h` engine hours, `m` months, `hm` whichever comes first, `c` condition only.
    cautions
        Keys of `cautions.CAUTIONS` printed wherever work on it is suggested.
    words
        Other ways the trade writes it, lower case.
    """

    code: str
    system: str
    carried_by: str = ENGINE
    drives: tuple[str, ...] = ()
    fuels: tuple[str, ...] = ()
    safety: bool = False
    hidden: bool = False
    wear_visible: bool = False
    crew_can_fit: bool = False
    clock: str = "hm"
    cautions: tuple[str, ...] = (HOT_MOVING,)
    words: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """How it is written on screens and paper."""
        return self.code[0].upper() + self.code[1:]


COOLING, FUEL, IGNITION, ELECTRICAL = "cooling", "fuel", "ignition", "electrical"
CONTROL, DRIVE, STEERING_SYSTEM, HULL, ENGINE_SYSTEM = "control", "drive", "steering", "hull", "engine"
INSIDE = (INBOARD, STERNDRIVE)
LEG = (OUTBOARD, STERNDRIVE)
COMBUSTION = (PETROL, DIESEL)

_COMPONENTS = (
    Component(
        "raw-water pump impeller",
        COOLING,
        fuels=COMBUSTION,
        cautions=(HOT_MOVING, BELOW_WATERLINE),
        words=(
            "impeller",
            "imp",
            "imp.",
            "pump impeller",
            "water pump impeller",
            "raw water impeller",
            "rw impeller",
            "r/w impeller",
            "raw water pump impeller",
            "r/w pump imp",
            "water pump imp",
        ),
    ),
    Component(
        "raw-water strainer",
        COOLING,
        VESSEL,
        INSIDE,
        COMBUSTION,
        wear_visible=True,
        crew_can_fit=True,
        clock="c",
        cautions=(BELOW_WATERLINE,),
        words=("strainer", "sea strainer", "raw water strainer", "intake grid", "intake strainer", "weed trap"),
    ),
    Component(
        "raw-water pump seal",
        COOLING,
        ENGINE,
        INSIDE,
        COMBUSTION,
        wear_visible=True,
        cautions=(HOT_MOVING, BELOW_WATERLINE),
        words=("pump seal", "water pump seal", "pump seals and bearing"),
    ),
    Component("thermostat", COOLING, fuels=COMBUSTION, words=("stat", "t/stat", "tstat", "thermo")),
    Component(
        "drive belt",
        ENGINE_SYSTEM,
        ENGINE,
        INSIDE,
        COMBUSTION,
        wear_visible=True,
        crew_can_fit=True,
        words=("belt", "v-belt", "v belt", "vee belt", "fan belt", "alternator belt", "alt belt", "water pump belt", "serpentine belt"),
    ),
    Component("camshaft timing belt", ENGINE_SYSTEM, ENGINE, (OUTBOARD,), (PETROL,), words=("timing belt", "cam belt", "cambelt")),
    Component(
        "spark plugs",
        IGNITION,
        ENGINE,
        (),
        (PETROL,),
        wear_visible=True,
        crew_can_fit=True,
        clock="h",
        cautions=(PETROL_VAPOUR, HOT_MOVING),
        words=("plugs", "spark plug", "plug set", "sparkplugs", "spark plugs and leads", "plugs and leads"),
    ),
    Component("glow plugs", IGNITION, ENGINE, INSIDE, (DIESEL,), clock="h", words=("glowplugs", "glow plug", "heater plugs")),
    Component(
        "water-separating fuel filter",
        FUEL,
        fuels=COMBUSTION,
        wear_visible=True,
        crew_can_fit=True,
        cautions=(PETROL_VAPOUR,),
        words=(
            "primary fuel filter",
            "water separator",
            "fuel water separator",
            "separator filter",
            "pre-filter",
            "prefilter",
            "primary filter",
            "water separating filter",
            "fuel filter primary",
        ),
    ),
    Component(
        "engine fuel filter",
        FUEL,
        fuels=COMBUSTION,
        cautions=(PETROL_VAPOUR, HIGH_PRESSURE),
        words=("fuel filter", "fine fuel filter", "secondary fuel filter", "fine filter", "secondary filter", "f/filter"),
    ),
    Component(
        "fuel hose",
        FUEL,
        VESSEL,
        (),
        COMBUSTION,
        safety=True,
        wear_visible=True,
        crew_can_fit=True,
        clock="m",
        cautions=(PETROL_VAPOUR,),
        words=("fuel line", "fuel lines", "primer bulb", "fuel hose and bulb", "bulb", "fuel connector", "fuel hoses"),
    ),
    Component(
        "fuel tank",
        FUEL,
        VESSEL,
        (),
        COMBUSTION,
        wear_visible=True,
        clock="m",
        cautions=(PETROL_VAPOUR,),
        words=("tank", "fuel tank vent", "tank vent", "gauge sender", "fuel gauge", "fuel gauge sender"),
    ),
    Component(
        "fuel pump", FUEL, ENGINE, (), COMBUSTION, clock="c", cautions=(PETROL_VAPOUR, HIGH_PRESSURE), words=("lift pump", "fuel lift pump")
    ),
    Component(
        "engine oil and filter",
        ENGINE_SYSTEM,
        fuels=COMBUSTION,
        wear_visible=True,
        words=("oil and filter", "oil change", "engine oil", "oil filter", "oil & filter", "lube oil and filter", "oil service"),
    ),
    Component(
        "drive oil",
        DRIVE,
        ENGINE,
        LEG,
        wear_visible=True,
        cautions=(LIFTING,),
        words=("gearcase oil", "gear oil", "leg oil", "gear-case oil", "drive oil and seals", "lower unit oil", "gearcase lube"),
    ),
    Component(
        "propeller",
        DRIVE,
        ENGINE,
        (),
        wear_visible=True,
        crew_can_fit=True,
        clock="c",
        cautions=(PROPELLER,),
        words=("prop", "screw", "blades"),
    ),
    Component(
        "propeller hub",
        DRIVE,
        ENGINE,
        LEG,
        crew_can_fit=True,
        clock="h",
        cautions=(PROPELLER,),
        words=("hub", "prop hub", "shear pin", "hub bush", "spun hub", "propeller nut and pin"),
    ),
    Component(
        "sterndrive bellows",
        HULL,
        ENGINE,
        (STERNDRIVE,),
        safety=True,
        wear_visible=True,
        clock="m",
        cautions=(LIFTING, BELOW_WATERLINE),
        words=("bellows", "exhaust bellows", "u-joint bellows", "drive bellows", "gaiter"),
    ),
    Component("gimbal bearing", DRIVE, ENGINE, (STERNDRIVE,), wear_visible=True, cautions=(LIFTING,), words=("gimbal brg",)),
    Component(
        "universal joints",
        DRIVE,
        ENGINE,
        INSIDE,
        wear_visible=True,
        cautions=(LIFTING,),
        words=("u-joints", "ujs", "u/j", "u-joint", "coupler"),
    ),
    Component(
        "stern gland",
        HULL,
        VESSEL,
        (INBOARD,),
        safety=True,
        wear_visible=True,
        cautions=(BELOW_WATERLINE,),
        words=("gland", "gland packing", "stern gland packing", "packing", "shaft seal", "stuffing box"),
    ),
    Component(
        "shaft bearing",
        DRIVE,
        VESSEL,
        (INBOARD,),
        wear_visible=True,
        clock="c",
        cautions=(LIFTING,),
        words=("cutless bearing", "cutlass bearing"),
    ),
    Component(
        "anodes",
        HULL,
        ENGINE,
        (),
        wear_visible=True,
        clock="m",
        cautions=(PROPELLER,),
        words=("anode", "zinc", "zincs", "sacrificial anode", "sacrificial anodes"),
    ),
    Component(
        "heat exchanger", COOLING, ENGINE, INSIDE, COMBUSTION, words=("heat exch", "h/e", "exchanger", "heat exchanger core", "oil cooler")
    ),
    Component("coolant", COOLING, ENGINE, INSIDE, COMBUSTION, wear_visible=True, clock="m", words=("antifreeze", "anti-freeze")),
    Component(
        "exhaust elbow",
        COOLING,
        ENGINE,
        INSIDE,
        COMBUSTION,
        safety=True,
        cautions=(HOT_MOVING, CARBON_MONOXIDE),
        words=("elbow", "riser", "exhaust riser", "manifold", "exhaust manifold", "mixing elbow", "exh elbow"),
    ),
    Component(
        "cooling hose",
        COOLING,
        ENGINE,
        INSIDE,
        COMBUSTION,
        wear_visible=True,
        crew_can_fit=True,
        clock="m",
        cautions=(HOT_MOVING, BELOW_WATERLINE),
        words=("hose", "hoses", "hoses and clamps", "hose clamp", "coolant hose", "raw water hose", "exhaust hose", "jubilee clip"),
    ),
    Component(
        "seacock",
        HULL,
        VESSEL,
        INSIDE,
        safety=True,
        clock="m",
        cautions=(BELOW_WATERLINE,),
        words=("seacocks", "sea cock", "through-hull", "thru-hull", "skin fitting"),
    ),
    Component(
        "start battery",
        ELECTRICAL,
        VESSEL,
        (),
        COMBUSTION,
        wear_visible=True,
        clock="m",
        cautions=(BATTERY,),
        words=("battery", "batt", "starter battery", "batteries", "engine battery", "cranking battery", "start batt", "battery terminals"),
    ),
    Component(
        "starter motor", ELECTRICAL, fuels=COMBUSTION, clock="c", cautions=(BATTERY,), words=("starter", "solenoid", "starter solenoid")
    ),
    Component(
        "alternator",
        ELECTRICAL,
        fuels=COMBUSTION,
        clock="c",
        cautions=(BATTERY, HOT_MOVING),
        words=("alt", "alternator diodes", "generator"),
    ),
    Component(
        "rectifier-regulator",
        ELECTRICAL,
        ENGINE,
        (OUTBOARD,),
        (PETROL,),
        clock="c",
        cautions=(BATTERY,),
        words=("regulator", "rectifier", "reg/rec", "reg rec"),
    ),
    Component(
        "ignition coil",
        IGNITION,
        ENGINE,
        (),
        (PETROL,),
        clock="c",
        cautions=(PETROL_VAPOUR,),
        words=("coil", "coils", "coil pack", "ign coil"),
    ),
    Component(
        "engine sensor",
        ELECTRICAL,
        fuels=COMBUSTION,
        clock="c",
        words=("sensor", "temp sensor", "sender", "crank sensor", "oil pressure sender", "map sensor"),
    ),
    Component("engine control unit", ELECTRICAL, fuels=COMBUSTION, clock="c", words=("ecu", "ecm", "control unit", "cdi", "cdi unit")),
    Component(
        "kill switch",
        CONTROL,
        VESSEL,
        LEG,
        safety=True,
        hidden=True,
        crew_can_fit=True,
        clock="c",
        cautions=(AFLOAT,),
        words=("kill cord", "lanyard", "kill switch and lanyard", "killcord", "emergency stop", "stop switch"),
    ),
    Component(
        "wiring",
        ELECTRICAL,
        VESSEL,
        (),
        safety=True,
        wear_visible=True,
        clock="m",
        cautions=(BATTERY,),
        words=("loom", "wiring loom", "fuse", "fuses", "main switch", "battery switch", "isolator", "connector", "wet plug"),
    ),
    Component(
        "shift and throttle cable",
        CONTROL,
        VESSEL,
        (),
        wear_visible=True,
        clock="m",
        cautions=(HOT_MOVING,),
        words=(
            "shift cable",
            "throttle cable",
            "gear cable",
            "control cable",
            "control cables",
            "morse cable",
            "control box",
            "shift cables",
        ),
    ),
    Component(
        "steering cable",
        STEERING_SYSTEM,
        VESSEL,
        (),
        safety=True,
        wear_visible=True,
        clock="m",
        cautions=(STEERING,),
        words=("steering", "helm", "steering ram", "hydraulic steering", "steering hydraulics", "helm pump", "steering fluid"),
    ),
    Component(
        "trim and tilt",
        DRIVE,
        ENGINE,
        LEG,
        wear_visible=True,
        clock="c",
        cautions=(LIFTING,),
        words=("trim", "tilt", "trim motor", "trim ram", "power trim", "ptt", "tilt ram"),
    ),
    Component(
        "injectors",
        FUEL,
        ENGINE,
        INSIDE,
        (DIESEL,),
        wear_visible=True,
        clock="h",
        cautions=(HIGH_PRESSURE,),
        words=("injector", "injector nozzles", "inj"),
    ),
    Component(
        "valve clearance",
        ENGINE_SYSTEM,
        ENGINE,
        (),
        COMBUSTION,
        wear_visible=True,
        clock="h",
        words=("valves", "tappets", "valve clearances"),
    ),
    Component(
        "air filter",
        ENGINE_SYSTEM,
        ENGINE,
        INSIDE,
        COMBUSTION,
        wear_visible=True,
        crew_can_fit=True,
        words=("breather", "air cleaner", "turbo", "air filter element"),
    ),
    Component(
        "engine mounts",
        ENGINE_SYSTEM,
        VESSEL,
        (INBOARD,),
        wear_visible=True,
        clock="m",
        cautions=(LIFTING,),
        words=("mounts", "mount", "engine mount", "coupling", "alignment"),
    ),
    Component(
        "gearbox", DRIVE, ENGINE, INSIDE, clock="h", cautions=(LIFTING, HOT_MOVING), words=("g/box", "reduction gear", "gear box", "clutch")
    ),
    Component(
        "bilge pump",
        HULL,
        VESSEL,
        (),
        safety=True,
        hidden=True,
        crew_can_fit=True,
        clock="m",
        cautions=(PETROL_VAPOUR, BATTERY),
        words=("bilge", "float switch", "bilge pump and float switch", "b/pump", "auto bilge"),
    ),
    Component(
        "drive battery",
        ELECTRICAL,
        VESSEL,
        (),
        (ELECTRIC,),
        wear_visible=True,
        clock="m",
        cautions=(BATTERY,),
        words=("traction battery", "main battery", "propulsion battery", "main battery controller"),
    ),
)

CATALOGUE: dict[str, Component] = {component.code: component for component in _COMPONENTS}
