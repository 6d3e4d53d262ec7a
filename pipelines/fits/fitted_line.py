"""The fitted Weibull as a line over the curve, with limits at every age.

In: `Ages` and their `WeibullFit`. Out: the share still running at ages, with profile-likelihood limits.
The limits of a share at an age are its least and greatest value over all (shape, scale) whose log-likelihood lies within
half a chi-square quantile of the peak; it is enough to go round the edge of that region once for all ages.
Elsewhere: limits of single figures (`profile_limits`), the posterior's (`posterior`).

References
----------
Meeker, W. Q. and Escobar, L. A. (1998). Statistical Methods for Reliability Data, sections 8.3 and 8.4. Wiley.
"""

import numpy as np
import polars as pl
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from pipelines.fits.ages import Ages
from pipelines.fits.likelihood import WEIBULL, Evidence, evidence_of, log_likelihood
from pipelines.fits.weibull import WeibullFit
from pipelines.fits.weibull_slopes import slopes

Array = NDArray[np.float64]

_WAYS = 180
_HALVINGS = 25
_FARTHEST = 60.0
"""In standard errors: the likelihood of few failures may never fall far enough in some directions."""


def fitted_line(ages: Ages, fit: WeibullFit, at: ArrayLike, level: float = 0.95, from_age: float = 0.0) -> pl.DataFrame:
    """Share still running by the fitted Weibull, with limits.

    Parameters
    ----------
    ages
        The lives that `fit` is of.
    fit
        From `fit_weibull`.
    at
        Ages, `from_age` or above.
    level
        Two-sided confidence level, age by age.
    from_age
        Shares are of the parts that reach this age.

    Returns
    -------
    polars.DataFrame
        `age`, `surviving`, `low`, `high` (0 to 1), a row an age.
    """
    wanted = np.asarray(at, dtype=float)
    shape, scale = _edge(evidence_of(ages), fit, level)
    shares = _surviving(shape, scale, wanted, from_age)
    likely = _surviving(np.array([fit.shape]), np.array([fit.scale]), wanted, from_age)[0]
    low, high = np.minimum(shares.min(0), likely), np.maximum(shares.max(0), likely)
    return pl.DataFrame({"age": wanted, "surviving": likely, "low": low, "high": high})


def _surviving(shape: Array, scale: Array, at: Array, from_age: float) -> Array:
    with np.errstate(over="ignore", divide="ignore", under="ignore"):
        start = (from_age / scale) ** shape
        hazard = (at[None, :] / scale[:, None]) ** shape[:, None]
        return np.exp(-np.maximum(hazard - start[:, None], 0.0))


def _edge(evidence: Evidence, fit: WeibullFit, level: float) -> tuple[Array, Array]:
    """Shapes and scales round the edge of the likelihood region, one for each way out from the peak."""
    peak = np.array([np.log(fit.shape), np.log(fit.scale) - evidence.log_unit])
    ways = _ways(-slopes(evidence, peak)[2])
    drop = float(ndtri((1 + level) / 2)) ** 2 / 2

    def inside(reach: Array) -> NDArray[np.bool_]:
        at = peak + reach[:, None] * ways
        found = log_likelihood(WEIBULL, evidence, np.exp(at[:, 0]), at[:, 1:] + evidence.log_unit)[:, 0]
        return found >= fit.log_likelihood - drop

    near, far = np.zeros(_WAYS), np.full(_WAYS, 1.0)
    while (growing := inside(far) & (far < _FARTHEST)).any():
        near, far = np.where(growing, far, near), np.where(growing, 2 * far, far)
    for _ in range(_HALVINGS):
        middle = (near + far) / 2
        held = inside(middle)
        near, far = np.where(held, middle, near), np.where(held, far, middle)
    found = peak + near[:, None] * ways
    return np.exp(found[:, 0]), np.exp(found[:, 1] + evidence.log_unit)


def _ways(information: Array) -> Array:
    """Directions out from the peak, each as long as a standard error in that direction."""
    bends, axes = np.linalg.eigh(information)
    turn = np.linspace(0, 2 * np.pi, _WAYS, endpoint=False)
    round_once = np.column_stack((np.cos(turn), np.sin(turn)))
    return round_once @ (axes / np.sqrt(np.maximum(bends, 1e-12))).T
