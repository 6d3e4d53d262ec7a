"""What records tell of positions, the second way: whose each row is, which lines are one job, which calls have no ticket; plain Python.

In: `World`, records as lists of rows. Out: positions with their jobs and lost tickets. It shares no code with the SQL files and is slow.
Elsewhere: the lives told from these (`reference_lives`).
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

Row = dict[str, Any]


@dataclass
class World:
    """The records of a fleet, each kind a list of rows; `hours` gives the engine hours on a day."""

    vessels: list[Row]
    engines: list[Row]
    moves: list[Row]
    fitted: list[Row]
    tickets: list[Row]
    calls: list[Row]
    plan: list[Row]
    catalogue: dict[str, Row]
    causes: dict[str, Row]
    pairs: dict[int, tuple[int, str]]
    as_of: date
    hours: Callable[[str, date], float]
    fraction: float = 0.85


@dataclass
class Stay:
    """An engine on a boat; `to` is empty while it is still there."""

    engine: str
    vessel: str
    place: str
    start: date
    to: date | None


@dataclass
class Job:
    """Ticket lines that tell of one piece of work on one part."""

    rows: list[Row]
    work: str

    @property
    def row_id(self) -> int:
        return min((row["done_on"], row["meter_h"] is None, row["row_id"]) for row in self.rows)[2]

    @property
    def day(self) -> date:
        return min(row["done_on"] for row in self.rows)

    def gravest(self, column: str, order: Iterable[str]) -> str | None:
        """Return the first word of `order` that any line says."""
        said = {row[column] for row in self.rows}
        return next((word for word in order if word in said), None)

    @property
    def cause(self) -> str | None:
        return max((row["cause"] for row in self.rows if row["cause"]), default=None)


@dataclass
class Turn:
    """A new part went in on `day`; the old one ended on `ended` in the way `ending`."""

    day: date
    ended: date
    ending: str
    row_id: int
    doubtful: bool = False
    cause: str | None = None
    called: bool = False
    lost: bool = False
    first: bool = False


@dataclass
class Position:
    """One part's place and what happened there."""

    carried_by: str
    carrier: str
    component: str
    name: str | None
    jobs: list[Job] = field(default_factory=list)
    lost: list[Row] = field(default_factory=list)


def stays_of(world: World) -> list[Stay]:
    """Follow each engine from boat to boat."""
    gone = {vessel["vessel_id"]: vessel["withdrawn_on"] for vessel in world.vessels}
    stays: list[Stay] = []
    for engine in world.engines:
        steps = [(engine["commissioned_on"], engine["vessel_id"], engine["place"])]
        moves = [move for move in world.moves if move["engine_id"] == engine["engine_id"]]
        steps += [(move["moved_on"], move["vessel_id"], move["place"]) for move in sorted(moves, key=lambda move: move["moved_on"])]
        for at, (start, vessel, place) in enumerate(steps):
            ends = [engine["withdrawn_on"], gone[vessel], steps[at + 1][0] if at + 1 < len(steps) else None]
            to = min((end for end in ends if end is not None), default=None)
            stays.append(Stay(engine["engine_id"], vessel, place, start, to))
    return [stay for stay in stays if stay.to is None or stay.to > stay.start]


def aboard(stays: list[Stay], vessel: str, day: date) -> list[Stay]:
    """Return the stays on a boat that day."""
    return [stay for stay in stays if stay.vessel == vessel and stay.start <= day and (stay.to is None or day < stay.to)]


def whose(row: Row, day: date, stays: list[Stay], world: World | None = None) -> tuple[str | None, str]:
    """Return the engine (if it can be told) and the boat that a record is about; with the world, a ticket may answer a call."""
    if row["engine_id"]:
        mine = [stay for stay in stays if stay.engine == row["engine_id"]]
        there = [stay for stay in mine if stay.start <= day and (stay.to is None or day < stay.to)]
        before = [stay for stay in mine if stay.start <= day]
        return row["engine_id"], (there or before[-1:] or mine[:1])[0].vessel
    here = aboard(stays, row["vessel_id"], day)
    at_place = [stay for stay in here if row.get("place") and stay.place == row["place"]]
    if len(at_place) == 1:
        return at_place[0].engine, row["vessel_id"]
    if len(here) == 1:
        return here[0].engine, row["vessel_id"]
    if len(here) > 1 and world is not None:
        return answered_call(row, world), row["vessel_id"]
    just_left = [stay for stay in stays if stay.vessel == row["vessel_id"] and stay.to == day]
    return (just_left[0].engine if not here and len(just_left) == 1 else None), row["vessel_id"]


def answered_call(ticket: Row, world: World) -> str | None:
    """Return the engine that the calls of the last three days named, for a failed part of a twin whose ticket names none."""
    if ticket["place"] or ticket["action"] != "renew" or not fails(ticket) or carried_by_of(world, ticket["component"]) != "engine":
        return None
    named = set()
    for call in world.calls:
        part = call["component"] or world.causes.get(call["cause"] or "", {}).get("component") or ticket["component"]
        near = 0 <= (ticket["done_on"] - call["called_on"]).days <= 3
        if call["engine_id"] and call["vessel_id"] == ticket["vessel_id"] and near and part == ticket["component"]:
            named.add(call["engine_id"])
    return named.pop() if len(named) == 1 else None


