"""How many events are too many by now: a sequential test against a rate that is itself only known from earlier events.

In: what was known of the rate before, exposures between looks, the chance of a false alarm that may be spent by each look. Out: the count
at each look from which on it is an alarm. The count follows a Poisson process whose rate has a gamma distribution, so what comes next,
given what came, is negative binomial; the chance of ever reaching the boundary is worked out by exact recursion over the looks. Counts
only rise, so a boundary reached between two looks is the one that would be reached at the next: watching every day costs nothing more.
Elsewhere: which counts are watched (`advice.watching`).

References
----------
Lan, K. K. G. and DeMets, D. L. (1983). Discrete sequential boundaries for clinical trials. Biometrika 70(3), 659-663.
Kulldorff, M. et al. (2011). A maximized sequential probability ratio test for drug and vaccine safety surveillance. Sequential Analysis
30(1), 58-78.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.special import gammaln

from pipelines.errors import NoFigure

Array = NDArray[np.float64]
FEWEST = 2
"""One event alone is never an alarm."""
SURE = 1e8
_MOST = 5000
_NO_EXPOSURE = 1e-12


@dataclass(frozen=True)
class Known:
    """A rate with a gamma distribution: `events` over `exposure` were seen, and its mean is their ratio."""

    events: float
    exposure: float

    def doubted(self, relative_sd: float) -> "Known":
        """Return the same mean with the rate's own wandering from season to season added, a relative standard deviation."""
        events = 1 / (1 / self.events + relative_sd**2)
        return Known(events, self.exposure * events / self.events)

    def chance_of(self, events: int, exposure: float) -> float:
        """Probability of so many events or more over an exposure to come."""
        return float(stats.nbinom.sf(events - 1, self.events, self.exposure / (self.exposure + exposure)))

    def expected(self, exposure: float) -> float:
        """Events expected over an exposure to come."""
        return self.events / self.exposure * exposure


@dataclass(frozen=True)
class Boundary:
    """Counts from which on it is an alarm, one a look, and the chance of a false one by each look.

    Attributes
    ----------
    alarm_at
        Shape (k,), whole numbers, never falling.
    spent
        Shape (k,): probability of an alarm by each look when nothing has changed.
    """

    alarm_at: NDArray[np.int64]
    spent: Array


def boundary(known: Known, exposures: Array, may_spend: Array) -> Boundary:
    """Find the lowest counts whose chance of ever being reached stays within what may be spent.

    Parameters
    ----------
    known
        The rate before the watch began.
    exposures
        Shape (k,): exposure between one look and the next, 0 or more.
    may_spend
        Shape (k,): probability of a false alarm by each look, never falling.

    Raises
    ------
    NoFigure
        If the boundary would lie beyond 5,000 events: a count so large needs no sequential test.
    """
    alive, alarm_at, spent = np.ones(1), [], []
    gone, seen = 0.0, known.exposure
    for exposure, allowed in zip(exposures, may_spend, strict=True):
        alive = _next(alive, known.events, seen, exposure, max(0.0, allowed - gone), alarm_at[-1] if alarm_at else FEWEST)
        gone, seen = 1 - float(alive.sum()), seen + exposure
        alarm_at.append(alive.size)
        spent.append(gone)
    return Boundary(np.array(alarm_at, dtype=np.int64), np.maximum(np.array(spent), 0.0))


def _next(alive: Array, events: float, seen: float, exposure: float, room: float, least: int) -> Array:
    """Probabilities of the counts below the boundary at the next look, none having reached one before; its length is the boundary."""
    total = float(alive.sum())
    size = max(least, alive.size)
    while True:
        size = min(2 * size + 8, _MOST)
        reached = _carried(alive, events, seen, exposure, size)
        beyond = total - np.cumsum(reached)
        enough = np.flatnonzero(beyond <= room + 1e-12)
        if enough.size:
            return reached[: max(int(enough[0]) + 1, least)]
        if size == _MOST:
            raise NoFigure(f"More than {_MOST:,} events could come by chance alone: compare their rate with the one before instead.")


def _carried(alive: Array, events: float, seen: float, exposure: float, size: int) -> Array:
    """Carry the probabilities of counts over one exposure: negative binomial steps, each from what is known at its count."""
    if exposure <= _NO_EXPOSURE * seen:
        return np.pad(alive, (0, size - alive.size))
    before, after = np.arange(alive.size)[:, None], np.arange(size)[None, :]
    more = after - before
    chance = np.where(
        more >= 0,
        np.exp(
            gammaln(events + after)
            - gammaln(events + before)
            - gammaln(np.maximum(more, 0) + 1)
            - (events + before) * np.log1p(exposure / seen)
            + np.maximum(more, 0) * np.log(exposure / (seen + exposure))
        ),
        0.0,
    )
    return alive @ chance


def known_surely(rate: float) -> Known:
    """Return a rate per unit of exposure that is known without doubt, in effect."""
    return Known(SURE, SURE / rate)
