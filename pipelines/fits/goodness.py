"""Whether the fitted Weibull describes the ages at which parts failed: failures seen against failures expected.

In: `Ages` and their `WeibullFit`. Out: `Goodness`. It says where the two part, not only that they do.
Elsewhere: the fit (`weibull`), other families (`posterior`).
"""

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import chdtrc

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages
from pipelines.fits.weibull import WeibullFit

Array = NDArray[np.float64]
_FEWEST_A_BAND = 5
_FEWEST_BANDS, _MOST_BANDS = 3, 8
_FINE = 201


@dataclass(frozen=True)
class Goodness:
    """Failures by bands of age, seen and expected.

    Attributes
    ----------
    bands
        `from_age`, `to_age`, `failed`, `expected`.
    p_value
        Chance of bands at least so far apart, were the Weibull true; rather too large than too small.
    """

    bands: pl.DataFrame
    p_value: float


def goodness_of(ages: Ages, fit: WeibullFit) -> Goodness:
    """Compare failures with those the fitted Weibull expects in bands of age with five or more each [1]_ [2]_.

    Expected is the fitted hazard summed over the time each life was watched in the band, so delayed entry and suspension
    need nothing else. A failure between two ages is put in the middle. The statistic lies between chi-squares with two
    degrees fewer than bands and one fewer; the larger is taken.

    Raises
    ------
    NoFigure
        If there are too few failures for three bands.

    References
    ----------
    .. [1] Akritas, M. G. (1988). Pearson-type goodness-of-fit tests: the univariate case. Journal of the American
       Statistical Association 83, 222-230.
    .. [2] Hjort, N. L. (1990). Goodness of fit tests in models for life history data based on cumulative hazard rates.
       The Annals of Statistics 18, 1221-1258.
    """
    seen = ages.at_middles()
    bands = int(min(seen.failures // _FEWEST_A_BAND, _MOST_BANDS))
    if bands < _FEWEST_BANDS:
        fewest = _FEWEST_A_BAND * _FEWEST_BANDS
        raise NoFigure(f"{seen.failures} failures are too few to judge whether the fitted line describes them; {fewest} would do.")
    edges = _edges(seen, fit, bands)
    expected = np.diff(_expected_by(seen, fit, edges))
    failed = np.histogram(seen.low[seen.is_failure], edges, weights=seen.count[seen.is_failure])[0]
    chi_square = float(((failed - expected) ** 2 / expected).sum())
    told = pl.DataFrame({"from_age": edges[:-1], "to_age": edges[1:], "failed": failed, "expected": expected})
    return Goodness(told, float(chdtrc(bands - 1, chi_square)))


def _expected_by(ages: Ages, fit: WeibullFit, at: Array) -> Array:
    """Failures expected by each age, among lives watched as these were."""

    def hazard_by(age: float, end: Array) -> float:
        return float(((np.minimum(end, age) / fit.scale) ** fit.shape) @ ages.count)

    return np.array([hazard_by(age, ages.finish) - hazard_by(age, ages.entry) for age in at])


def _edges(ages: Ages, fit: WeibullFit, bands: int) -> Array:
    """Ages between which equally many failures are expected."""
    last = float(ages.finish.max())
    fine = np.linspace(0.0, last, _FINE)
    reached = _expected_by(ages, fit, fine)
    inner = np.interp(np.arange(1, bands) / bands * reached[-1], reached, fine)
    return np.concatenate(([0.0], inner, [last]))
