"""What is believed of a figure above nought, as a gamma distribution: its limits, and the product of several.

In: means and squared coefficients of variation. Out: limits, and the same of a product.
Elsewhere: counts whose rate is believed so (`advice.counts`).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincinv

from pipelines.fits.confidence import tail

Array = NDArray[np.float64]
SURE = 1e-9
"""A squared coefficient of variation below this is none."""


def gamma_limits(mean: ArrayLike, spread: ArrayLike, level: float = 0.90) -> tuple[Array, Array]:
    """Return the central limits of gamma distributions.

    Parameters
    ----------
    mean
        0 or more.
    spread
        Squared coefficients of variation, 0 or more; 0: the mean is sure.
    level
        Between 0 and 1.
    """
    middle, wide = np.broadcast_arrays(np.asarray(mean, dtype=float), np.maximum(np.asarray(spread, dtype=float), SURE))
    cut = tail(level)
    return middle * wide * gammaincinv(1 / wide, cut), middle * wide * gammaincinv(1 / wide, 1 - cut)


def product_spread(*spreads: ArrayLike) -> Array:
    """Return the squared coefficient of variation of a product of independent figures: 1 + the product's is the product of 1 + each."""
    total = np.ones(())
    for spread in spreads:
        total = total * (1 + np.asarray(spread, dtype=float))
    return np.asarray(total - 1)
