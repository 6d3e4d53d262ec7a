"""Mean times of groups of few, each drawn towards the mean of all as far as chance explains the differences.

In: times and the group of each. Out: `MeanTimes`.
Elsewhere: times until something fails, which are lives (`ages`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.errors import NoFigure

Array = NDArray[np.float64]
FEWEST = 5
"""Times below this many say too little of their mean: common practice, no source."""
_LEAST_VARIATION = 1.0
_FEW = 30


@dataclass(frozen=True, eq=False)
class MeanTimes:
    """Means of the groups.

    Attributes
    ----------
    mean, spread
        Shape (g,): mean, and squared coefficient of variation of what is believed of it.
    count
        Times they rest on together.
    """

    mean: Array
    spread: Array
    count: int


def mean_times(times: Array, group: NDArray[np.intp], groups: int) -> MeanTimes:
    """Find the mean time of each group; the spread between groups by the method of moments [1]_.

    Parameters
    ----------
    times
        0 or more, in any unit.
    group
        Number of the group of each, 0 to `groups` - 1.
    groups
        How many there are; one without a time has the mean of all.

    Returns
    -------
    MeanTimes
        With fewer than 30 times their own spread may hide a long tail, so they count as spread at least as an exponential distribution is.

    Raises
    ------
    NoFigure
        With fewer than five times, or where all are 0.

    References
    ----------
    .. [1] DerSimonian, R. and Laird, N. (1986). Meta-analysis in clinical trials. Controlled Clinical Trials 7(3), 177-188.
    """
    if times.size < FEWEST or not times.sum() > 0:
        raise NoFigure(f"{times.size} times above nought; a mean needs at least {FEWEST}.")
    count = np.bincount(group, minlength=groups).astype(float)
    own = np.bincount(group, times, minlength=groups) / np.maximum(count, 1)
    overall = float(times.mean())
    within = float(((times - own[group]) ** 2).sum() / max(times.size - (count > 0).sum(), 1))
    within = max(within, _LEAST_VARIATION * overall**2) if times.size < _FEW else within
    between = _between(count, own, overall, within)
    weight = between * count / (between * count + within) if within > 0 else np.where(count > 0, 1.0, 0.0)
    mean = weight * own + (1 - weight) * overall
    doubt = (1 - weight) * between + (1 - weight) ** 2 * within / times.size
    return MeanTimes(mean, doubt / mean**2, times.size)


def _between(count: Array, own: Array, overall: float, within: float) -> float:
    """Variance between the groups' true means; 0 where chance explains what is seen."""
    seen = count > 0
    total = count.sum()
    scatter = float((count * (own - overall) ** 2)[seen].sum())
    room = total - float((count**2).sum()) / total
    return max(0.0, (scatter - (seen.sum() - 1) * within) / room) if room > 0 else 0.0
