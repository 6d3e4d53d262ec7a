"""The rules of lives told a second time: one position after the other, one event after the other, in plain Python.

In: `reference_records.World`, with pairs of call and ticket, and hours of an engine on a day. Out: `reference_lives`, {life: what is told}.
It shares no code with the SQL files and is slow; a seeded test holds the two against each other.
"""

from collections import defaultdict
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from tests.lives.reference_records import (
    Job,
    Position,
    Row,
    Stay,
    Turn,
    World,
    counted_calls,
    place_jobs,
    place_lost,
    positions_of,
    stays_of,
)

Told = tuple[Any, ...]
DAYS_A_MONTH = 365.25 / 12
YOUNG = 0.75
WORKING = ("sound", "worn", "no fault found")


def reference_lives(world: World) -> dict[str, Told]:
    """Return {(carrier, component, position, day it began): (ended, entry, low, high in hours, in months, ending, doubtful)}."""
    stays = stays_of(world)
    positions = positions_of(world, stays)
    by_part = defaultdict(list)
    for position in positions:
        by_part[position.carried_by, position.carrier, position.component].append(position)
    heads = counted_calls(world, stays)
    place_jobs(world, stays, by_part, heads)
    place_lost(world, stays, heads, by_part)
    told: dict[str, Told] = {}
    for position in positions:
        told |= lives_at(position, world, stays, heads)
    return told


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
    towed = call.get("outcome") not in ("fixed aboard", "nothing done")
    shows = (
        certainty == "certain" and not call.get("part") and not call.get("cause") and towed and finding not in ("sound", "no fault found")
    )
    outside = finding == "outside damage" or world.causes.get(job.cause or "", {}).get("effect") == "outside damage"
    if outside or (names and call["effect"] == "outside damage"):
        ending = "outside damage"
    elif reason == "failed" or (names and call["effect"] == "failure") or shows or (finding == "failed" and certainty == "certain"):
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
    if plan["every_h"] is not None and (clock is None or world.hours(clock, watched) - world.hours(clock, born) >= YOUNG * plan["every_h"]):
        return False
    return plan["every_months"] is None or (watched - born).days / DAYS_A_MONTH < YOUNG * plan["every_months"]
