"""A season foretold: failures and condition renewals of each part at each base, with all that is in doubt.

In: what is known on the day before (positions, lives, laws, use), the days ahead. Out: `Forecast`, one a part and base. Three doubts widen
it: the laws of the part (its posterior), how much the boats will be out (a factor that all parts share), and how many of the parts that
come to an end are caught in time. Parts are renewed as the yard has renewed so far (`habits`), not as the plan says.
Elsewhere: counting (`failure_counts`), marking it when the season is over (`marks`), all renewals for the shelf (`demand`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import FAILED, ON_CONDITION, Estimate, Fleet
from pipelines.advice.chances import matched
from pipelines.advice.counts import NOTHING, Demand, added, mixed_sum
from pipelines.advice.current_plan import with_interval
from pipelines.advice.failure_counts import MOST, counts_in_place, ending_masses, new_part_counts, thinned
from pipelines.advice.habits import Habit, habits
from pipelines.advice.laws import representative
from pipelines.advice.present import DOWN, RUNNING, present_parts
from pipelines.advice.seasons import Seasons
from pipelines.advice.use import DAYS_A_MONTH
from pipelines.fits.ages import CLOCKS
from pipelines.fits.blocks import Block
from pipelines.fits.two_clock_block import BOTH

LAWS, STEPS = 60, 24
_HALF = 0.5
EDGES = np.concatenate([[0.0], (np.arange(STEPS + 1) + _HALF) / (STEPS + _HALF)])
Rows = NDArray[np.intp]
LEVELS = np.array([-1.40, -0.53, 0.0, 0.53, 1.40])
"""Means of the five fifths of a standard normal distribution: the levels at which shared doubts are read."""
_OTHERWISE = (2, 4, 1, 0, 3)
_GONE, _LEAST, _HARDLY = 1e-300, 1e-9, 0.01
LEAST_WATCHED = 0.5
"""Share of the window's part-months that lives of a part were watched before; from less nothing is foretold."""
_ALIKE = np.log(1.6)
FAILURES, CONDITION = "failures", "condition renewals"


@dataclass(frozen=True, eq=False)
class Forecast:
    """Counts of one sort of one part at one base: a distribution at each level of the shared doubt, each as likely."""

    component: str
    base: str | None
    sort: str
    levels: tuple[Demand, ...]

    @property
    def demand(self) -> Demand:
        """The distribution over all levels."""
        return over_levels(self.levels)


def over_levels(levels: Sequence[Demand]) -> Demand:
    """Mix distributions that are as likely as one another."""
    size = max(one.probability.size for one in levels)
    return Demand(np.mean([np.pad(one.probability, (0, size - one.probability.size)) for one in levels], axis=0))


def fleet_total(forecasts: Sequence[Forecast]) -> Demand:
    """Return the sum over forecasts: at each level independent, the level shared by all."""
    if not forecasts:
        return NOTHING
    return over_levels([added([one.levels[level] for one in forecasts]) for level in range(LEVELS.size)])


def foretell(
    fleet: Fleet, lives: pl.DataFrame, estimates: Sequence[Estimate], seasons: Seasons, days: float, use_sd: float, caught: float
) -> list[Forecast]:
    """Foretell so many days for every part and base.

    Parameters
    ----------
    fleet, lives, estimates, seasons
        As known on the day before.
    days
        Length of the window.
    use_sd
        Standard deviation of the logarithm of how much a season's use differs from what was expected.
    caught
        Where in its life, as a share, a part renewed on condition stands at least (`condition_fraction` of the settings).
    """
    present = with_interval(present_parts(fleet.positions, lives, fleet.engine_use, fleet.fitted_now), fleet.plan, fleet.limits)
    yard = habits(with_interval(lives, fleet.plan, fleet.limits))
    made: list[Forecast] = []
    present = present.filter(pl.col("component").is_in(_watched_enough(lives, present, days)))
    for (component, base), parts in present.sort("component", "base").group_by("component", "base", maintain_order=True):
        laws = [one for one in estimates if one.component == component and one.posterior is not None]
        share = caught_share(lives.filter(pl.col("component") == component))
        window = _window(parts, seasons, days, yard.get(str(component), yard[""]))
        doubt = _Doubt(use_sd, *share, caught)
        made += _foretold(str(component), None if base is None else str(base), window, list(matched(parts, laws)), doubt)
    return made


def _watched_enough(lives: pl.DataFrame, present: pl.DataFrame, days: float) -> list[str]:
    """Return the parts whose lives were watched long enough to foretell from; the prior alone would foretell of the others."""
    seen = lives.group_by("component").agg((pl.col("low_months") - pl.col("entry_months")).sum().alias("months"))
    wanted = present.group_by("component").agg((pl.len() * (days / DAYS_A_MONTH * LEAST_WATCHED)).alias("least"))
    return seen.join(wanted, on="component").filter(pl.col("months") >= pl.col("least"))["component"].to_list()


