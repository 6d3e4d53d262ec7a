"""How many renewals the positions of a part will need by each of several days: planned ones, failures, and damage from outside.

In: present parts with their interval in force, estimates, engine hours ahead, lives, how parts end. Out: `Wanted`: distributions of events,
not yet of pieces. Three doubts widen them: the laws of the part (its posterior), how much the boats will be out (a factor that all parts
share), and the age of parts whose fitting nobody wrote down, over which the count is spread. Laws without memory and without a plan give
Poisson counts exactly.
Elsewhere: the counting (`renewal_counts`), sums (`sums`), positions (`positions_ahead`), pieces and orders (`stock`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Estimate
from pipelines.advice.chances import matched
from pipelines.advice.counts import NOTHING, Demand, added, gamma_poisson
from pipelines.advice.day_lattice import lattice
from pipelines.advice.forecast import LEVELS, lasting, levelled, over_levels
from pipelines.advice.habits import TO_THE_LETTER, Habit
from pipelines.advice.laws import representative
from pipelines.advice.positions_ahead import Ahead, Rows, positions_ahead
from pipelines.advice.renewal_counts import count_probabilities, ends_in_cells, renewal_density
from pipelines.advice.seasons import Seasons
from pipelines.advice.sums import summed
from pipelines.fits.ages import CLOCKS
from pipelines.fits.posterior import RANDOM, Block

LAWS = 100
AGES = 16
"""Ages over which a part of unknown age is spread."""
NEVER_FAILS = Block(RANDOM, "exponential", "months", np.ones(1), np.full(1, 1e15), np.ones(1))
"""Stands in where no law is known: planned renewals only."""
Levelled = Sequence[tuple[Block, int]]

_GONE, _HARDLY_ANY = 1e-300, 0.02
_WITHIN = (np.arange(8) + 0.5) / 8 - 0.5
"""Where in a cell around an edge the plan is read, in cells."""
_CROWDED = 1.5
"""Unknown ages stand closer together near new, where parts that do not last long are."""


@dataclass(frozen=True)
class Manner:
    """How the parts of a component end, beside their laws.

    Attributes
    ----------
    habit
        When the yard renews in fact, in intervals.
    use_sd
        Standard deviation of the logarithm of how much a season's use differs from what was expected; 0: it does not.
    caught_share, caught
        Share of worn parts that are renewed on condition, and where in its life such a part stands at least.
    """

    habit: Habit = TO_THE_LETTER
    use_sd: float = 0.0
    caught_share: float = 0.0
    caught: float = 1.0


@dataclass(frozen=True, eq=False)
class Wanted:
    """Events by each of several days, counted from today.

    Attributes
    ----------
    days
        Shape (m,), rising.
    demands
        One a day.
    failing, planned, damaged
        Mean events by the last day: parts that fail or are caught failing, renewals by plan, damage from outside.
    """

    days: Array
    demands: tuple[Demand, ...]
    failing: float = 0.0
    planned: float = 0.0
    damaged: float = 0.0

    def by(self, day: float) -> Demand:
        """Events by a day that is read; none by day 0."""
        if day <= 0 or not self.demands:
            return NOTHING
        return self.demands[int(np.argmin(np.abs(self.days - day)))]

    @staticmethod
    def together(parts: "Sequence[Wanted]") -> "Wanted":
        """Add what several components ask for by the same days."""
        if not parts:
            return NOTHING_WANTED
        if len(parts) == 1:
            return parts[0]
        demands = tuple(added(list(each)) for each in zip(*(one.demands for one in parts), strict=True))
        return Wanted(parts[0].days, demands, *(sum(getattr(one, n) for one in parts) for n in ("failing", "planned", "damaged")))


NOTHING_WANTED = Wanted(np.empty(0), ())


def event_demand(
    parts: pl.DataFrame,
    estimates: Sequence[Estimate],
    seasons: Seasons,
    lives: pl.DataFrame,
    days: Sequence[float],
    manner: Manner = Manner(),
    oldest: pl.Series | None = None,
) -> Wanted:
    """Events that will ask for a part by each of these days, over the posterior.

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
        Days from today to read.
    manner
        How parts end beside their laws.
    oldest
        Age of the engine or boat in months, a row each.
    """
    if parts.is_empty() or not any(day > 0 for day in days):
        return NOTHING_WANTED
    ahead = positions_ahead(parts, seasons, lattice(days), oldest, manner.habit.age_leaving(_HARDLY_ANY))
    damage, damaged = outside_damage(lives, ahead)
    sums = [_sums(estimate, ahead.part(rows), manner) for estimate, rows in _claimed(parts, estimates)]
    demands = [_together([one.levels[day] for one in sums], damage[day]) for day in range(ahead.lattice.days.size)]
    return Wanted(ahead.lattice.days, tuple(demands), sum(one.failing for one in sums), sum(one.planned for one in sums), damaged)


def _together(levels: Sequence[Sequence[Demand]], damage: Demand) -> Demand:
    """Add groups of positions at each level of what they share, mix the levels, and add what does not depend on them."""
    return added([over_levels([added([group[level] for group in levels]) for level in range(LEVELS.size)]), damage])


def _claimed(parts: pl.DataFrame, estimates: Sequence[Estimate]) -> list[tuple[Estimate | None, Rows]]:
    """Give each estimate with its positions; positions that none claims come last."""
    unclaimed = np.ones(parts.height, dtype=bool)
    claimed: list[tuple[Estimate | None, Rows]] = []
    for estimate, rows in matched(parts, [one for one in estimates if one.posterior is not None]):
        unclaimed[rows] = False
        claimed.append((estimate, rows))
    return [*claimed, (None, np.flatnonzero(unclaimed))] if unclaimed.any() else claimed


def outside_damage(lives: pl.DataFrame, ahead: Ahead) -> tuple[list[Demand], float]:
    """Events of damage from outside by each day read, at the rate seen while parts were watched; none where none was seen.

    By engine hours where most lives have them, because boats strike things when they run; else by months.
    """
    events = lives.filter(pl.col("ending") == "outside damage").height
    clock = "hours" if 2 * lives["low_h"].count() > lives.height and ahead.is_known("hours") else "months"
    watched = lives[f"low_{CLOCKS[clock]}"] - lives[f"entry_{CLOCKS[clock]}"]
    exposure = float(np.nansum(watched.cast(pl.Float64).fill_null(0.0).to_numpy()))
    if not events or exposure <= 0:
        return [NOTHING] * ahead.lattice.reads.size, 0.0
    run = ahead.times @ ahead.run[clock][:, ahead.lattice.reads]
    return [gamma_poisson(events, exposure, float(units)) for units in run], float(events * run[-1] / exposure)


@dataclass(frozen=True, eq=False)
class _Sum:
    """What the positions of one estimate ask for: `levels[day][level]`, and mean events by the last day."""

    levels: list[list[Demand]]
    failing: float
    planned: float


def _sums(estimate: Estimate | None, ahead: Ahead, manner: Manner) -> _Sum:
    """Sum over the positions of one estimate under each law; laws on a clock that does not run here are passed over."""
    ahead = ahead.gathered()
    laws = _laws(estimate, ahead)
    counted = [_counted(laws, ahead.part(rows), manner) for rows in ahead.alike()]
    order = np.concatenate(ahead.alike())
    most = max(one.table.shape[-1] for one in counted)
    tables = np.concatenate([_padded(one.table, most) for one in counted], axis=2)
    level = np.concatenate([np.full(block.weight.size, at) for block, at in laws])
    levels = [_by_level(summed(table, ahead.times[order]), level) for table in tables]
    return _Sum(levels, sum(one.failing for one in counted), sum(one.planned for one in counted))


def _padded(table: Array, most: int) -> Array:
    return np.pad(table, ((0, 0), (0, 0), (0, 0), (0, most - table.shape[-1])))


def _by_level(rows: Array, level: Rows) -> list[Demand]:
    """Mix the laws of each level, all as likely; a level without a law has those of all."""
    return [Demand(rows[level == at].mean(axis=0) if (level == at).any() else rows.mean(axis=0)) for at in range(LEVELS.size)]


def _laws(estimate: Estimate | None, ahead: Ahead) -> Levelled:
    blocks = representative(estimate.posterior, LAWS) if estimate is not None and estimate.posterior is not None else []
    usable = [block for block in blocks if ahead.is_known(block.clock)]
    return levelled(usable) if usable else [(NEVER_FAILS, 2)]


@dataclass(frozen=True, eq=False)
class _Counted:
    """Probabilities of 0, 1, 2 ... events, shape (days, laws, positions, counts), and mean events by the last day."""

    table: Array
    failing: float
    planned: float


def _counted(laws: Levelled, ahead: Ahead, manner: Manner) -> _Counted:
    """Count at positions that are alike: the part in place is read at each, new parts are read once for all of them."""
    now, then = _first_ends(laws, ahead, manner)
    failing, planned = _new_ends(laws, ahead, manner)
    new = failing + planned
    table = count_probabilities(now + then, new, ahead.lattice.reads)
    renewed = renewal_density(now + then, new)
    fails = now.sum(axis=-1) + np.einsum("kps,kst->kp", renewed, failing)
    plans = then.sum(axis=-1) + np.einsum("kps,kst->kp", renewed, planned)
    if not ahead.has_interval and not ahead.down.any():
        table = _memoryless(table, laws, ahead, manner)
    return _Counted(table, *(float(mean.mean(axis=0) @ ahead.times) for mean in (fails, plans)))


def _first_ends(laws: Levelled, ahead: Ahead, manner: Manner) -> tuple[Array, Array]:
    """Chances of the part in place to fail and to be renewed by plan in each cell, (laws, positions, cells)."""
    if ahead.down.any():
        at_once = np.zeros((sum(block.weight.size for block, _ in laws), ahead.down.size, ahead.lattice.edges.size - 1))
        at_once[..., 0] = 1.0
        return at_once, np.zeros_like(at_once)
    if ahead.unseen.any():
        return _unseen_ends(laws, ahead, manner)
    last, kept = _standing(laws, {clock: held[:, None] for clock, held in ahead.age.items()}, ahead.run, ahead.every, manner)
    since = last[:, :, 0] / np.maximum(last[:, :, 0, :1], _GONE)
    since[..., 0] = 1.0
    return _ends(since, kept[:, :, 0])


def _unseen_ends(laws: Levelled, ahead: Ahead, manner: Manner) -> tuple[Array, Array]:
    """Spread a part of unknown age evenly over all ages up to the greatest, and let the laws say how likely each is.

    A part met at no special time has an age whose density is in proportion to the chance to stand at that age (Cox 1962, chapter 5). Where
    the laws leave it no age, it ends at once.
    """
    edges = (np.arange(AGES + 1) / AGES) ** _CROWDED
    width = np.diff(edges)[:, None]
    each_month = {"months": np.ones(ahead.oldest.size), "hours": np.nan_to_num(ahead.hours_a_month)}
    ages, wide = (
        {clock: np.outer(ahead.oldest * times, share) for clock, times in each_month.items()}
        for share in ((edges[1:] + edges[:-1]) / 2, np.diff(edges))
    )
    last, kept = _standing(laws, ages, ahead.run, ahead.every, manner, wide)
    reach = ((last * kept)[..., :1] * width).sum(axis=2)
    failing, planned = ((ends * width).sum(axis=2) / np.maximum(reach, _GONE) for ends in _ends(last, kept))
    failing[..., :1] += reach < _GONE
    return failing, planned


def _new_ends(laws: Levelled, ahead: Ahead, manner: Manner) -> tuple[Array, Array]:
    """Chances of a part begun in the middle of each cell to fail and to be renewed by plan in each cell, (laws, cells, cells)."""
    share = ahead.times / ahead.times.sum()
    since = {clock: np.maximum(share @ ahead.run[clock] - (share @ ahead.run_middle[clock])[:, None], 0.0) for clock in CLOCKS}
    cells = since["months"].shape[0]
    new = {clock: np.zeros((cells, 1)) for clock in CLOCKS}
    every = {clock: np.full(cells, held[0]) for clock, held in ahead.every.items()}
    last, kept = _standing(laws, new, since, every, manner)
    return _ends(last[:, :, 0], kept[:, :, 0])


def _standing(
    laws: Levelled,
    ages: Mapping[str, Array],
    run: Mapping[str, Array],
    every: Mapping[str, Array],
    manner: Manner,
    wide: Mapping[str, Array] | None = None,
) -> tuple[Array, Array]:
    """Chance not to have failed since new, and not to have been renewed by plan since now or since new, by each edge.

    Parameters
    ----------
    ages
        {clock: shape (p, a)}: ages at the beginning.
    run
        {clock: shape (p, n + 1)}: run by each edge at the expected use.
    every
        {clock: shape (p,)}.
    wide
        {clock: shape (p, a)}: how wide a band each age stands for; `None`: ages are known, and renewal by plan counts from now on.

    Returns
    -------
    array, array
        Shape (k, p, a, n + 1).
    """
    use = [{"hours": np.exp(manner.use_sd * level), "months": 1.0} for level in LEVELS]
    at = [{clock: ages[clock][..., None] + run[clock][:, None] * times[clock] for clock in CLOCKS} for times in use]
    kept = [_kept(held, every, manner.habit, wide) for held in at]
    last = [lasting(block, at[level], manner.caught_share, manner.caught) for block, level in laws]
    by_plan = [np.broadcast_to(kept[level], (block.weight.size, *kept[level].shape)) for block, level in laws]
    return np.concatenate(last), np.concatenate(by_plan)


def _kept(ages: Mapping[str, Array], every: Mapping[str, Array], habit: Habit, bands: Mapping[str, Array] | None) -> Array:
    """Chance not to have been renewed by plan by each edge, taken as the mean over a cell around it, or over the band of ages.

    Without that, an interval that is kept to the day would always fall to the same side of the middle of its cell, and renewals of renewals
    would drift.
    """
    if all(np.isnan(held).all() for held in every.values()):
        return np.ones(next(iter(ages.values())).shape)
    if bands is None:
        wide = {clock: np.diff(held, axis=-1, prepend=held[..., :1]) for clock, held in ages.items()}
        now = _plan_hazard({clock: held[..., :1] for clock, held in ages.items()}, every, habit)
    else:
        wide, now = {clock: held[..., None] for clock, held in bands.items()}, 0.0
    kept = [
        np.exp(np.minimum(now - _plan_hazard({c: np.maximum(ages[c] + part * wide[c], 0.0) for c in CLOCKS}, every, habit), 0.0))
        for part in _WITHIN
    ]
    return np.mean(kept, axis=0)


def _plan_hazard(ages: Mapping[str, Array], every: Mapping[str, Array], habit: Habit) -> Array:
    """Cumulative hazard of renewal by plan; none where no interval is in force."""
    turns = reduce(np.fmax, (ages[clock] / every[clock][:, None, None] for clock in CLOCKS))
    return np.where(np.isnan(turns), 0.0, habit.hazard_at(np.nan_to_num(turns)))


def _ends(last: Array, kept: Array) -> tuple[Array, Array]:
    """Split what ends in each cell into failing and being renewed by plan, whichever comes first."""
    failing = ends_in_cells(last) * (kept[..., 1:] + kept[..., :-1]) / 2
    return failing, ends_in_cells(kept) * (last[..., 1:] + last[..., :-1]) / 2


def _memoryless(table: Array, laws: Levelled, ahead: Ahead, manner: Manner) -> Array:
    """Put Poisson counts, which are exact, where a law has no memory and no plan interferes."""
    first, exact = 0, table
    for block, level in laws:
        rows, first = slice(first, first + block.weight.size), first + block.weight.size
        if block.family == "exponential":
            times = np.exp(manner.use_sd * LEVELS[level]) if block.clock == "hours" else 1.0
            sooner = 1 - manner.caught_share + manner.caught_share * 2 / (1 + manner.caught)
            run = ahead.run[block.clock][:, ahead.lattice.reads].T * times * sooner
            counts = _poisson(run[:, None, :] / block.scale[None, :, None])
            most = max(exact.shape[-1], counts.shape[-1])
            exact = _padded(exact, most)
            exact[:, rows] = _padded(counts, most)
    return exact


def _poisson(mean: Array) -> Array:
    """Poisson probabilities of 0, 1, 2 ... along a new last axis."""
    most = int(np.ceil(mean.max(initial=0.0) + 10 * np.sqrt(mean.max(initial=0.0)))) + 8
    counts = np.arange(most + 1)
    logs = np.cumsum(np.log(np.maximum(counts, 1)))
    with np.errstate(divide="ignore", invalid="ignore"):
        powers = np.where(counts == 0, 0.0, counts * np.log(mean[..., None]))
    return np.exp(powers - mean[..., None] - logs)
