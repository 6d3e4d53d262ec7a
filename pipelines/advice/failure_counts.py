"""How many failures fall into a window, for many positions and laws at once, when parts are also renewed by plan.

In: chances of a part in place, and of a new one, to fail or to be renewed at each step of a lattice. Out: probabilities of 0, 1, 2 ...
failures. A renewal by plan begins a new life and is not counted. No sampling.
Elsewhere: all renewals together (`renewal_counts`), which laws and windows (`forecast`).

References
----------
Cox, D. R. (1962). Renewal Theory. Methuen, chapters 4 and 7.
"""

import numpy as np

from pipelines.advice.age_replacement import Array

MOST = 8
"""Failures of one position in one window that are told apart; a ninth is counted as the eighth."""


def ending_masses(lasting: Array, kept: Array) -> tuple[Array, Array]:
    """Split the end of a life into failing and being renewed by plan, whichever comes first.

    Parameters
    ----------
    lasting, kept
        Shape (..., n + 1): share not failed, and share not renewed by plan, at half a step, one and a half ...; 1 at the beginning.

    Returns
    -------
    array, array
        Shape (..., n + 1): chance to fail, and to be renewed, at 0, 1, ... n steps.
    """
    lasting_before, kept_before = (np.concatenate([np.ones_like(held[..., :1]), held[..., :-1]], axis=-1) for held in (lasting, kept))
    failing = (lasting_before - lasting) * (kept_before + kept) / 2
    renewed = (kept_before - kept) * (lasting_before + lasting) / 2
    return failing, renewed


def new_part_counts(failing: Array, renewed: Array) -> Array:
    """Probabilities of so many failures in what is left of the window after a new part went in.

    Parameters
    ----------
    failing, renewed
        Shape (k, n + 1): as of `ending_masses`, under each of k laws.

    Returns
    -------
    array
        Shape (k, n + 1, c): with 0, 1, ... n steps left.
    """
    laws, size = failing.shape
    # A life takes a step at least, or a position could fail without end in no time.
    failing, renewed = (np.concatenate([held[:, :1] * 0, held[:, :1] + held[:, 1:2], held[:, 2:]], axis=1) for held in (failing, renewed))
    counts = np.zeros((laws, size, MOST + 1))
    over = np.cumsum(failing + renewed, axis=1)
    for left in range(size):
        back = counts[:, left - 1 :: -1][:, :left] if left else counts[:, :0]
        failed = np.einsum("ks,ksc->kc", failing[:, 1 : left + 1], back)
        planned = np.einsum("ks,ksc->kc", renewed[:, 1 : left + 1], back)
        counts[:, left] = planned + one_more(failed)
        counts[:, left, 0] += 1 - over[:, left]
    return counts


def counts_in_place(failing: Array, renewed: Array, new: Array) -> Array:
    """Probabilities of so many failures at positions with a part in place.

    Parameters
    ----------
    failing, renewed
        Shape (k, p, n + 1).
    new
        Shape (k, n + 1, c), as of `new_part_counts`.

    Returns
    -------
    array
        Shape (k, p, c).
    """
    after = new[:, ::-1]
    counts = np.einsum("kps,ksc->kpc", renewed, after) + one_more(np.einsum("kps,ksc->kpc", failing, after))
    counts[..., 0] += 1 - (failing + renewed).sum(axis=-1)
    return counts


def one_more(counts: Array) -> Array:
    """Return the probabilities of one more than these."""
    more = np.concatenate([np.zeros_like(counts[..., :1]), counts[..., :-1]], axis=-1)
    more[..., -1] += counts[..., -1]
    return more


def thinned(counts: Array, share: float) -> Array:
    """Return the probabilities of those of the events that are of one sort, each with chance `share`."""
    size = counts.shape[-1]
    ways = np.zeros((size, size))
    for number in range(size):
        one = np.ones(1)
        for _ in range(number):
            one = np.convolve(one, [1 - share, share])
        ways[number, : number + 1] = one
    return counts @ ways
