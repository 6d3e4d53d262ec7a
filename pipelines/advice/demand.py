"""How many renewals the positions of a part will need in a window of days: planned ones, failures, and damage from outside.

In: present parts with their interval in force, estimates, engine hours ahead, lives. Out: `Demand` in events, not yet in pieces.
Elsewhere: the counting (`renewal_counts`), sums and mixtures (`counts`), pieces and orders (`stock`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Estimate
from pipelines.advice.chances import matched
from pipelines.advice.counts import NOTHING, Demand, added, gamma_poisson, mixed_sum
from pipelines.advice.laws import representative
from pipelines.advice.present import DOWN
from pipelines.advice.renewal_counts import Steps, count_probabilities, life_masses
from pipelines.advice.seasons import Seasons
from pipelines.advice.use import DAYS_A_MONTH
from pipelines.fits.posterior import RANDOM, Block

LAWS = 60
STEPS = 40
_NEVER_FAILS = 1e15
_BEYOND = 10**9
_HALF = 0.5


@dataclass(frozen=True, eq=False)
class Window:
    """Positions over a window, on one clock: present age, what is left to the planned renewal, the planned age of new parts, the window."""

    age: Array
    left: Array
    planned: Array
    length: Array

    def part(self, rows: Steps) -> "Window":
        """Return some of the positions."""
        return Window(self.age[rows], self.left[rows], self.planned[rows], self.length[rows])


def event_demand(parts: pl.DataFrame, estimates: Sequence[Estimate], seasons: Seasons, lives: pl.DataFrame, days: float) -> Demand:
    """Events that will ask for a part within so many days, over the posterior.

    Parameters
    ----------
    parts
        Present parts of one component (`present.present_parts`) with every_h and every_months in force.
    estimates
        Laws; positions without any have planned renewals only.
    seasons
        Engine hours ahead.
    lives
        Lives of the component, for the rate of damage from outside.
    days
        The window.
    """
    if parts.is_empty() or days <= 0:
        return NOTHING
    hours, months = _windows(parts, seasons, days)
    unclaimed = np.ones(parts.height, dtype=bool)
    sums = [outside_damage(lives, parts.height, days)]
    for estimate, rows in matched(parts, [one for one in estimates if one.posterior is not None]):
        unclaimed[rows] = False
        sums.append(_events(_laws(estimate), hours.part(rows), months.part(rows)))
    if unclaimed.any():
        rows = np.flatnonzero(unclaimed)
        sums.append(_events([_never_failing(hours.part(rows))], hours.part(rows), months.part(rows)))
    return added(sums)


def outside_damage(lives: pl.DataFrame, positions: int, days: float) -> Demand:
    """Events of damage from outside, at the rate seen over all months that parts were watched; none where none was seen."""
    events = lives.filter(pl.col("ending") == "outside damage").height
    exposure = float(np.nansum((lives["low_months"] - lives["entry_months"]).cast(pl.Float64).to_numpy()))
    return gamma_poisson(events, exposure, positions * days / DAYS_A_MONTH) if events and exposure > 0 else NOTHING


def _laws(estimate: Estimate) -> list[Block]:
    return representative(estimate.posterior, LAWS) if estimate.posterior is not None else []


def _never_failing(hours: Window) -> Block:
    clock = "hours" if np.isfinite(hours.planned).any() and not np.isnan(hours.length).all() else "months"
    one = np.ones(1)
    return Block(RANDOM, "exponential", clock, one, _NEVER_FAILS * one, one)


def _events(blocks: Sequence[Block], hours: Window, months: Window) -> Demand:
    """Sum over positions under each law, mixed over the laws; laws on a clock that no position has are passed over."""
    usable = [(block, hours if block.clock == "hours" else months) for block in blocks]
    usable = [(block, window) for block, window in usable if not np.isnan(window.length).all()]
    if not usable:
        return NOTHING
    tables = [_block_counts(block, window) for block, window in usable]
    most = max(table.shape[-1] for table in tables)
    whole = np.concatenate([np.pad(table, ((0, 0), (0, 0), (0, most - table.shape[-1]))) for table in tables])
    weight = np.concatenate([block.weight for block, _ in usable])
    return mixed_sum(whole, weight / weight.sum())


def _block_counts(block: Block, window: Window) -> Array:
    """Probabilities of 0, 1, 2 ... events at each position under each law of a block."""
    step = max(float(np.nanmax(window.length)), 1e-9) / (STEPS + _HALF)
    edges = (np.arange(STEPS + 1) + _HALF) * step
    now = np.maximum(block.survival(window.age), 1e-300)
    ahead = block.survival((window.age[:, None] + edges).ravel()).reshape(block.weight.size, window.age.size, STEPS + 1)
    first = life_masses(ahead / now[:, :, None], _in_steps(window.left, step))
    planned = _in_steps(window.planned, step)
    new = block.survival(edges)
    tables = []
    for one in np.unique(planned):
        rows = np.flatnonzero(planned == one)
        tables.append((rows, count_probabilities(first[:, rows], life_masses(new, one), window.length[rows] / step)))
    most = max(table.shape[-1] for _, table in tables)
    whole = np.zeros((block.weight.size, window.age.size, most))
    for rows, table in tables:
        whole[:, rows, : table.shape[-1]] = table
    return whole


def _in_steps(ages: Array, step: float) -> Steps:
    return np.where(np.isfinite(ages), np.rint(np.minimum(np.maximum(ages, 0) / step, _BEYOND)), _BEYOND).astype(np.intp)


def _windows(parts: pl.DataFrame, seasons: Seasons, days: float) -> tuple[Window, Window]:
    """Read the positions on both clocks; a position whose hours are not known has the mean of the others."""
    length_h = _filled(seasons.hours_by(parts["hours_engine_id"].to_list(), days))
    length_m = np.full(parts.height, days / DAYS_A_MONTH)
    pace = length_h / length_m
    every_h, every_m = (parts[name].cast(pl.Float64).fill_null(np.inf).to_numpy() for name in ("every_h", "every_months"))
    with np.errstate(divide="ignore", invalid="ignore"):
        on_hours = np.fmin(every_h, every_m * pace)
        on_months = np.fmin(every_m, np.where(pace > 0, every_h / pace, np.inf))
    age_m = _known_age(parts, "age_months", on_months)
    age_h = _known_age(parts, "age_h", on_hours)
    age_h = np.where(parts["age_h"].is_null().to_numpy() & parts["age_months"].is_not_null().to_numpy(), age_m * pace, age_h)
    with np.errstate(divide="ignore", invalid="ignore"):
        left_h = np.fmin(every_h - age_h, (every_m - age_m) * pace)
        left_m = np.fmin(every_m - age_m, np.where(pace > 0, (every_h - age_h) / pace, np.inf))
    down = (parts["state"] == DOWN).to_numpy()
    left_h, left_m = (np.where(down, 0.0, np.where(np.isnan(left), np.inf, left)) for left in (left_h, left_m))
    return Window(age_h, left_h, on_hours, length_h), Window(age_m, left_m, on_months, length_m)


def _filled(hours: Array) -> Array:
    return np.where(np.isnan(hours), np.nanmean(hours), hours) if not np.isnan(hours).all() else hours


def _known_age(parts: pl.DataFrame, name: str, planned: Array) -> Array:
    """Age of each part; where it is not known, half the planned interval, or new where there is none."""
    age = parts[name].cast(pl.Float64).fill_null(np.nan).to_numpy()
    half = np.where(np.isfinite(planned), planned * _HALF, 0.0)
    return np.where(np.isnan(age), half, age)