def carried_by_of(world: World, component: str) -> str:
    """Return what carries a part."""
    return world.catalogue.get(component, {"carried_by": "engine"})["carried_by"]


def positions_of(world: World, stays: list[Stay]) -> list[Position]:
    """Put every component of `fitted` where its rule says."""
    found: dict[tuple[str, str, str, str | None], Position] = {}
    for rule in world.fitted:
        names = [name.strip() or None for name in (rule["positions"] or "").split(";")]
        carried_by = world.catalogue[rule["component"]]["carried_by"]
        for engine in world.engines:
            if rule["drive"] not in (None, engine["drive"]):
                continue
            mine = [stay for stay in stays if stay.engine == engine["engine_id"]]
            carriers = [engine["engine_id"]] if carried_by == "engine" else [stay.vessel for stay in mine]
            for carrier in carriers:
                for name in names:
                    found[carried_by, carrier, rule["component"], name] = Position(carried_by, carrier, rule["component"], name)
    return list(found.values())


def counted_calls(world: World, stays: list[Stay]) -> dict[int, Row]:
    """Return the calls that count, by row, with their boat, engine, part and what it did to the part."""
    told = []
    for call in world.calls:
        engine, vessel = whose(call, call["called_on"], stays)
        tree = world.causes.get(call["cause"] or "unknown", {})
        cause = call["cause"] if tree and (tree["system"] != "unknown" or tree["component"]) else None
        part = call["component"] or (tree["component"] if cause else None) or None
        effect = (tree["effect"] if cause else None) or ("failure" if call["component"] else None)
        told.append(call | {"engine": engine, "vessel": vessel, "cause": cause, "part": part, "effect": effect})
    assert len({(call["vessel"], call["called_on"]) for call in told}) == len(told), "calls of one boat and day are tested elsewhere"
    return {call["row_id"]: call for call in told}


def place_jobs(world: World, stays: list[Stay], by_part: dict, heads: dict[int, Row]) -> None:
    """Give each position its ticket lines, one job for what is written several times."""
    call_days = defaultdict(set)
    for call in heads.values():
        call_days[call["vessel"]].add(call["called_on"])
    lines = defaultdict(list)
    for ticket in world.tickets:
        engine, vessel = whose(ticket, ticket["done_on"], stays, world)
        carried_by = carried_by_of(world, ticket["component"])
        carrier = engine if carried_by == "engine" else vessel
        here = by_part.get((carried_by, carrier, ticket["component"]), []) if carrier else []
        named = here if len(here) == 1 else [each for each in here if ticket["position"] and each.name == ticket["position"]]
        if named:
            work = "renew" if ticket["action"] in ("fit", "renew") else ticket["action"]
            lines[id(named[0]), work].append((named[0], ticket | {"vessel": vessel}))
    for (_, work), placed in lines.items():
        placed.sort(key=lambda each: (each[1]["done_on"], each[1]["row_id"]))
        for position, row in placed:
            mine = [job for job in position.jobs if job.work == work]
            if mine and same_job(mine[-1].rows[-1], row, call_days[row["vessel"]]):
                mine[-1].rows.append(row)
            else:
                position.jobs.append(Job([row], work))


def same_job(last: Row, row: Row, call_days: set[date]) -> bool:
    """Whether two lines, one after the other, are one job."""
    near = (row["done_on"] - last["done_on"]).days <= 3
    hours_agree = last["meter_h"] is None or row["meter_h"] is None or abs(row["meter_h"] - last["meter_h"]) <= 0.05
    called = any(last["done_on"] < day <= row["done_on"] for day in call_days)
    return near and hours_agree and not called


def place_lost(world: World, stays: list[Stay], heads: dict[int, Row], by_part: dict) -> None:
    """Give a position the calls that tell of its failed part and have no ticket, or one that does not say which engine."""
    loose = {
        ticket["row_id"]: ticket
        for ticket in world.tickets
        if carried_by_of(world, ticket["component"]) == "engine" and whose(ticket, ticket["done_on"], stays, world)[0] is None
    }
    for call in heads.values():
        line, certainty = world.pairs[call["row_id"]]
        ticket = loose.get(line) if certainty == "certain" else None
        if call["outcome"] in ("fixed aboard", "nothing done") or not (certainty == "none" or (ticket and fails(ticket))):
            continue
        effect, part = call["effect"], call["part"]
        if ticket and part is None:
            effect, part = ("outside damage" if ticket["finding"] == "outside damage" else "failure"), ticket["component"]
        carrier = call["engine"] if carried_by_of(world, part) == "engine" else call["vessel"]
        here = by_part.get((carried_by_of(world, part), carrier, part), []) if carrier else []
        if effect in ("failure", "outside damage") and len(here) == 1:
            here[0].lost.append(call | {"effect": effect})


def fails(ticket: Row) -> bool:
    """Whether a line renews a part that it says had failed."""
    said = ticket["reason"] == "failed" or ticket["finding"] in ("failed", "outside damage")
    return ticket["action"] in ("fit", "renew") and said
