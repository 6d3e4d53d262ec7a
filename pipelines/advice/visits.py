"""Which jobs of one boat share a visit, so that visits and moved jobs together cost least.

In: what moving each job to each day costs, the cost of a visit. Out: the day of each job.
Elsewhere: what moving costs (`moving`), the rows of the visits (`visit_plan`).

Notes
-----
Let some days have a visit. Moving a job costs no less the further it is from its own day, so it is best done at the last visit up to that
day or the first one after it. Whatever lies between two visits next to one another is thus settled by these two alone, and the best days
are a shortest way through the days: exact for any penalties of that form. The groups need not be consecutive: of two jobs due between two
visits the first may be put back while the second, which may not be, is brought forward. That is why the way goes over days and not, as in
the dynamic programme of [1]_ for penalties of one form, over jobs in the order of their dates.

References
----------
.. [1] Wildeman, R. E., Dekker, R. and Smit, A. C. J. M. (1997). A dynamic policy for grouping maintenance activities. European Journal of
   Operational Research 99(3), 530-551.
"""

import numpy as np

from pipelines.advice.age_replacement import Array
from pipelines.advice.moving import Days, Moves

_NUDGE = 1e-9
"""Of two plans that cost the same, the one that moves jobs by fewer days is taken: each day counts this share of a visit."""


def visit_days(moves: Moves, visit_cost: float) -> Days:
    """Return the day of each job, such that visits and moves together cost least.

    Parameters
    ----------
    moves
        The jobs of one boat.
    visit_cost
        Money a visit, whatever is done on it; above 0.

    Returns
    -------
    array
        Shape (n,), days from today.
    """
    if not moves.own_day.size:
        return np.empty(0, dtype=np.intp)
    cost = _nudged(moves, visit_cost)
    chosen = _best_days(cost, moves.own_day, visit_cost)
    return np.asarray(chosen)[cost[:, chosen].argmin(axis=1)]


def window_visits(moves: Moves, window_days: int) -> Days:
    """Return the day of each job where jobs are put together by days alone: the first waits for none, later ones within the window join it.

    A rule for fleets that do not know what a visit costs; common practice, no source. No job is put back.
    """
    day = np.empty_like(moves.own_day)
    first = -np.inf
    for row in np.argsort(moves.own_day, kind="stable"):
        first = first if moves.own_day[row] <= first + window_days else moves.own_day[row]
        day[row] = first
    return day


def best_single_day(moves: Moves) -> int:
    """Return the day on which all jobs of one boat together are done at the least cost of moving them."""
    total = moves.cost.sum(axis=0)
    return int(np.flatnonzero(total <= total.min() + _NUDGE)[-1])


def _nudged(moves: Moves, visit_cost: float) -> Array:
    away = np.abs(np.arange(moves.cost.shape[1]) - moves.own_day[:, None])
    return moves.cost + away * (_NUDGE * visit_cost)


def _best_days(cost: Array, own: Days, visit_cost: float) -> list[int]:
    """Find the days with a visit by the shortest way from before the first day to after the last."""
    between = _between(cost, own)
    size = cost.shape[1]
    so_far, came_from = np.full(size + 2, np.inf), np.zeros(size + 2, dtype=np.intp)
    so_far[0] = 0.0
    for day in range(1, size + 2):
        ways = so_far[:day] + between[:day, day]
        came_from[day] = int(ways.argmin())
        so_far[day] = ways[came_from[day]] + (visit_cost if day <= size else 0.0)
    days, day = [], int(came_from[size + 1])
    while day:
        days.append(day - 1)
        day = int(came_from[day])
    return days[::-1]


def _between(cost: Array, own: Days) -> Array:
    """Cost of the jobs whose own day is after one visit and not after the next, shape (days + 2, days + 2).

    Place 0 stands for no visit before, the last place for none after; a day has the place one higher.
    """
    wide = np.pad(cost, ((0, 0), (1, 1)), constant_values=np.inf)
    total = np.zeros((wide.shape[1], wide.shape[1]))
    for held, day in zip(wide, own, strict=True):
        # A visit on the job's own day ends the stretch that it lies in: places up to `day` are earlier visits.
        total[: day + 1, day + 1 :] += np.minimum(held[: day + 1, None], held[None, day + 1 :])
    return total
