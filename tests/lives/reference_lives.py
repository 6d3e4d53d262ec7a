"""The rules of lives told a second time: one position after the other, one event after the other, in plain Python.

In: records as lists of rows, pairs of call and ticket, hours of an engine on a day. Out: `reference_lives`, {life: what is told of it}.
It shares no code with the SQL files and is slow; a seeded test holds the two against each other.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

Row = dict[str, Any]
Told = tuple[Any, ...]
DAYS_A_MONTH = 365.25 / 12
WORKING = ("sound", "worn", "no fault found")


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


def reference_lives(world: World) -> dict[str, Told]:
    """Return {(carrier, component, position, day it began): (ended, entry, low, high in hours, in months, ending, doubtful)}."""
    stays = stays_of(world)
    positions = positions_of(world, stays)
    by_part = defaultdict(list)
    for position in positions:
        by_part[position.carried_by, position.carrier, position.component].append(position)
    heads = counted_calls(world, stays)
    place_jobs(world, stays, by_part, heads)
    place_lost(world, heads, by_part)
    told: dict[str, Told] = {}
    for position in positions:
        told |= lives_at(position, world, stays, heads)
    return told


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


def whose(row: Row, day: date, stays: list[Stay]) -> tuple[str | None, str]:
    """Return the engine (if it can be told) and the boat that a record is about."""
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
    just_left = [stay for stay in stays if stay.vessel == row["vessel_id"] and stay.to == day]
    return (just_left[0].engine if not here and len(just_left) == 1 else None), row["vessel_id"]


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
        engine, vessel = whose(ticket, ticket["done_on"], stays)
        carried_by = world.catalogue[ticket["component"]]["carried_by"]
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


def place_lost(world: World, heads: dict[int, Row], by_part: dict) -> None:
    """Give a position the calls that name its part as failed and have no ticket."""
    for call in heads.values():
        paired = world.pairs[call["row_id"]][1] != "none"
        if paired or call["effect"] not in ("failure", "outside damage") or call["outcome"] in ("fixed aboard", "nothing done"):
            continue
        carried_by = world.catalogue.get(call["part"], {"carried_by": "engine"})["carried_by"]
        carrier = call["engine"] if carried_by == "engine" else call["vessel"]
        here = by_part.get((carried_by, carrier, call["part"]), []) if carrier else []
        if len(here) == 1:
            here[0].lost.append(call)


def turns_of(position: Position, world: World, heads: dict[int, Row], end: date) -> list[Turn]:
    """Return every new part of a position in order."""
    failed_looks = {
        job.day
        for job in position.jobs
        if job.work in ("inspect", "test") and job.gravest("finding", ("outside damage", "failed")) == "failed"
    }
    turns = [renewal_turn(job, position, world, heads, failed_looks) for job in position.jobs if job.work == "renew"]
    for call in position.lost:
        ending = "outside damage" if call["effect"] == "outside damage" else "failed"
        turns.append(Turn(call["called_on"], call["called_on"], ending, call["row_id"], True, call["cause"], called=True, lost=True))
    turns = sorted((turn for turn in turns if turn.day <= end), key=lambda turn: (turn.day, not turn.lost, turn.row_id))
    kept: list[Turn] = []
    for turn in turns:
        last = kept[-1] if kept else None
        if last and last.lost and not turn.lost and not turn.called and (turn.day - last.day).days <= 30:
            kept[-1] = Turn(turn.day, last.day, last.ending, turn.row_id, True, turn.cause or last.cause, called=True)
        else:
            kept.append(turn)
    for before, turn in pairwise(kept):
        if turn.ended < before.day:
            turn.ended = turn.day
    return kept


def renewal_turn(job: Job, position: Position, world: World, heads: dict[int, Row], failed_looks: set[date]) -> Turn:
    """Read what a renewal says of the old part."""
    reason = job.gravest("reason", ("failed", "condition", "planned", "opportunistic"))
    finding = job.gravest("finding", ("outside damage", "failed", "worn", "no fault found", "sound"))
    if job.day in failed_looks and finding != "outside damage":
        finding = "failed"
    row_id, certainty = next(((call, sure) for call, (line, sure) in world.pairs.items() if line == job.row_id), (None, "none"))
    call = heads.get(row_id, {}) if row_id is not None else {}
    names = certainty == "certain" and call.get("part") == position.component
    outside = finding == "outside damage" or world.causes.get(job.cause or "", {}).get("effect") == "outside damage"
    if outside or (names and call["effect"] == "outside damage"):
        ending = "outside damage"
    elif reason == "failed" or (names and call["effect"] == "failure") or (finding == "failed" and certainty == "certain"):
        ending = "failed"
    elif finding == "failed":
        ending = "found failed"
    elif reason in ("condition", "opportunistic"):
        ending = reason
    else:
        ending = "planned"
    at_call = ending in ("failed", "outside damage") and bool(call)
    unsaid = reason is None and ending == "planned"
    odd = reason in ("failed", "condition") and finding in ("sound", "no fault found")
    return Turn(
        day=job.day,
        ended=call["called_on"] if at_call else job.day,
        ending=ending,
        row_id=job.row_id,
        doubtful=certainty == "doubtful" or unsaid or odd,
        called=at_call or certainty == "certain",
        first=any(row["action"] == "fit" for row in job.rows) and reason is None and finding is None,
    )


def looks_of(position: Position, world: World, heads: dict[int, Row]) -> list[tuple[date, int, bool, date | None]]:
    """Return (day, row, worked, day a call had told of it) of each look or test with a finding."""
    looks = []
    for job in position.jobs:
        finding = job.gravest("finding", ("outside damage", "failed", "worn", "no fault found", "sound"))
        if job.work not in ("inspect", "test") or finding is None or finding == "outside damage":
            continue
        pair = next(((call, sure) for call, (line, sure) in world.pairs.items() if line == job.row_id), None)
        call = heads[pair[0]] if pair and pair[1] == "certain" else None
        named = call["called_on"] if call and call["part"] == position.component else None
        looks.append((job.day, job.row_id, finding in WORKING, named))
    return sorted(looks)


def lives_at(position: Position, world: World, stays: list[Stay], heads: dict[int, Row]) -> dict[str, Told]:
    """Walk through the events of one position."""
    born, end, gone, watched = bounds_of(position, world, stays)
    turns = turns_of(position, world, heads, end)
    looks = looks_of(position, world, heads)
    told: dict[str, Told] = {}
    starts = [(born, None)] + [(turn.day, turn) for turn in turns]
    for at, (began, by) in enumerate(starts):
        following = turns[at] if at < len(turns) else None
        last_look = following.day if following else date.max
        first_look = began + timedelta(days=1) if by else date.min
        mine = [look for look in looks if first_look <= look[0] <= last_look]
        spell = spell_of(began, by, following, mine, end, gone)
        life = life_of(spell, mine, position, world, stays, watched, by is None and born < watched)
        if life and not (by is None and following and following.first and spell["ended"] == following.ended):
            name = f"{position.carried_by} {position.carrier} | {position.component} | {position.name or ''} | {began}"
            told[name] = life
    return told


def bounds_of(position: Position, world: World, stays: list[Stay]) -> tuple[date, date, bool, date]:
    """Return when the carrier was new, when it ends, whether it is gone, and from when it is watched."""
    from_on = {vessel["vessel_id"]: vessel["tickets_from_on"] for vessel in world.vessels}
    if position.carried_by == "engine":
        mine = [stay for stay in stays if stay.engine == position.carrier]
        starts = [
            max(stay.start, from_on[stay.vessel]) for stay in mine if stay.to is None or stay.to > max(stay.start, from_on[stay.vessel])
        ]
        return mine[0].start, mine[-1].to or world.as_of, mine[-1].to is not None, min(starts, default=date.max)
    vessel = next(vessel for vessel in world.vessels if vessel["vessel_id"] == position.carrier)
    born = vessel["in_service_on"]
    return born, vessel["withdrawn_on"] or world.as_of, vessel["withdrawn_on"] is not None, max(born, vessel["tickets_from_on"])


def spell_of(began: date, by: Turn | None, following: Turn | None, looks: list, end: date, gone: bool) -> dict[str, Any]:
    """Find how the part that went in on `began` ended."""
    for day, _, worked, named in looks:
        early = following is None or (day < following.day and day < following.ended)
        if not worked and early:
            ending = "failed" if named else "found failed"
            return {"began": began, "ended": named or day, "ending": ending, "doubtful": bool(by and by.lost)}
    if following:
        doubtful = following.doubtful or bool(by and by.lost)
        return {"began": began, "ended": following.ended, "ending": following.ending, "doubtful": doubtful}
    return {"began": began, "ended": end, "ending": "withdrawn" if gone else "running", "doubtful": bool(by and by.lost)}


def life_of(
    spell: dict[str, Any], looks: list, position: Position, world: World, stays: list[Stay], watched: date, original: bool
) -> Told | None:
    """Give a spell its ages; `None` where it may not be used."""
    began, ended, ending = spell["began"], spell["ended"], spell["ending"]
    hidden = world.catalogue[position.component]["hidden"]
    if hidden and ending == "failed":
        ending = "found failed"
    if ended < began or (began < watched and ended <= watched):
        return None
    clock = clock_of(position, began, ended, stays)
    if original and not is_young(position, world, clock, began, watched):
        return None
    sound = [day for day, _, worked, _ in looks if worked and began <= day <= ended]
    entry = began
    if began < watched:
        there = [day for day in sound if abs((day - watched).days) <= 31]
        entry = watched if not hidden else min(there, default=began)
    unseen = ending == "found failed" or (hidden and ending in ("running", "withdrawn"))
    low = max([*sound[-1:], entry]) if unseen else ended
    high = ended if ending in ("failed", "found failed") else None
    if low <= entry and (high or entry) <= entry:
        return None
    ages = [ages_on(clock, began, day, world) if day else (None, None) for day in (entry, low, high)]
    if ending == "condition":
        ages[2] = tuple(None if age is None else age / world.fraction for age in ages[1])
    months, hours = zip(*ages, strict=True)
    return (ended, *(None if age is None else round(age, 2) for age in (*hours, *months)), ending, spell["doubtful"])


def ages_on(clock: str | None, began: date, day: date, world: World) -> tuple[float | None, ...]:
    """Return the age on a day in months and in hours."""
    hours = None if clock is None else world.hours(clock, day) - world.hours(clock, began)
    return (day - began).days / DAYS_A_MONTH, hours


def clock_of(position: Position, began: date, ended: date, stays: list[Stay]) -> str | None:
    """Return the engine whose hours a life is counted in."""
    if position.carried_by == "engine":
        return position.carrier
    there = [stay for stay in stays if stay.vessel == position.carrier and stay.start <= ended and (stay.to is None or stay.to > began)]
    if len({stay.engine for stay in there}) != 1:
        return None
    first, last = min(stay.start for stay in there), max(stay.to or ended for stay in there)
    return there[0].engine if (first - began).days <= 60 and last >= ended else None


def is_young(position: Position, world: World, clock: str | None, born: date, watched: date) -> bool:
    """Whether the part that came with the carrier cannot have been renewed before it was watched."""
    plan = next((row for row in world.plan if row["component"] == position.component), None)
    if plan is None or (plan["every_h"] is None and plan["every_months"] is None):
        return False
    if plan["every_h"] is not None and (clock is None or world.hours(clock, watched) - world.hours(clock, born) >= plan["every_h"]):
        return False
    return plan["every_months"] is None or (watched - born).days / DAYS_A_MONTH < plan["every_months"]
