"""How many renewals fall into a window, for many positions and laws at once, renewals of renewals included.

In: the chance that the part in place, and a new one begun in each cell, still stands at each edge of a lattice of days. Out: probabilities
of 0, 1, 2 ... renewals by the days read. Cells need not be even, and a new part may age otherwise in another month: a life is taken to
begin in the middle of its cell, so that the error falls with the square of the cells. No sampling.
Elsewhere: which laws, ages and days (`demand`), the cells (`day_lattice`), sums over positions (`sums`).

References
----------
Cox, D. R. (1962). Renewal Theory. Methuen, chapters 2 and 3.
"""

import numpy as np
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array

MOST = 60
"""Renewals of one position in one window that are told apart."""

_NO_MORE = 1e-9


def ends_in_cells(standing: Array) -> Array:
    """Chance that a life ends within each cell.

    Parameters
    ----------
    standing
        Shape (..., n + 1): share that still stands at each edge; 1 where it begins.

    Returns
    -------
    array
        Shape (..., n). What is missing to one outlasts the window.
    """
    return standing[..., :-1] - standing[..., 1:]


def count_probabilities(first: Array, new: Array, reads: NDArray[np.intp]) -> tuple[Array, Array]:
    """Probabilities of 0, 1, 2 ... renewals of each position by each of the days read, and their mean number in each cell.

    Parameters
    ----------
    first
        Shape (k, p, n): chance that the part now in each of p positions ends in each cell, under each of k laws.
    new
        Shape (k, n, n): chance that a part begun in the middle of one cell (second axis) ends in another (third).
    reads
        Shape (m,): edges at which counts are read.

    Returns
    -------
    array, array
        Shape (m, k, p, c + 1), c being the most renewals that matter; shape (k, p, n).
    """
    at_least = [np.ones((reads.size, *first.shape[:2]))]
    ending, density = first, np.zeros_like(first)
    while len(at_least) <= MOST:
        at_least.append(np.moveaxis(np.cumsum(ending, axis=-1)[..., reads - 1], -1, 0))
        density = density + ending
        if at_least[-1].max(initial=0.0) < _NO_MORE:
            break
        ending = ending @ new
    return -np.diff(np.stack(at_least, axis=-1), axis=-1, append=0.0), density
