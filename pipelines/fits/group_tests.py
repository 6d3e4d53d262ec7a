"""Whether groups of parts last equally long: the log-rank test, also for lives watched from some age on.

In: `Ages` by group. Out: `GroupTest`. It says whether chance explains a difference, not how large it is.
Elsewhere: what the groups' lives are (`weibull`, `posterior`), whether to treat them apart (`advice`).
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, together
from pipelines.fits.risk_set import at_risk, failures_at, risk_set

Array = NDArray[np.float64]


@dataclass(frozen=True)
class GroupTest:
    """Result of a log-rank test.

    Attributes
    ----------
    chi_square, degrees
        Statistic and its degrees of freedom.
    p_value
        Chance of so large a difference between groups that last equally long.
    observed, expected
        Failures of each group, and those it would have had if all groups lasted equally long.
    """

    chi_square: float
    degrees: int
    p_value: float
    observed: dict[str, float]
    expected: dict[str, float]


def log_rank(by_group: Mapping[str, Ages]) -> GroupTest:
    """Compare the lives of groups by the log-rank test [1]_, the score test of proportional hazards [2]_.

    A group's lives are at risk only while watched, so delayed entry needs nothing else. A failure known only to lie
    between two ages is put in the middle.

    Raises
    ------
    NoFigure
        If fewer than two groups have lives, no life failed, or no two groups were ever at risk at the age of a failure.

    References
    ----------
    .. [1] Mantel, N. (1966). Evaluation of survival data and two new rank order statistics arising in its consideration.
       Cancer Chemotherapy Reports 50, 163-170. Peto, R. and Peto, J. (1972), J. Royal Statistical Society A 135, 185-207.
    .. [2] Cox, D. R. (1972). Regression models and life-tables. Journal of the Royal Statistical Society B 34, 187-220.
    """
    known = {group: ages.at_middles() for group, ages in by_group.items() if ages.lives}
    if len(known) < 2:
        raise NoFigure(f"{len(known)} group with lives: a comparison needs two.")
    everyone = together(known.values())
    if not everyone.failures:
        raise NoFigure(f"None of {everyone.lives} lives has failed, so the groups cannot be told apart.")
    counts = risk_set(everyone)
    risk = np.stack([at_risk(ages, counts.age) for ages in known.values()])
    failed = np.stack([failures_at(ages, counts.age) for ages in known.values()]).sum(1)
    expected = (risk * (counts.failed / counts.at_risk)).sum(1)
    chi_square, degrees = _distance(failed - expected, _covariance(risk, counts.at_risk, counts.failed))
    if not degrees:
        raise NoFigure("At no age of a failure was more than one group watched, so the groups cannot be compared.")
    names = list(known)
    return GroupTest(
        chi_square,
        degrees,
        float(chdtrc(degrees, chi_square)),
        dict(zip(names, failed.tolist(), strict=True)),
        dict(zip(names, expected.tolist(), strict=True)),
    )


def _covariance(risk: Array, at_risk: Array, failed: Array) -> Array:
    """Hypergeometric covariance of the groups' failures, summed over failure ages."""
    spread = np.divide(failed * (at_risk - failed), at_risk - 1, out=np.zeros_like(failed), where=at_risk > 1)
    share = risk / at_risk
    return np.diag((share * spread).sum(1)) - (share * spread) @ share.T


def _distance(difference: Array, covariance: Array) -> tuple[float, int]:
    """Squared length of the differences in units of their covariance, and its rank."""
    scale = max(float(np.abs(covariance).max()), 1e-300)
    degrees = int(np.linalg.matrix_rank(covariance / scale, tol=1e-9, hermitian=True))
    inverse = np.linalg.pinv(covariance, rcond=1e-9, hermitian=True)
    return float(difference @ inverse @ difference), degrees