@dataclass(frozen=True)
class _Doubt:
    """What all laws share: doubt about use, share of ends that are caught in time (mean, sd), where in its life a caught part stands."""

    use_sd: float
    share: float
    share_sd: float
    caught: float

    def use(self, level: int) -> float:
        """Return how many times the expected use is taken at a level."""
        return float(np.exp(self.use_sd * LEVELS[level]))

    def caught_share(self, level: int) -> float:
        """Return the share caught in time at a level; the levels stand in another order than those of use."""
        return float(np.clip(self.share + self.share_sd * LEVELS[_OTHERWISE[level]], 0.0, 1.0))


@dataclass(frozen=True, eq=False)
class _Window:
    """Positions over the window.

    `age`, `length` and `every` are {clock: shape (p,)}; `state` is words; an age that is not known is filled in, `unseen` says where.
    """

    age: dict[str, Array]
    length: dict[str, Array]
    every: dict[str, Array]
    down: NDArray[np.bool_]
    unseen: NDArray[np.bool_]
    habit: Habit

    def part(self, rows: Rows) -> "_Window":
        """Return some of the positions."""
        age, length, every = ({clock: held[rows] for clock, held in both.items()} for both in (self.age, self.length, self.every))
        return _Window(age, length, every, self.down[rows], self.unseen[rows], self.habit)

    def mean_of(self, rows: Rows) -> "_Window":
        """Return one position with a new part, its window the mean of some positions, its interval that of the first."""
        age = {clock: np.zeros(1) for clock in self.age}
        length = {clock: np.array([held[rows].mean()]) for clock, held in self.length.items()}
        every = {clock: held[rows[:1]] for clock, held in self.every.items()}
        return _Window(age, length, every, np.zeros(1, dtype=bool), np.zeros(1, dtype=bool), self.habit)

    def alike(self) -> list[Rows]:
        """Give the positions in groups of nearly the same window and interval."""
        held = [*self.length.values(), *self.every.values()]
        like = np.stack([np.rint(np.log(np.nan_to_num(one, nan=1.0)) / _ALIKE) for one in held], axis=1)
        return [np.flatnonzero((like == one).all(axis=1)) for one in np.unique(like, axis=0)]

    def ages(self, use: float) -> dict[str, Array]:
        """Ages of the parts in place now and at each edge of the lattice, (positions, edges), at so many times the expected use."""
        run = {"hours": self.length["hours"] * use, "months": self.length["months"]}
        return {clock: self.age[clock][:, None] + EDGES * held[:, None] for clock, held in run.items()}

    def is_known(self, clock: str) -> bool:
        """Whether a clock runs at these positions; `both`: whether either does."""
        return not any(np.isnan(self.length[one]).any() for one in (CLOCKS if clock == BOTH else (clock,)))


def _window(parts: pl.DataFrame, seasons: Seasons, days: float, habit: Habit) -> _Window:
    hours = seasons.hours_by(parts["hours_engine_id"].to_list(), days)
    hours = np.where(np.isnan(hours), np.nanmean(hours), hours) if not np.isnan(hours).all() else hours
    length = {"hours": np.maximum(hours, _LEAST), "months": np.full(parts.height, days / DAYS_A_MONTH)}
    every, age = ({clock: _column(parts, f"{stem}_{ending}") for clock, ending in CLOCKS.items()} for stem in ("every", "age"))
    age = {clock: np.where(np.isnan(age[clock]), _likely_age(age, every, length, clock), age[clock]) for clock in CLOCKS}
    state = parts["state"].to_numpy()
    return _Window(age, length, every, state == DOWN, (state != RUNNING) & (state != DOWN), habit)


def _likely_age(age: dict[str, Array], every: dict[str, Array], length: dict[str, Array], clock: str) -> Array:
    """Age where it is not known on a clock: read from the other clock, else half the interval, else half the window."""
    other = "months" if clock == "hours" else "hours"
    with np.errstate(invalid="ignore"):
        carried = age[other] * length[clock] / length[other]
        windows = reduce(np.fmin, (every[each] / length[each] for each in CLOCKS))
    half = _HALF * np.where(np.isnan(windows), 1.0, windows) * length[clock]
    return np.where(np.isnan(carried), half, carried)


def _column(parts: pl.DataFrame, name: str) -> Array:
    return parts[name].cast(pl.Float64).fill_null(np.nan).to_numpy()


def caught_share(lives: pl.DataFrame) -> tuple[float, float]:
    """Share of the ends of a part that were caught in time, mean and standard deviation, from those seen and hardly any before."""
    failed, caught = (lives.filter(pl.col("ending").is_in(words)).height for words in (FAILED, (ON_CONDITION,)))
    first, second = caught + 0.1, failed + 0.9
    total = first + second
    return first / total, float(np.sqrt(first * second / (total + 1)) / total)


