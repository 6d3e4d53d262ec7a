"""What becomes of the parts at positions: chances that the part in place, and every new part after it, ends in each cell of the days ahead.

In: laws at levels of the doubt about use, positions (`Ahead`), the manner of ending. Out: `EventCounts`: probabilities of 0, 1, 2 ...
renewals of each position by each day read, under each law. All positions of a part are read together, new parts once for all that are
used alike.
Elsewhere: counting from the chances (`renewal_counts`), sums over positions and laws (`demand`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np

from pipelines.advice.age_replacement import Array
from pipelines.advice.forecast import LEVELS, lasting
from pipelines.advice.habits import TO_THE_LETTER, Habit
from pipelines.advice.positions_ahead import Ahead, Rows
from pipelines.advice.renewal_counts import count_probabilities, ends_in_cells
from pipelines.fits.ages import CLOCKS
from pipelines.fits.posterior import Block

Levelled = Sequence[tuple[Block, int]]

AGES = 16
"""Bands of ages over which a part of unknown age is spread."""
_WITHIN = (np.arange(8) + 0.5) / 8 - 0.5
"""Where in a cell around an edge the plan is read, in cells."""
_CROWDED = 1.5
"""Unknown ages stand closer together near new, where parts that do not last long are."""
_GONE = 1e-300


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

    def use(self, level: float) -> float:
        """Return how many times the expected use is taken at a level; the levels are widened to the full standard deviation."""
        return float(np.exp(self.use_sd * level / LEVELS.std()))


PLAIN = Manner()


@dataclass(frozen=True, eq=False)
class EventCounts:
    """Renewals of p positions under k laws.

    Attributes
    ----------
    table
        Shape (m, k, p, c + 1): probabilities of 0, 1, 2 ... by each day read.
    failing, planned
        Shape (p,): mean renewals by the last day, of parts that fail or are caught failing, and by plan.
    """

    table: Array
    failing: Array
    planned: Array


def event_counts(laws: Levelled, ahead: Ahead, manner: Manner) -> EventCounts:
    """Count the renewals of every position under every law."""
    groups = ahead.used_alike()
    now, then = _first_ends(laws, ahead, manner)
    failing, planned = _new_ends(laws, [ahead.part(rows) for rows in groups], manner)
    first, counted = now + then, []
    for place, rows in enumerate(groups):
        table, density = count_probabilities(first[:, rows], failing[:, place] + planned[:, place], ahead.lattice.reads)
        fails, plans = (_mean(ends[:, rows], density, more[:, place]) for ends, more in ((now, failing), (then, planned)))
        here = ahead.part(rows)
        counted.append(EventCounts(table if here.has_interval else _memoryless(table, laws, here, manner), fails, plans))
    return _in_order(counted, groups, ahead.down.size)


def _mean(first: Array, density: Array, new: Array) -> Array:
    """Mean number of ends of one sort by the last day, over the laws: of the part in place, and of those that follow."""
    return first.sum(axis=-1).mean(axis=0) + (density @ new.sum(axis=-1)[..., None]).mean(axis=0)[:, 0]


def _in_order(counted: Sequence[EventCounts], groups: Sequence[Rows], positions: int) -> EventCounts:
    most = max(one.table.shape[-1] for one in counted)
    table = np.zeros((*counted[0].table.shape[:2], positions, most))
    failing, planned = np.zeros(positions), np.zeros(positions)
    for one, rows in zip(counted, groups, strict=True):
        table[:, :, rows, : one.table.shape[-1]] = one.table
        failing[rows], planned[rows] = one.failing, one.planned
    return EventCounts(table, failing, planned)


def _first_ends(laws: Levelled, ahead: Ahead, manner: Manner) -> tuple[Array, Array]:
    """Chances of the part in place to fail and to be renewed by plan in each cell, (laws, positions, cells)."""
    shape = (sum(block.weight.size for block, _ in laws), ahead.down.size, ahead.lattice.edges.size - 1)
    failing, planned = np.zeros(shape), np.zeros(shape)
    failing[:, ahead.down, 0] = 1.0
    for state, ends in ((~ahead.down & ~ahead.unseen, _seen_ends), (ahead.unseen, _unseen_ends)):
        if state.any():
            failing[:, state], planned[:, state] = ends(laws, ahead.part(np.flatnonzero(state)), manner)
    return failing, planned


def _seen_ends(laws: Levelled, ahead: Ahead, manner: Manner) -> tuple[Array, Array]:
    """Read parts of known age, given that they stand today."""
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
    width = np.diff(edges)
    each_month = {"months": np.ones(ahead.oldest.size), "hours": np.nan_to_num(ahead.hours_a_month)}
    ages, wide = (
        {clock: (ahead.oldest * times)[:, None] * share for clock, times in each_month.items()}
        for share in ((edges[1:] + edges[:-1]) / 2, np.diff(edges))
    )
    last, kept = _standing(laws, ages, ahead.run, ahead.every, manner, wide)
    standing = np.einsum("kpae,kpae,a->kpe", last, kept, width)
    fails = np.einsum("kpae,kpae,a->kpe", ends_in_cells(last), kept[..., 1:] + kept[..., :-1], width) / 2
    reach = np.maximum(standing[..., :1], _GONE)
    failing, ending = fails / reach, ends_in_cells(standing) / reach
    failing[..., :1] += standing[..., :1] < _GONE
    return failing, np.maximum(ending - fails / reach, 0.0)


def _new_ends(laws: Levelled, groups: Sequence[Ahead], manner: Manner) -> tuple[Array, Array]:
    """Chances of a part begun in the middle of each cell to fail and to be renewed by plan in each cell, (laws, groups, cells, cells)."""
    run, middle = ({clock: np.stack([one.mean_of(held)[clock] for one in groups]) for clock in CLOCKS} for held in ("run", "run_middle"))
    since = {clock: np.maximum(run[clock][:, None, :] - middle[clock][:, :, None], 0.0) for clock in CLOCKS}
    groups_of, cells, edges = since["months"].shape
    every = {clock: np.repeat([one.every[clock][0] for one in groups], cells) for clock in CLOCKS}
    flat = {clock: held.reshape(-1, edges) for clock, held in since.items()}
    last, kept = _standing(laws, {clock: np.zeros((groups_of * cells, 1)) for clock in CLOCKS}, flat, every, manner)
    failing, planned = _ends(last[:, :, 0], kept[:, :, 0])
    shape = (-1, groups_of, cells, cells)
    return failing.reshape(shape), planned.reshape(shape)


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
    use = [{"hours": manner.use(level), "months": 1.0} for level in LEVELS]
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
    """Put Poisson counts, which are exact, where a law has no memory, no plan interferes and the position is not down."""
    first, exact, here = 0, table, np.flatnonzero(~ahead.down)
    for block, level in laws:
        rows, first = np.arange(first, first + block.weight.size), first + block.weight.size
        if _has_no_memory(block) and here.size:
            times = manner.use(LEVELS[level]) if block.clock == "hours" else 1.0
            sooner = 1 - manner.caught_share + manner.caught_share * 2 / (1 + manner.caught)
            run = ahead.run[block.clock][here][:, ahead.lattice.reads].T * times * sooner
            counts = _poisson(run[:, None, :] / block.scale[None, :, None])
            most = max(exact.shape[-1], counts.shape[-1])
            exact = padded(exact, most)
            exact[:, rows[:, None], here] = padded(counts, most)
    return exact


def _has_no_memory(block: Block) -> bool:
    return block.family == "exponential" or (block.family == "weibull" and bool((block.shape == 1).all()))


def padded(table: Array, most: int) -> Array:
    """Give a table of counts room for so many."""
    return np.pad(table, ((0, 0), (0, 0), (0, 0), (0, most - table.shape[-1])))


def _poisson(mean: Array) -> Array:
    """Poisson probabilities of 0, 1, 2 ... along a new last axis."""
    most = int(np.ceil(mean.max(initial=0.0) + 10 * np.sqrt(mean.max(initial=0.0)))) + 8
    counts = np.arange(most + 1)
    logs = np.cumsum(np.log(np.maximum(counts, 1)))
    with np.errstate(divide="ignore", invalid="ignore"):
        powers = np.where(counts == 0, 0.0, counts * np.log(mean[..., None]))
    return np.exp(powers - mean[..., None] - logs)
