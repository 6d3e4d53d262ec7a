"""What few or no failures still say: how many trouble-free parts prove a claim, and the scale if the shape is taken as known.

In: counts, or `Ages`. Out: numbers. Exact, no fitting.
Elsewhere: shape and scale both unknown (`weibull`), knowledge from outside weighed in (`posterior`).
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import gammaincinv

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages
from pipelines.fits.confidence import tail


@dataclass(frozen=True)
class AssumedShapeScale:
    """Weibull scale under an assumed shape.

    Attributes
    ----------
    scale
        Most likely value; `None` with no failure.
    at_least
        One-sided exact lower limit.
    level
        Its confidence level.
    """

    scale: float | None
    at_least: float
    level: float


def success_run(reliability: float, confidence: float) -> int:
    """Least number of parts that must all last to show a reliability at a confidence: n with reliability^n <= 1 - confidence.

    Source: the success-run theorem, a closed form.

    Raises
    ------
    NoFigure
        If either is not between 0 and 1.
    """
    for name, share in (("reliability", reliability), ("confidence", confidence)):
        if not 0 < share < 1:
            raise NoFigure(f"{name}: {share:g}. Give a share between 0 and 1 such as 0.9.")
    return int(np.ceil(np.log1p(-confidence) / np.log(reliability) - 1e-9))


def scale_with_assumed_shape(ages: Ages, shape: float, level: float = 0.95) -> AssumedShapeScale:
    """Weibull scale and its exact lower limit when the shape is taken as known [1]_.

    On the clock age^shape the failures come at a constant rate, so the limits are those of a rate. Exact with no
    failures or a watch ended by the last failure; a little low otherwise, the safe side.

    Parameters
    ----------
    ages
        Lives with failures at known ages.
    shape
        Assumed shape, above 0.
    level
        Confidence level of the one-sided lower limit.

    Raises
    ------
    NoFigure
        If the shape is not above 0, no lives were watched, or a failure is only known to lie between two ages.

    References
    ----------
    .. [1] Nelson, W. (1985). Weibull analysis of reliability data with few or no failures. Journal of Quality Technology 17, 140-146.
    """
    if not shape > 0 or np.isinf(shape):
        raise NoFigure(f"shape: {shape:g}. Give a number above 0 such as 2.")
    if ages.interval_censored or not ages.lives:
        raise NoFigure(
            f"{ages.lives} lives, {ages.interval_censored} of them failed between two ages: no exact scale. The posterior gives one."
        )
    failures, unit = ages.failures, float(ages.finish.max())
    watched = float(ages.count @ ((ages.finish / unit) ** shape - (ages.entry / unit) ** shape))
    most_likely = unit * (watched / failures) ** (1 / shape) if failures else None
    return AssumedShapeScale(most_likely, unit * (watched / float(gammaincinv(failures + 1, 1 - 2 * tail(level)))) ** (1 / shape), level)
