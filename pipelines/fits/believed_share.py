"""Limits of a share that is believed rather than counted: a beta distribution around it.

In: a share and how many trials it is worth. Out: limits. Elsewhere: exact limits of a counted share (`rates`).
"""

from scipy.stats import beta

from pipelines.fits.confidence import tail


def believed_limits(share: float, trials: float, level: float = 0.90) -> tuple[float, float]:
    """Return the central limits of a share, the marginal of a Dirichlet distribution [1]_.

    Parameters
    ----------
    share
        Mean, 0 to 1.
    trials
        Calls it rests on, those that the prior counts for among them; above 0.
    level
        Between 0 and 1.

    References
    ----------
    .. [1] Gelman, A. et al. (2013). Bayesian Data Analysis, 3rd ed., section 3.4 and appendix A.
    """
    if not 0 < share < 1:
        return share, share
    cut = tail(level)
    low, high = beta.ppf([cut, 1 - cut], share * trials, (1 - share) * trials)
    return float(low), float(high)
