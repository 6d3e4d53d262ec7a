"""The Weibull distribution that makes the lives seen most likely, or a reason why there is none.

In: `Ages` (exact, between two ages, suspended, delayed entry, counts). Out: `WeibullFit`.
Newton's method on (ln shape, ln scale) with the derivatives written out, so a million lives cost a fraction of a second.
Refuses with a reason where the likelihood has no peak: libraries answer there with a made-up shape.
Elsewhere: limits (`profile_limits`), the same fit through lifelines (`lifelines_fit`), few failures (`posterior`).

References
----------
Lawless, J. F. (2003). Statistical Models and Methods for Lifetime Data, 2nd edition, sections 4.1 and 5.2. Wiley.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages
from pipelines.fits.lifelines_fit import weibull_through_lifelines
from pipelines.fits.likelihood import Evidence, evidence_of
from pipelines.fits.weibull_slopes import slopes

Array = NDArray[np.float64]

_MOST_STEPS = 60
_SETTLED = 1e-9
_LONGEST_STEP = 1.0
_FARTHEST_LOG_SHAPE = 7.0


@dataclass(frozen=True)
class WeibullFit:
    """Most likely shape and scale: S(t) = exp(-(t / scale)^shape).

    Attributes
    ----------
    shape
        Above 1: wears out; below 1: fails young.
    scale
        Age by which 63.2 % have failed, in the unit of the ages.
    log_likelihood
        Natural logarithm, all constants kept.
    """

    shape: float
    scale: float
    log_likelihood: float

    def age_at(self, failed_share: float) -> float:
        """Age by which a share of parts has failed."""
        return self.scale * float(-np.log1p(-failed_share)) ** (1.0 / self.shape)

    def surviving(self, age: float) -> float:
        """Share still running at an age."""
        return float(np.exp(-((age / self.scale) ** self.shape)))

    @property
    def b10(self) -> float:
        """Age by which 10 % have failed."""
        return self.age_at(0.1)

    @property
    def median(self) -> float:
        """Age by which half have failed."""
        return self.age_at(0.5)


def fit_weibull(ages: Ages) -> WeibullFit:
    """Find the most likely shape and scale.

    Raises
    ------
    NoFigure
        If there is no failure or only one, if one single age could explain every failure, or if the likelihood rises
        without end for another reason. The message says which.
    """
    refuse_if_shapeless(ages)
    evidence = evidence_of(ages)
    peak = _peak(evidence, np.array([0.0, _constant_hazard_scale(evidence)]))
    if peak is None:
        peak = _peak(evidence, _start_from_lifelines(ages, evidence.log_unit))
    if peak is None:
        raise NoFigure("The likelihood of these lives rises without end, so there is no most likely shape; the posterior still answers.")
    value, _, _ = slopes(evidence, peak)
    return WeibullFit(float(np.exp(peak[0])), float(np.exp(peak[1] + evidence.log_unit)), value)


def refuse_if_shapeless(ages: Ages) -> None:
    """Refuse lives that have no most likely shape.

    Raises
    ------
    NoFigure
        With the count or the age that is the reason, and what would change it.
    """
    failures = ages.failures + ages.interval_censored
    if not ages.lives:
        raise NoFigure("There are no lives, so there is no most likely shape.")
    if failures < 2:
        found = "No failure" if not failures else "Only one failure"
        raise NoFigure(
            f"{found} among {ages.lives} lives: a most likely shape needs 2 failures at different ages; the posterior still answers."
        )
    reached, failed_by = float(ages.low.max()), float(ages.high[~ages.is_suspended].min())
    if reached <= failed_by:
        raise NoFigure(
            f"All {failures} failures can have come at one age ({failed_by:g}) and no life was seen running beyond it: "
            "the most likely shape has no upper end; the posterior still answers."
        )


def _peak(evidence: Evidence, start: Array) -> Array | None:
    """Climb to where the slope is nil; None if that is nowhere within reach."""
    at, (value, gradient, hessian) = start, slopes(evidence, start)
    for _ in range(_MOST_STEPS):
        step = _uphill(gradient, hessian)
        at, (reached, gradient, hessian) = _climb(evidence, at, value, step)
        if abs(at[0]) > _FARTHEST_LOG_SHAPE or not np.isfinite(reached):
            return None
        if np.abs(step).max() < _SETTLED:
            return at
        value = reached
    return None


def _uphill(gradient: Array, hessian: Array) -> Array:
    """Newton step, turned uphill where the surface is not a dome, and no longer than 1 in either logarithm."""
    bends, ways = np.linalg.eigh(hessian)
    step = ways @ ((ways.T @ gradient) / np.maximum(np.abs(bends), np.finfo(float).tiny))
    return step / max(1.0, float(np.abs(step).max()) / _LONGEST_STEP)


def _climb(evidence: Evidence, at: Array, value: float, step: Array) -> tuple[Array, tuple[float, Array, Array]]:
    """Go along a step, halved until it does not lead down."""
    slack = 1e-12 * abs(value)
    for _ in range(_MOST_STEPS):
        found = slopes(evidence, at + step)
        if found[0] >= value - slack:
            break
        step = step / 2
    return at + step, found


def _constant_hazard_scale(evidence: Evidence) -> float:
    """Ln scale of the best constant hazard, failures between two ages taken half way: where the climb starts."""
    exposure = evidence.survived_count @ np.exp(evidence.survived) + evidence.exact_count @ np.exp(evidence.exact)
    half_ways = evidence.interval_count @ (np.exp(evidence.high) - np.exp(evidence.low)) / 2
    return float(np.log((exposure + half_ways) / evidence.failures))


def _start_from_lifelines(ages: Ages, log_unit: float) -> Array:
    shape, scale, _ = weibull_through_lifelines(ages)
    return np.array([np.log(shape), np.log(scale) - log_unit])
