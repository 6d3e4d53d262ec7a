"""The boats and engines of an invented hire fleet: who is where, from when to when.

In: how many boats and seasons, a seed. Out: `Fleet`. Places, boats and models are invented.
Elsewhere: how much they run (`use`), what fails (`lives`).
"""

from dataclasses import dataclass, replace
from datetime import date

from sample_fleet.chance import Chance
from sample_fleet.clocks import day_number

LAST_SEASON = 2025
MODELS = {
    "Hesk 20": ("outboard", "petrol", 14.7),
    "Hesk 60": ("outboard", "petrol", 44.1),
    "Dorrat 3D": ("inboard", "diesel", 21.3),
    "Dorrat 4D": ("inboard", "diesel", 40.5),
    "Ulbry 5P": ("sterndrive", "petrol", 99.3),
    "Ulbry 6D": ("sterndrive", "diesel", 110.3),
}
CLASSES = {
    "open launch": (("Hesk 20",), (24, 25, 30), 0.0),
    "day boat": (("Hesk 60", "Hesk 60", "Hesk 20"), (45, 50, 60), 0.3),
    "cabin cruiser": (("Dorrat 3D", "Dorrat 4D"), (90, 120), 0.0),
    "sport cruiser": (("Ulbry 5P", "Ulbry 6D"), (140, 180), 0.35),
}
BASES = ("Brantholm", "Wellick Mouth", "Upper Tarnet")
CLASS_WEIGHTS = {
    "Brantholm": (2.0, 2.5, 2.5, 3.0),
    "Wellick Mouth": (3.0, 3.0, 2.5, 1.5),
    "Upper Tarnet": (5.5, 2.5, 2.0, 0.5),
}
WATERS = {"Brantholm": (0.0, 0.0, 1.0), "Wellick Mouth": (0.0, 0.7, 0.3), "Upper Tarnet": (1.0, 0.0, 0.0)}
FUEL_SOURCES = ("quay pump", "bowser", "cans")
COLOURS = ("white", "blue", "green", "red")
NAMES = (
    "Teal",
    "Plover",
    "Curlew",
    "Dunlin",
    "Knot",
    "Ruff",
    "Whimbrel",
    "Avocet",
    "Sanderling",
    "Turnstone",
    "Lapwing",
    "Redshank",
    "Greenshank",
    "Godwit",
    "Snipe",
    "Fulmar",
    "Gannet",
    "Petrel",
    "Kittiwake",
    "Tern",
    "Skua",
    "Puffin",
    "Razorbill",
    "Guillemot",
    "Shag",
    "Eider",
    "Merganser",
    "Goldeneye",
    "Pochard",
    "Wigeon",
    "Gadwall",
    "Pintail",
    "Shoveler",
    "Garganey",
    "Smew",
    "Scoter",
    "Dipper",
    "Wagtail",
    "Kingfisher",
    "Heron",
    "Egret",
    "Bittern",
    "Coot",
    "Moorhen",
    "Rail",
    "Grebe",
    "Diver",
    "Crake",
    "Ringlet",
    "Grayling",
    "Brimstone",
    "Skipper",
    "Heath",
    "Fritillary",
    "Argus",
    "Hairstreak",
    "Comma",
    "Peacock",
    "Tortoiseshell",
    "Swallowtail",
)


@dataclass(frozen=True)
class Boat:
    """One boat; days are days since 1970-01-01, `withdrawn` empty while it is still here."""

    vessel_id: str
    name: str
    vessel_class: str
    base: str
    water: str
    bottom: str
    tank_l: int
    in_service: int
    withdrawn: int | None
    tickets_from: int
    calls_from: int
    fuel_source: str
    hull_colour: str


@dataclass(frozen=True)
class Engine:
    """One engine, with the boat it was first put on."""

    engine_id: str
    vessel: int
    place: str
    model: str
    commissioned: int
    commissioned_h: float
    withdrawn: int | None


@dataclass(frozen=True)
class Stay:
    """One engine on one boat from a day to a day."""

    engine: int
    vessel: int
    place: str
    began: int
    ended: int


@dataclass(frozen=True)
class Fleet:
    """Boats, engines and where each engine sat; `first` and `last` are the first and last day of the records."""

    boats: list[Boat]
    engines: list[Engine]
    stays: list[Stay]
    first: int
    last: int
    seasons: int

    @property
    def first_season(self) -> int:
        """The year of the first season in the records."""
        return LAST_SEASON + 1 - self.seasons


def build_fleet(boats: int, seasons: int, seed: int) -> Fleet:
    """Make the boats and engines of a fleet.

    Parameters
    ----------
    boats
        Boats that were ever in it, 4 or more.
    seasons
        Seasons that the records cover, 2 or more; the last is always the same year.
    seed
        Seed of the fleet.
    """
    chance = Chance(seed, "fleet")
    first, last = day_number(date(LAST_SEASON + 1 - seasons, 1, 1)), day_number(date(LAST_SEASON, 11, 30))
    the_boats = [_boat(number, boats, seasons, chance) for number in range(boats)]
    engines, stays = _first_engines(the_boats, last, chance)
    fleet = Fleet(the_boats, engines, stays, first, last, seasons)
    return _move_engines(_repower(fleet, chance), chance)