def _foretold(component: str, base: str | None, window: _Window, laws: Sequence[tuple[Estimate, Rows]], doubt: _Doubt) -> list[Forecast]:
    """Count both sorts at each level of doubt; groups of positions with laws of their own are added."""
    tables = [table for one, rows in laws if (table := _ends(one, window.part(rows), doubt)) is not None]
    sums: dict[str, list[Demand]] = {FAILURES: [], CONDITION: []}
    for level in range(LEVELS.size):
        share = doubt.caught_share(level)
        here = [counts[at == level] for counts, at in tables]
        for sort, part in ((FAILURES, 1 - share), (CONDITION, share)):
            sums[sort].append(added([mixed_sum(thinned(table, part), np.full(len(table), 1 / len(table))) for table in here if len(table)]))
    return [Forecast(component, base, sort, tuple(levels)) for sort, levels in sums.items()]


def _ends(estimate: Estimate, window: _Window, doubt: _Doubt) -> tuple[Array, Rows] | None:
    """Probabilities of 0, 1, 2 ... ends by failing or nearly so, shape (laws, positions, counts), and the level each law is read at.

    `None`: no law runs on a clock that is known here. New parts of positions with nearly the same window and interval are read together.
    """
    assert estimate.posterior is not None
    laws = levelled([block for block in representative(estimate.posterior, LAWS) if window.is_known(block.clock)])
    if not laws:
        return None
    failing, renewed = _first_ends(laws, window, doubt)
    counts = np.zeros((*failing.shape[:2], MOST + 1))
    for rows in window.alike():
        new = new_part_counts(*_new_ends(laws, window.mean_of(rows), doubt))
        counts[:, rows] = counts_in_place(failing[:, rows], renewed[:, rows], new)
        counts[:, rows[window.down[rows]]] = new[:, None, -1]
    return counts, np.concatenate([np.full(block.weight.size, level) for block, level in laws])


def levelled(blocks: Sequence[Block]) -> list[tuple[Block, int]]:
    """Part each block by level: every fifth law, counted on through all blocks, so that each level sees all of the posterior."""
    first, parted = 0, []
    for block in blocks:
        for level in range(LEVELS.size):
            chosen = np.arange((level - first) % LEVELS.size, block.weight.size, LEVELS.size)
            if chosen.size:
                parted.append((block.only(chosen), level))
        first += block.weight.size
    return parted


def _first_ends(laws: Sequence[tuple[Block, int]], window: _Window, doubt: _Doubt) -> tuple[Array, Array]:
    """Chances of the part in place to fail and to be renewed at each step, given that it is there; unseen lives end uncounted."""
    lasting, kept = _lasting_and_kept(laws, window, doubt)
    failing, renewed = ending_masses(*(held[..., 1:] / np.maximum(held[..., :1], _GONE) for held in (lasting, kept)))
    unseen = window.unseen[:, None]
    return np.where(unseen, 0.0, failing), np.where(unseen, failing + renewed, renewed)


def _new_ends(laws: Sequence[tuple[Block, int]], window: _Window, doubt: _Doubt) -> tuple[Array, Array]:
    """Chances of a new part to fail and to be renewed at each step."""
    lasting, kept = _lasting_and_kept(laws, window, doubt)
    failing, renewed = ending_masses(lasting[:, 0, 1:], kept[:, 0, 1:])
    return failing, renewed


def _lasting_and_kept(laws: Sequence[tuple[Block, int]], window: _Window, doubt: _Doubt) -> tuple[Array, Array]:
    """Chances neither to have failed or been caught, and not to have been renewed by plan, now and at each edge: (laws, positions, m)."""
    ages = [window.ages(doubt.use(level)) for level in range(LEVELS.size)]
    kept = [_kept(window, held) for held in ages]
    going_on = [lasting(block, ages[level], doubt.caught_share(level), doubt.caught) for block, level in laws]
    renewing = [np.broadcast_to(kept[level], (block.weight.size, *kept[level].shape)) for block, level in laws]
    return np.concatenate(going_on), np.concatenate(renewing)


def lasting(block: Block, ages: Mapping[str, Array], share: float, caught: float) -> Array:
    """Chance not to have failed nor been caught before, (laws, positions, ages): those caught go somewhat before they would have failed."""
    shape = next(iter(ages.values())).shape
    flat = {clock: held.ravel() for clock, held in ages.items()}
    early = {clock: held * 2 / (1 + caught) for clock, held in flat.items()}
    lasting = (1 - share) * block.survival_of(flat) + (share * block.survival_of(early) if share > _HARDLY else 0.0)
    return lasting.reshape(-1, *shape)


def _kept(window: _Window, ages: Mapping[str, Array]) -> Array:
    """Chance not to have been renewed by plan at these ages, (positions, ages); 1 where no interval is in force."""
    turns = reduce(np.fmax, (ages[clock] / window.every[clock][:, None] for clock in CLOCKS))
    return np.where(np.isnan(turns), 1.0, window.habit.kept(np.nan_to_num(turns)))
