"""Every life of every part, from fitting to its end, as it truly went.

In: a fleet, its use, the truths of its parts. Out: `live_parts`, one frame of lives with true days, and `positions_of`.
Whichever comes first ends a life: failure, the plan, a look that sees wear, a part opened with another, outside damage,
the engine or boat leaving. A failure is a call, a report of the crew, or a find at the next visit.
Elsewhere: what the yard and the call log write of it (`tickets`, `calls`).
"""

from dataclasses import dataclass

import numpy as np
import polars as pl

from sample_fleet.chance import Chance, Flags, Floats, Ints
from sample_fleet.clocks import FAR, Days, HoursClock
from sample_fleet.fleet import MODELS, Fleet
from sample_fleet.truths import DAYS_A_MONTH, PartTruth
from sample_fleet.use import Use

ENDINGS = ("running", "withdrawn", "called", "reported", "found failed", "planned", "condition", "opportunistic", "outside damage")
RUNNING, WITHDRAWN, CALLED, REPORTED, FOUND, PLANNED, CONDITION, OPPORTUNISTIC, OUTSIDE = range(len(ENDINGS))
EARLY_PLAN, SKIPPED, OPENED_TOO = 0.93, 0.08, 0.3
WEAR_SHOWS_FROM = 0.85


@dataclass(frozen=True)
class Positions:
    """Positions of one component, one entry each; a carrier is a place in the list of engines or of boats."""

    carrier: Ints
    name: list[str]
    began: Floats
    ended: Floats
    factor: Floats


@dataclass(frozen=True)
class Workshop:
    """What surrounds the positions of one component: its clock, the visits to the yard, openings by other work."""

    part: PartTruth
    clock: HoursClock
    visits: Days
    openings: Days
    last: int


def live_parts(fleet: Fleet, use: Use, parts: tuple[PartTruth, ...], seed: int) -> pl.DataFrame:
    """Return one row per life.

    Columns: component, carried_by, carrier, position, began and ended (days; `ended` is when it was known), next_began (day of the
    renewal; empty if there was none), failed (true day of failure, empty if none), worn_from (day from which wear shows),
    ending (a word of `ENDINGS`), bad_fit (it died of a bad fitting).
    """
    frames: list[pl.DataFrame] = []
    for part in parts:
        on_engine = part.carried_by == "engine"
        clock, visits = (use.engine_hours, use.engine_visits) if on_engine else (use.boat_hours, use.boat_visits)
        workshop = Workshop(part, clock, visits, _openings(part, frames, visits.carriers), fleet.last)
        positions = positions_of(part, fleet)
        if positions.name:
            frames.append(_live(workshop, positions, Chance(seed, f"lives of {part.component}")))
    return pl.concat(frames)


def positions_of(part: PartTruth, fleet: Fleet) -> Positions:
    """Enumerate where a component sits, with the factor on its scales there."""
    rows: list[tuple[int, str, float, float, float]] = []
    for carrier, (vessel, model, began, ended) in enumerate(carriers_of(part, fleet)):
        drive, fuel, _ = MODELS[model]
        if (part.drives and drive not in part.drives) or (part.fuels and fuel not in part.fuels):
            continue
        boat = fleet.boats[vessel]
        factor = part.factor({"engine_model": model, "water": boat.water, "fuel_source": boat.fuel_source, "bottom": boat.bottom})
        rows += [(carrier, name, began, ended, factor) for name in part.positions.get(boat.vessel_class, ("",))]
    carrier, names, began, ended, factors = zip(*rows, strict=True) if rows else ((),) * 5
    return Positions(np.array(carrier, dtype=np.int64), list(names), *(np.array(column, dtype=float) for column in (began, ended, factors)))


def carriers_of(part: PartTruth, fleet: Fleet) -> list[tuple[int, str, float, float]]:
    """Return (boat, engine model, first day, last day) of each engine or boat, by what carries the part."""
    last_stay = {stay.engine: stay.vessel for stay in fleet.stays}
    if part.carried_by == "engine":
        return [(last_stay[at], each.model, each.commissioned, each.withdrawn or fleet.last) for at, each in enumerate(fleet.engines)]
    models = {each.vessel: each.model for each in reversed(fleet.engines)}
    return [(at, models[at], boat.in_service, boat.withdrawn or fleet.last) for at, boat in enumerate(fleet.boats)]


