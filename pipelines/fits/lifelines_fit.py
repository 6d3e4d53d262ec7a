"""The Weibull fit through the library lifelines: a second opinion, and a start where our own climb does not settle.

In: `Ages`. Out: shape, scale and log-likelihood as lifelines finds them. Slow to import, so imported when asked.
Its limits are not used: they are made on the natural scale and can fall below 0.
Elsewhere: the fit that answers rest on (`weibull`).
"""

import warnings

import numpy as np

from pipelines.fits.ages import Ages

_TIGHT = {"ftol": 1e-14, "gtol": 1e-8}
"""Lifelines' own stopping rule leaves the shape 2e-5 off."""


def weibull_through_lifelines(ages: Ages) -> tuple[float, float, float]:
    """Shape, scale and log-likelihood by lifelines, with entry ages, intervals and counts.

    Parameters
    ----------
    ages
        At least two failures at different ages: with fewer, lifelines returns a shape without meaning and no error.
    """
    from lifelines import WeibullFitter

    unit = float(ages.low.max()) or 1.0
    given = {"entry": ages.entry / unit, "weights": ages.count, "fit_options": _TIGHT}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        if ages.is_interval.any():
            fitted = WeibullFitter().fit_interval_censoring(ages.low / unit, ages.high / unit, **given)
        else:
            fitted = WeibullFitter().fit(ages.low / unit, ages.is_failure, **given)
    exact = float(ages.count[ages.is_failure].sum())
    return float(fitted.rho_), float(fitted.lambda_) * unit, float(fitted.log_likelihood_) - exact * float(np.log(unit))