def _boat(number: int, boats: int, seasons: int, chance: Chance) -> Boat:
    base = BASES[int(chance.pick(1, (0.4, 0.33, 0.27))[0])]
    vessel_class = list(CLASSES)[int(chance.pick(1, CLASS_WEIGHTS[base])[0])]
    first_season = LAST_SEASON + 1 - seasons
    joined = first_season - int(chance.whole(1, 1, 8)[0]) if chance.one() < 0.78 else first_season + int(chance.whole(1, 1, seasons - 1)[0])
    in_service = day_number(date(joined, 3, 4)) + int(chance.whole(1, 0, 42)[0])
    may_go = [year for year in range(first_season + 1, LAST_SEASON) if year > joined + 1]
    withdrawn = None
    if may_go and chance.one() < 0.16:
        withdrawn = day_number(date(may_go[int(chance.whole(1, 0, len(may_go) - 1)[0])], 11, 3)) + int(chance.whole(1, 0, 20)[0])
    late = base == "Upper Tarnet" and seasons > 3
    tanks = CLASSES[vessel_class][1]
    return Boat(
        vessel_id=f"V{number + 1:0{max(2, len(str(boats)))}d}",
        name=NAMES[number % len(NAMES)] + (f" {number // len(NAMES) + 1}" if number >= len(NAMES) else ""),
        vessel_class=vessel_class,
        base=base,
        water=("fresh", "brackish", "salt")[int(chance.pick(1, WATERS[base])[0])],
        bottom=("clear", "silty")[int(chance.pick(1, (0.3, 0.7) if base == "Wellick Mouth" else (0.8, 0.2))[0])],
        tank_l=tanks[int(chance.whole(1, 0, len(tanks) - 1)[0])],
        in_service=in_service,
        withdrawn=withdrawn,
        tickets_from=day_number(date(first_season + (1 if late else 0), 1, 1)),
        calls_from=day_number(date(first_season + (1 if late else 0), 4, 1)),
        fuel_source=FUEL_SOURCES[int(chance.pick(1, (0.5, 0.2, 0.3))[0])],
        hull_colour=COLOURS[int(chance.pick(1, (0.5, 0.2, 0.15, 0.15))[0])],
    )


def _first_engines(boats: list[Boat], last: int, chance: Chance) -> tuple[list[Engine], list[Stay]]:
    engines: list[Engine] = []
    stays: list[Stay] = []
    for vessel, boat in enumerate(boats):
        models, _, twin_share = CLASSES[boat.vessel_class]
        model = models[int(chance.whole(1, 0, len(models) - 1)[0])]
        for place in ("port", "starboard") if chance.one() < twin_share else ("single",):
            stays.append(Stay(len(engines), vessel, place, boat.in_service, boat.withdrawn or last))
            meter = round(chance.one(0.2, 14.0), 1) if chance.one() < 0.3 else 0.0
            engines.append(Engine(_engine_id(len(engines)), vessel, place, model, boat.in_service, meter, boat.withdrawn))
    return engines, stays


def _engine_id(number: int) -> str:
    return f"E{number + 1:03d}"


def _winter_day(fleet: Fleet, chance: Chance) -> int:
    year = int(chance.whole(1, fleet.first_season + 1, LAST_SEASON)[0])
    return day_number(date(year, 1, 12)) + int(chance.whole(1, 0, 40)[0])


def _repower(fleet: Fleet, chance: Chance) -> Fleet:
    """Give some of the old single-engined boats a new engine one winter."""
    engines, stays = list(fleet.engines), list(fleet.stays)
    for at, stay in enumerate(fleet.stays):
        day = _winter_day(fleet, chance)
        old_enough = stay.place == "single" and stay.began < fleet.first - 2 * 365 and stay.ended == fleet.last
        if not old_enough or chance.one() > 0.12:
            continue
        engines[stay.engine] = replace(engines[stay.engine], withdrawn=day)
        stays[at] = replace(stay, ended=day)
        stays.append(Stay(len(engines), stay.vessel, "single", day + 7, fleet.last))
        engines.append(Engine(_engine_id(len(engines)), stay.vessel, "single", engines[stay.engine].model, day + 7, 0.0, None))
    return replace(fleet, engines=engines, stays=stays)


def _move_engines(fleet: Fleet, chance: Chance) -> Fleet:
    """Put engines of sold boats on boats of the same model, whose own engine leaves the fleet."""
    engines, stays = list(fleet.engines), list(fleet.stays)
    taken: set[int] = set()
    sold = [at for at, stay in enumerate(fleet.stays) if fleet.boats[stay.vessel].withdrawn and stay.place == "single"]
    for number, at in enumerate(sold):
        stay = stays[at]
        day = stay.ended + 60 + int(chance.whole(1, 0, 40)[0])
        hosts = [place for place, other in enumerate(fleet.stays) if _can_host(fleet, stay, other, day) and place not in taken]
        if not hosts or (number > 0 and chance.one() > 0.4):
            continue
        host = hosts[int(chance.whole(1, 0, len(hosts) - 1)[0])]
        taken.add(host)
        engines[stays[host].engine] = replace(engines[stays[host].engine], withdrawn=day)
        engines[stay.engine] = replace(engines[stay.engine], withdrawn=None)
        stays.append(Stay(stay.engine, stays[host].vessel, "single", day, fleet.last))
        stays[host] = replace(stays[host], ended=day)
    return replace(fleet, engines=engines, stays=stays)


def _can_host(fleet: Fleet, moved: Stay, other: Stay, day: int) -> bool:
    same = fleet.engines[other.engine].model == fleet.engines[moved.engine].model and other.place == "single"
    return same and other.ended == fleet.last and other.began < day - 3 * 365 and date.fromordinal(719163 + day).year <= LAST_SEASON