def _openings(part: PartTruth, before: list[pl.DataFrame], carriers: int) -> Days:
    """Return the days on which renewals of the component that this one is opened with were done."""
    days = [frame for frame in before if part.opened_with and frame["component"][0] == part.opened_with]
    if not days:
        return Days.from_lists([[] for _ in range(carriers)])
    done = days[0].drop_nulls("next_began").sort("carrier", "next_began")
    return Days(done["carrier"].to_numpy(), done["next_began"].to_numpy(), carriers)


def _live(workshop: Workshop, positions: Positions, chance: Chance) -> pl.DataFrame:
    """Run all positions from one renewal to the next until none is left."""
    alive, began = np.arange(len(positions.carrier)), positions.began.copy()
    rounds: list[dict[str, np.ndarray]] = []
    while len(alive):
        each = _one_round(workshop, positions, alive, began, chance)
        rounds.append(each)
        again = np.isfinite(each["next_began"])
        alive, began = alive[again], each["next_began"][again]
    return _as_frame(workshop.part, positions, {name: np.concatenate([each[name] for each in rounds]) for name in rounds[0]})


def _as_frame(part: PartTruth, positions: Positions, columns: dict[str, np.ndarray]) -> pl.DataFrame:
    at = columns["at"]
    return pl.DataFrame(
        {
            "component": pl.repeat(part.component, len(at), eager=True),
            "carried_by": pl.repeat(part.carried_by, len(at), eager=True),
            "carrier": positions.carrier[at],
            "position": pl.Series(positions.name, dtype=pl.String).gather(pl.Series(at, dtype=pl.UInt32)),
            "began": columns["began"],
            "ended": columns["ended"],
            "next_began": columns["next_began"],
            "failed": columns["failed"],
            "worn_from": columns["worn_from"],
            "ending": pl.Series(ENDINGS).gather(pl.Series(columns["ending"], dtype=pl.UInt32)),
            "bad_fit": columns["bad_fit"],
        }
    ).with_columns(pl.col("next_began", "failed").fill_nan(None))


def _one_round(workshop: Workshop, positions: Positions, at: Ints, began: Floats, chance: Chance) -> dict[str, np.ndarray]:
    """Take one life of each living position to its end."""
    part, carrier, leaves = workshop.part, positions.carrier[at], positions.ended[at]
    failed, bad_fit = _failure(workshop, carrier, began, leaves, positions.factor[at], chance)
    worn_from = began + (failed - began) * chance.uniform(len(at), WEAR_SHOWS_FROM, 1.0)
    known, how = _comes_to_light(workshop, carrier, failed, chance)
    days = np.stack(
        [
            leaves,
            known,
            _planned(workshop, carrier, began, chance),
            _seen_worn(workshop, carrier, worn_from, failed, chance),
            _opened(workshop, carrier, began, chance),
            _outside(workshop, carrier, began, chance),
        ]
    )
    first = np.argmin(days, axis=0)
    gone = np.where(leaves >= workshop.last, RUNNING, WITHDRAWN)
    ending = np.choose(
        first, [gone, how, np.full(len(at), PLANNED), *(np.full(len(at), kind) for kind in (CONDITION, OPPORTUNISTIC, OUTSIDE))]
    )
    ending = np.where((ending >= PLANNED) & (failed <= days.min(axis=0)), FOUND, ending)
    ended = days.min(axis=0)
    wait = np.where(np.isin(ending, (CALLED, REPORTED, OUTSIDE)), np.floor(4 * chance.uniform(len(at)) ** 2), 0.0)
    renewed = np.where((ending >= CALLED) & (ended + wait < leaves), np.ceil(ended + wait), np.nan)
    happened = np.where(failed <= ended, failed, np.nan)
    return {
        "at": at,
        "began": began,
        "ended": ended,
        "next_began": renewed,
        "failed": happened,
        "worn_from": worn_from,
        "ending": ending,
        "bad_fit": bad_fit & np.isfinite(happened) & (part.early_share > 0),
    }


