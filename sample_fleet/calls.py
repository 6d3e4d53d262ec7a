"""Rescue calls as they truly were, before the log of them went astray.

In: lives, causes, use. Out: `rescue_calls`, one row per call with its true cause; days are floats since 1970.
Elsewhere: what the log holds of it (`mess`).
"""

from datetime import date

import numpy as np
import polars as pl

from pipelines.terms.causes import CAUSES
from sample_fleet.chance import Chance, Floats
from sample_fleet.clocks import HoursClock
from sample_fleet.fleet import MODELS, Fleet
from sample_fleet.truths import CauseTruth, PartTruth
from sample_fleet.use import Use
from sample_fleet.whereabouts import Whereabouts

STRIKES_CALLED = 0.8
LESSER_CAUSES = (
    ("fuel filter blocked", "water-separating fuel filter", 0.10),
    ("belt broken", "drive belt", 0.06),
    ("loose connector or wet plug", "wiring", 0.25),
)
SCHEMA = ("day", "boat", "engine", "cause", "component", "outcome", "life")


def rescue_calls(
    fleet: Fleet, lives: pl.DataFrame, parts: tuple[PartTruth, ...], causes: tuple[CauseTruth, ...], use: Use, where: Whereabouts, seed: int
) -> pl.DataFrame:
    """Return all calls since the call log began, in order: failed parts, operation, and small troubles put right aboard."""
    chance = Chance(seed, "calls")
    calls = pl.concat([_of_parts(lives, parts, where, chance), _of_operation(fleet, causes, use, where, chance)])
    begin = pl.Series([boat.calls_from for boat in fleet.boats])
    calls = calls.filter(pl.col("day") >= begin.gather(calls["boat"]), pl.col("day") < fleet.last)
    calls = calls.sort("day", "boat", "cause")
    return calls.with_columns(
        pl.Series("symptom", _symptoms(calls["cause"], chance)),
        pl.Series("hour", np.round(chance.uniform(len(calls), 9.5, 18.9), 2)),
        pl.Series("downtime_h", np.round(2 + 9 * chance.exponential(len(calls)), 1)),
        pl.Series("cost", np.round(60 + 160 * chance.exponential(len(calls)))),
        pl.Series("meter_h", where.meter_of(calls["engine"].to_numpy(), calls["day"].to_numpy())),
    )


def _of_parts(lives: pl.DataFrame, parts: tuple[PartTruth, ...], where: Whereabouts, chance: Chance) -> pl.DataFrame:
    known = {part.component: part for part in parts}
    struck = (lives["ending"] == "outside damage").to_numpy() & chance.whether(len(lives), STRIKES_CALLED)
    called = lives.with_row_index("life").filter((pl.col("ending") == "called") | pl.Series(struck, dtype=pl.Boolean))
    carrier, day = called["carrier"].to_numpy(), called["ended"].to_numpy()
    on_engine = (called["carried_by"] == "engine").to_numpy()
    boat = np.where(on_engine, where.boat_of(np.where(on_engine, carrier, 0), day), carrier)
    engine = np.where(on_engine, carrier, where.engine_of(boat, day))
    cause = [
        known[word].outside_cause if ending == "outside damage" else known[word].cause
        for word, ending in called.select("component", "ending").iter_rows()
    ]
    outcome = np.array(["towed", "returned alone", "swapped boat"])[chance.pick(len(called), (0.8, 0.12, 0.08))]
    return pl.DataFrame(
        {
            "day": day,
            "boat": boat,
            "engine": engine,
            "cause": pl.Series(cause, dtype=pl.String),
            "component": called["component"],
            "outcome": pl.Series(outcome, dtype=pl.String),
            "life": called["life"].cast(pl.Int64),
        }
    )


def _of_operation(fleet: Fleet, causes: tuple[CauseTruth, ...], use: Use, where: Whereabouts, chance: Chance) -> pl.DataFrame:
    """Draw calls month by month for each boat, at the rate of each cause there and then."""
    frames = []
    lesser = tuple(CauseTruth(cause, rate, fixed_aboard=1.0) for cause, _, rate in LESSER_CAUSES)
    components = {cause: component for cause, component, _ in LESSER_CAUSES}
    for cause in (*causes, *lesser):
        boat, day = _moments(_expected(fleet, cause, use.boat_hours), use.boat_hours, chance)
        engine = where.engine_of(boat, day)
        aboard = chance.whether(len(boat), cause.fixed_aboard)
        component = components.get(cause.cause, "") if cause in lesser else ""
        frame = {
            "day": day,
            "boat": boat,
            "engine": engine,
            "cause": pl.repeat(cause.cause, len(boat), eager=True),
            "component": pl.repeat(component, len(boat), eager=True),
            "outcome": pl.Series(np.where(aboard, "fixed aboard", "towed"), dtype=pl.String),
            "life": pl.repeat(-1, len(boat), dtype=pl.Int64, eager=True),
        }
        frames.append(pl.DataFrame(frame).filter(_has_it(component, frame["engine"], fleet)))
    return pl.concat(frames)


def _has_it(component: str, engine: np.ndarray, fleet: Fleet) -> pl.Series:
    """Return which engines have a component that small troubles are about; only the belt is not on all."""
    inside = np.array([MODELS[each.model][0] != "outboard" for each in fleet.engines])
    return pl.Series(inside[engine] if component == "drive belt" else np.ones(len(engine), dtype=bool), dtype=pl.Boolean)


def _expected(fleet: Fleet, cause: CauseTruth, clock: HoursClock) -> Floats:
    """Return expected calls by boat and month, shape (boats, months)."""
    days = [date.fromordinal(719163 + int(day)) for day in clock.grid[:-1]]
    by_base = np.array([cause.by_base.get(boat.base, 1.0) for boat in fleet.boats])
    by_month = np.array([cause.by_month.get(day.month, 1.0) * cause.yearly_drift ** max(day.year - fleet.first_season, 0) for day in days])
    return np.diff(clock.cumulative, axis=1) * cause.rate / 1000 * by_base[:, None] * by_month[None, :]


def _moments(expected: Floats, clock: HoursClock, chance: Chance) -> tuple[np.ndarray, Floats]:
    counts = chance.counts(expected)
    boat, month = np.nonzero(counts)
    repeats = counts[boat, month]
    boat, month = np.repeat(boat, repeats), np.repeat(month, repeats)
    return boat, clock.grid[month] + chance.uniform(len(boat)) * (clock.grid[month + 1] - clock.grid[month])


def _symptoms(causes: pl.Series, chance: Chance) -> list[str]:
    """Return what the caller saw: mostly the usual symptom of the cause; without a cause, that it stopped."""
    draws, symptoms = chance.uniform(len(causes)), []
    for cause, draw in zip(causes, draws, strict=True):
        shown = CAUSES[cause].symptoms if cause in CAUSES else ()
        shown = shown or ("stops under way", "loses power")
        symptoms.append(shown[0] if draw < 0.75 else shown[-1])
    return symptoms
