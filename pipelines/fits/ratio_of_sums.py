"""One sum over another with limits: litres per engine hour, nautical miles per engine hour, from trips.

In: pairs, one a trip. Out: `Ratio`. The trip is the unit, so a long trip weighs more and no trip's own ratio is averaged.
Elsewhere: events per engine hour (`rates`), which are counts and have exact limits.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats


@dataclass(frozen=True)
class Ratio:
    """A ratio of two sums.

    Attributes
    ----------
    value
        Sum over sum; `None`: no pair has both figures, or the lower sum is 0.
    low, high
        Two-sided limits, `low` 0 or more; `None` with fewer than two pairs.
    pairs
        How many pairs it rests on.
    """

    value: float | None
    low: float | None
    high: float | None
    pairs: int


def ratio_with_limits(upper: Sequence[float | None], lower: Sequence[float | None], level: float = 0.95) -> Ratio:
    """Divide the sum of `upper` by the sum of `lower`, with limits by the linearised variance of a ratio [1]_.

    Parameters
    ----------
    upper, lower
        Figures of each pair, 0 or more; a pair that lacks either, or whose lower figure is not above 0, is left out.
    level
        Confidence level, between 0 and 1.

    Returns
    -------
    Ratio
        Limits by Student's t with one degree of freedom fewer than pairs.

    References
    ----------
    .. [1] Cochran, W. G. (1977). Sampling Techniques, 3rd ed., Wiley, section 6.4 (finite population left out).
    """
    whole = [(u, v) for u, v in zip(upper, lower, strict=True) if u is not None and v is not None and v > 0]
    if not whole:
        return Ratio(None, None, None, 0)
    above, below = np.array(whole, dtype=np.float64).T
    value, pairs = float(above.sum() / below.sum()), len(whole)
    if pairs < 2:
        return Ratio(value, None, None, pairs)
    residual = above - value * below
    spread = math.sqrt(pairs / (pairs - 1) * float(residual @ residual)) / float(below.sum())
    reach = float(stats.t.ppf((1 + level) / 2, pairs - 1)) * spread
    return Ratio(value, max(0.0, value - reach), value + reach, pairs)
