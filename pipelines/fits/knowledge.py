"""What is known of a part's life before its lives are counted, made into a prior of the scale.

In: one component's figures, or none. Out: `Knowledge`, and the `ScalePrior` it stands for.
A limit is an interval, not a life: parts are meant to outlast it, so the prior sits at twice the limit. Taken as a life
it would pull the scale low.
Elsewhere: the records the figures stand in (`known_figures`), how wide each prior is (`terms.settings.Prior`), what the
lives add to it (`posterior`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.fits.ages import Ages
from pipelines.terms.settings import Prior

Array = NDArray[np.float64]

_REACH = 6.0
_FLAT_BELOW, _FLAT_ABOVE = 100.0, 20.0
_FLAT_OVER_MEAN, _FLAT_OVER_WATCHED = 50.0, 10.0
_LIFE_OVER_INTERVAL = 2.0


@dataclass(frozen=True)
class ScalePrior:
    """Prior of ln scale: normal around `centre`, or flat between the bounds where `centre` is None.

    Attributes
    ----------
    centre, sd
        Of ln scale; `centre` None: flat.
    low, high
        Where ln scale is looked for.
    basis
        What it rests on, in words.
    """

    centre: float | None
    sd: float
    low: float
    high: float
    basis: str

    def log_density(self, log_scale: Array) -> Array:
        """Logarithm of the density of ln scale at each point."""
        if self.centre is None:
            return np.full(log_scale.shape, -np.log(self.high - self.low))
        return -0.5 * ((log_scale - self.centre) / self.sd) ** 2 - np.log(self.sd * np.sqrt(2 * np.pi))


@dataclass(frozen=True)
class Knowledge:
    """Figures of one component on one clock; the first that is given counts.

    Attributes
    ----------
    expected_life
        Life that the maker or peers expect.
    limit
        Longest interval the maker allows.
    interval
        Interval in force.
    doubt
        Further standard deviation of ln scale, for figures carried over from the other clock.
    """

    expected_life: float | None = None
    limit: float | None = None
    interval: float | None = None
    doubt: float = 0.0

    def scale_prior(self, prior: Prior, ages: Ages) -> ScalePrior:
        """Make the prior of ln scale, wide enough to hold both the knowledge and the ages seen."""
        low, high = _bounds(ages)
        for value, times, sd, basis in (
            (self.expected_life, 1.0, prior.scale_sd_expected_life, "expected life"),
            (self.limit, _LIFE_OVER_INTERVAL, prior.scale_sd_limit, "limit"),
            (self.interval, _LIFE_OVER_INTERVAL, prior.scale_sd_plan, "plan"),
        ):
            if value:
                centre, spread = float(np.log(times * value)), float(np.hypot(sd, self.doubt))
                return ScalePrior(centre, spread, min(low, centre - _REACH * spread), max(high, centre + _REACH * spread), basis)
        return ScalePrior(None, 0.0, low, high, "ages seen")


def _bounds(ages: Ages) -> tuple[float, float]:
    """Reach of a flat prior around the ages seen, in logarithms.

    From a hundredth of the greatest age to 20 times it, or, where many lives had few failures, to 50 times the mean time
    to failure of a constant hazard (10 times all time watched where there was none): a nearer end would rule out that
    hazard by itself. The width does not depend on the unit, so that clocks can be compared.
    """
    greatest = max(ages.low.max(initial=0.0), ages.high[np.isfinite(ages.high)].max(initial=0.0)) or 1.0
    watched, failures = float(ages.count @ (ages.low - ages.entry)), ages.failures + ages.interval_censored
    mean = watched * (_FLAT_OVER_MEAN / failures if failures else _FLAT_OVER_WATCHED)
    return float(np.log(greatest / _FLAT_BELOW)), float(np.log(max(greatest * _FLAT_ABOVE, mean)))
