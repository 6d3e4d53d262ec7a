"""How many renewals fall into a window, for many positions and laws at once, renewals of renewals included.

In: survival of the present part and of new ones over a lattice of ages, the age of planned renewal. Out: probabilities of 0, 1, 2 ...
renewals. Lives are rounded to the nearest step of the lattice, so that sums of lives are exact on it; the error falls with the square of
the step. No sampling.
Elsewhere: which laws and windows (`demand`).

References
----------
Cox, D. R. (1962). Renewal Theory. Methuen, chapters 2 and 3.
"""

import numpy as np
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array

Steps = NDArray[np.intp]

MOST = 60
"""Renewals of one position in one window that are told apart."""

_NO_MORE = 1e-9


def life_masses(surviving: Array, planned_step: Steps | int) -> Array:
    """Probability that a life ends at each step, by failing or by planned renewal.

    Parameters
    ----------
    surviving
        Shape (..., n + 1): share surviving at ages half a step, one and a half, ... n and a half steps.
    planned_step
        Step at which the part is renewed if it still runs, broadcast against all but the last axis; above n: not within the lattice.

    Returns
    -------
    array
        Shape (..., n + 1): masses at 0, 1, ... n steps. What is missing to one outlasts the lattice.
    """
    before = np.concatenate([np.ones_like(surviving[..., :1]), surviving[..., :-1]], axis=-1)
    steps = np.arange(surviving.shape[-1])
    planned = np.asarray(planned_step)[..., None]
    return np.where(steps < planned, before - surviving, np.where(steps == planned, before, 0.0))


def count_probabilities(first: Array, new: Array) -> Array:
    """Probabilities of 0, 1, 2 ... renewals of each position in a window of n + 1/2 steps.

    Parameters
    ----------
    first
        Shape (k, p, n + 1): masses of the remaining life of the part now in each of p positions, under each of k laws.
    new
        Shape (k, n + 1): masses of the life of a new part.

    Returns
    -------
    array
        Shape (k, p, c + 1), c being the most renewals that matter.
    """
    follow = _toeplitz(new)
    at_least = [np.ones(first.shape[:2])]
    reached = np.cumsum(first, axis=-1)
    while len(at_least) <= MOST:
        at_least.append(reached[..., -1])
        if at_least[-1].max(initial=0.0) < _NO_MORE:
            break
        reached = reached @ follow
    return -np.diff(np.stack(at_least, axis=-1), append=0.0, axis=-1)


def _toeplitz(new: Array) -> Array:
    """Matrices that carry the chance of having had j renewals by each step to that of having had j + 1."""
    size = new.shape[-1]
    behind = np.arange(size)[None, :] - np.arange(size)[:, None]
    return np.where(behind >= 0, new[:, np.maximum(behind, 0)], 0.0)
