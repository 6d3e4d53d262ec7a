"""How many renewals the positions of a part will need in a window of days: planned ones, failures, and damage from outside.

In: present parts with their interval in force, estimates, engine hours ahead, lives. Out: `Demand` in events, not yet in pieces.
Elsewhere: the counting (`renewal_counts`), sums and mixtures (`counts`), pieces and orders (`stock`).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce

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
from pipelines.fits.ages import CLOCKS
from pipelines.fits.posterior import RANDOM, Block
from pipelines.fits.two_clock_block import BOTH

LAWS = 60
STEPS = 40
NEVER_FAILS = Block(RANDOM, "exponential", "months", np.ones(1), np.full(1, 1e15), np.ones(1))
"""Stands in where no law is known: planned renewals only."""

_HALF = 0.5
_LEAST, _GONE = 1e-9, 1e-300
_ALIKE = np.log(1.3)


@dataclass(frozen=True, eq=False)
class Ahead:
    """Positions over a window of days.

    Attributes
    ----------
    age, length
        {clock: shape (p,)}: present age of each part, and units of the clock that the window holds; not a number: not known.
    left, planned
        Shape (p,), in windows: what is left to the planned renewal of the part in place, and the planned age of new ones, whichever clock
        comes first; infinite: none.
    """

    age: dict[str, Array]
    length: dict[str, Array]
    left: Array
    planned: Array

    def part(self, rows: Steps) -> "Ahead":
        """Return some of the positions."""
        age, length = ({clock: held[rows] for clock, held in both.items()} for both in (self.age, self.length))
        return Ahead(age, length, self.left[rows], self.planned[rows])

    def is_known(self, clock: str) -> bool:
        """Whether a clock runs at these positions; `both`: whether either does."""
        return not any(np.isnan(self.length[one]).any() for one in (CLOCKS if clock == BOTH else (clock,)))


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
    ahead = _ahead(parts, seasons, days)
    unclaimed = np.ones(parts.height, dtype=bool)
    sums = [outside_damage(lives, parts.height, days)]
    for estimate, rows in matched(parts, [one for one in estimates if one.posterior is not None]):
        unclaimed[rows] = False
        sums.append(_events(_laws(estimate), ahead.part(rows)))
    if unclaimed.any():
        rows = np.flatnonzero(unclaimed)
        sums.append(_events([NEVER_FAILS], ahead.part(rows)))
    return added(sums)


def outside_damage(lives: pl.DataFrame, positions: int, days: float) -> Demand:
    """Events of damage from outside, at the rate seen over all months that parts were watched; none where none was seen."""
    events = lives.filter(pl.col("ending") == "outside damage").height
    exposure = float(np.nansum((lives["low_months"] - lives["entry_months"]).cast(pl.Float64).to_numpy()))
    return gamma_poisson(events, exposure, positions * days / DAYS_A_MONTH) if events and exposure > 0 else NOTHING


def _laws(estimate: Estimate) -> list[Block]:
    return representative(estimate.posterior, LAWS) if estimate.posterior is not None else []


def _events(blocks: Sequence[Block], ahead: Ahead) -> Demand:
    """Sum over positions under each law, mixed over the laws; laws on a clock that does not run here are passed over."""
    by_clock = {clock: [block for block in blocks if block.clock == clock] for clock in (*CLOCKS, BOTH) if ahead.is_known(clock)}
    usable = {clock: laws for clock, laws in by_clock.items() if laws}
    if not usable:
        return NOTHING
    tables = [_counts(laws, CLOCKS if clock == BOTH else (clock,), ahead) for clock, laws in usable.items()]
    most = max(table.shape[-1] for table in tables)
    whole = np.concatenate([np.pad(table, ((0, 0), (0, 0), (0, most - table.shape[-1]))) for table in tables])
    weight = np.concatenate([block.weight for laws in usable.values() for block in laws])
    return mixed_sum(whole, weight / weight.sum())


def _counts(laws: Sequence[Block], clocks: Iterable[str], ahead: Ahead) -> Array:
    """Probabilities of 0, 1, 2 ... events at each position under each law, the laws reading these clocks.

    Each position has a lattice of its own, its window being the whole of it. The part in place is read exactly; new parts of positions with
    nearly the same window are read together.
    """
    length = {clock: np.maximum(ahead.length[clock], _LEAST) for clock in clocks}
    edges = (np.arange(STEPS + 1) + _HALF) / (STEPS + _HALF)
    now = np.maximum(_survival(laws, {clock: ahead.age[clock] for clock in length}), _GONE)
    later = {clock: (ahead.age[clock][:, None] + edges * held[:, None]).ravel() for clock, held in length.items()}
    then = _survival(laws, later).reshape(*now.shape, STEPS + 1)
    first = life_masses(then / now[:, :, None], _in_steps(ahead.left))
    planned = np.maximum(_in_steps(ahead.planned), 1)
    alike = np.stack([planned, *(np.rint(np.log(held) / _ALIKE).astype(np.intp) for held in length.values())], axis=1)
    tables = np.zeros((*now.shape, 2))
    for one in np.unique(alike, axis=0):
        rows = np.flatnonzero((alike == one).all(axis=1))
        new = life_masses(_survival(laws, {clock: edges * held[rows].mean() for clock, held in length.items()}), int(one[0]))
        table = count_probabilities(first[:, rows], new)
        tables = np.pad(tables, ((0, 0), (0, 0), (0, max(0, table.shape[-1] - tables.shape[-1]))))
        tables[:, rows, : table.shape[-1]] = table
    return tables


def _survival(laws: Sequence[Block], ages: Mapping[str, Array]) -> Array:
    return np.vstack([block.survival_of(ages) for block in laws])


def _in_steps(windows: Array) -> Steps:
    """Turn windows into steps; whatever lies beyond the lattice is beyond it by one."""
    steps = np.minimum(np.maximum(windows, 0) * (STEPS + _HALF), STEPS + 1)
    return np.rint(steps).astype(np.intp)


def _ahead(parts: pl.DataFrame, seasons: Seasons, days: float) -> Ahead:
    """Read the positions; one whose hours are not known has the mean of the others."""
    length = {
        "hours": _filled(seasons.hours_by(parts["hours_engine_id"].to_list(), days)),
        "months": np.full(parts.height, days / DAYS_A_MONTH),
    }
    every, age = ({clock: _column(parts, f"{stem}_{ending}") for clock, ending in CLOCKS.items()} for stem in ("every", "age"))
    with np.errstate(divide="ignore", invalid="ignore"):
        planned = _first(every[clock] / length[clock] for clock in CLOCKS)
        known = {clock: np.where(np.isnan(age[clock]), _likely(age, length, clock, planned), age[clock]) for clock in CLOCKS}
        left = _first((every[clock] - known[clock]) / length[clock] for clock in CLOCKS)
    down = (parts["state"] == DOWN).to_numpy()
    return Ahead(known, length, np.where(down, 0.0, left), planned)


def _column(parts: pl.DataFrame, name: str) -> Array:
    return parts[name].cast(pl.Float64).fill_null(np.nan).to_numpy()


def _filled(hours: Array) -> Array:
    return np.where(np.isnan(hours), np.nanmean(hours), hours) if not np.isnan(hours).all() else hours


def _first(windows: Iterable[Array]) -> Array:
    """Least of what is known; infinite where nothing is."""
    least = reduce(np.fmin, windows)
    return np.where(np.isnan(least), np.inf, least)


def _likely(age: dict[str, Array], length: dict[str, Array], clock: str, planned: Array) -> Array:
    """Age where it is not known on a clock: read from the other clock, else half the planned interval, else new."""
    other = "months" if clock == "hours" else "hours"
    carried = age[other] * length[clock] / length[other]
    half = np.where(np.isfinite(planned), planned * _HALF * length[clock], 0.0)
    return np.where(np.isfinite(carried), carried, half)