def _failure(workshop: Workshop, carrier: Ints, began: Floats, leaves: Floats, factor: Floats, chance: Chance) -> tuple[Floats, Flags]:
    """Return the day each life would fail and whether bad fitting is why; found by halving, as the clocks have no inverse together."""
    part, clock = workshop.part, workshop.clock
    began_h, target = clock.hours_at(carrier, began), chance.exponential(len(carrier))

    def hazard(day: Floats) -> Floats:
        return part.cumulative_hazard(clock.hours_at(carrier, day) - began_h, (day - began) / DAYS_A_MONTH, factor)

    low, high = began.copy(), leaves.copy()
    lasts = hazard(high) < target
    for _ in range(32):
        middle = (low + high) / 2
        over = hazard(middle) >= target
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    worn = np.where(lasts, FAR, high)
    bad = chance.whether(len(carrier), part.early_share)
    early = clock.day_at(carrier, began_h + part.early_mean_h * chance.exponential(len(carrier)))
    dies_early = bad & (early < worn)
    return np.where(dies_early, early, worn), dies_early


def _comes_to_light(workshop: Workshop, carrier: Ints, failed: Floats, chance: Chance) -> tuple[Floats, Ints]:
    """Return the day a failure is known and how: a call, the crew, or the next visit. Laid up, it waits for the visit."""
    part, draw = workshop.part, chance.uniform(len(carrier))
    running = workshop.clock.in_use(carrier, np.minimum(failed, workshop.last))
    visit = workshop.visits.nth_after(carrier, np.minimum(failed, FAR))
    called, reported = running & (draw < part.under_way), running & (draw < part.under_way + part.noticed)
    how = np.where(called, CALLED, np.where(reported, REPORTED, FOUND))
    at_once = np.minimum(failed + (chance.uniform(len(carrier)) * np.minimum(visit - failed, 60) if part.hidden else 0.0), FAR)
    return np.where(how == FOUND, visit, at_once), how


def _planned(workshop: Workshop, carrier: Ints, began: Floats, chance: Chance) -> Floats:
    """Return the visit that renews by the plan: the first near enough to it, or now and then the one after."""
    part, clock, due = workshop.part, workshop.clock, np.full(len(carrier), FAR)
    skipped = chance.whether(len(carrier), SKIPPED).astype(np.int64)
    if part.plan_h is not None:
        due = clock.day_at(carrier, clock.hours_at(carrier, began) + EARLY_PLAN * part.plan_h)
    if part.plan_months is not None:
        due = np.minimum(due, began + EARLY_PLAN * part.plan_months * DAYS_A_MONTH)
    return workshop.visits.nth_after(carrier, due, skipped)


def _seen_worn(workshop: Workshop, carrier: Ints, worn_from: Floats, failed: Floats, chance: Chance) -> Floats:
    """Return the visit that sees wear and renews for it, if there is one before the failure."""
    if not workshop.part.condition_chance:
        return np.full(len(carrier), FAR)
    tries = np.floor(-chance.exponential(len(carrier)) / np.log(1 - workshop.part.condition_chance)).astype(np.int64)
    visit = workshop.visits.nth_after(carrier, worn_from, tries)
    return np.where(visit < failed, visit, FAR)


def _opened(workshop: Workshop, carrier: Ints, began: Floats, chance: Chance) -> Floats:
    """Return the day it is renewed because other work laid it open, once half its interval is run."""
    part = workshop.part
    if not part.opened_with or part.plan_months is None:
        return np.full(len(carrier), FAR)
    opening = workshop.openings.nth_after(carrier, began + 0.5 * part.plan_months * DAYS_A_MONTH)
    return np.where(chance.whether(len(carrier), OPENED_TOO), opening, FAR)


def _outside(workshop: Workshop, carrier: Ints, began: Floats, chance: Chance) -> Floats:
    """Return the day it is damaged from outside."""
    if not workshop.part.outside_mean_h:
        return np.full(len(carrier), FAR)
    hours = workshop.clock.hours_at(carrier, began) + workshop.part.outside_mean_h * chance.exponential(len(carrier))
    return workshop.clock.day_at(carrier, hours)
