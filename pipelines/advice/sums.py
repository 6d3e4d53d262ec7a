"""The sum of many independent counts under each of several laws, by Fourier transform within a window around its mean.

In: probabilities of 0, 1, 2 ... at each position. Out: probabilities of their sum, one row a law.
Counts beyond nine standard deviations and some from the mean are folded back: their weight is below rounding.
Elsewhere: the counts (`renewal_counts`), mixing the laws (`demand`).
"""

import numpy as np
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array

_SPREADS, _ROOM = 9.0, 24.0
_DUST = 1e-14


def summed(probabilities: Array, times: NDArray[np.intp]) -> Array:
    """Add up independent counts under each law.

    Parameters
    ----------
    probabilities
        Shape (k, p, c + 1).
    times
        Shape (p,): how many positions each stands for.

    Returns
    -------
    array
        Shape (k, t + 1): probabilities of 0 to t.
    """
    counts = np.arange(probabilities.shape[-1])
    mean = probabilities @ counts
    variance = np.maximum(probabilities @ counts**2 - mean**2, 0.0) @ times
    most = int(counts[-1] * times.sum())
    width = min(float(most + 1), 2 * (_SPREADS * float(np.sqrt(variance.max(initial=0.0))) + _ROOM))
    points = int(2 ** np.ceil(np.log2(max(width, 2.0))))
    start = np.clip(np.floor(mean @ times - points / 2), 0, max(0, most + 1 - points)).astype(np.intp)
    folded = np.maximum(np.fft.irfft(_transform(probabilities, times, points), points), 0.0)
    return _unfolded(np.where(folded > _DUST, folded, 0.0), start)


def _transform(probabilities: Array, times: NDArray[np.intp], points: int) -> NDArray[np.complex128]:
    """Characteristic function of the sum at the frequencies of the window, shape (k, points / 2 + 1)."""
    angles = np.outer(np.arange(probabilities.shape[-1]), np.arange(points // 2 + 1))
    waves = np.exp(-2j * np.pi * (angles % points) / points)
    whole = np.ones((probabilities.shape[0], waves.shape[1]), dtype=complex)
    for number in np.unique(times):
        product = np.prod(probabilities[:, times == number] @ waves, axis=1)
        whole *= product ** int(number)
    return whole


def _unfolded(folded: Array, start: NDArray[np.intp]) -> Array:
    """Put each row where its window stands: the window of row k holds the counts from `start[k]` on, each at its rest by the width."""
    laws, points = folded.shape
    counts = start[:, None] + np.arange(points)
    whole = np.zeros((laws, int(counts.max()) + 1))
    rows = np.arange(laws)[:, None]
    whole[rows, counts] = folded[rows, counts % points]
    return whole / whole.sum(axis=1, keepdims=True)
