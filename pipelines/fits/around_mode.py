"""Integrals over a few parameters, taken with points laid around the mode of a density.

In: a log density of d parameters, many problems at once; where to begin. Out: modes with the spread there, and points with the volume that
each stands for. Points of a Kronecker sequence, the same every time, are stretched by the curvature at the mode; whoever asks weighs them
by density over stretched density. No random numbers.
Elsewhere: what is integrated (`two_clocks`, `fitted_badly`), one parameter at a time (`lattice`).

References
----------
Naylor, J. C. and Smith, A. F. M. (1982). Applications of a method for the efficient computation of posterior distributions. Applied
Statistics 31, 214-225 (quadrature around the mode).
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtr, stdtrit

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Density = Callable[[Array, Places], Array]
"""Logarithm of the density at n points of d parameters (n x d), each with the number of its problem (n)."""

_FREEDOM = 5.0
"""Degrees of freedom of the stretched density: its tails are heavier than those of any posterior here."""
_STEPS, _SETTLED = 15, 0.02
_LONGEST = 1.0
_NUDGE = 0.02
_LEAST_BEND = 0.3
_EVENEST = {3: 1.2207440846057596, 4: 1.1673039782614187}
"""{dimensions: root of x^(d + 1) = x + 1}: its powers give the evenest sequence (Roberts 2018)."""


def modes(density: Density, start: Array) -> tuple[Array, Array]:
    """Climb to the mode of each problem by Newton's method.

    Parameters
    ----------
    density
        Of the problems.
    start
        k x d, one row a problem.

    Returns
    -------
    tuple of arrays
        The modes, k x d, and a square root of the covariance there, k x d x d.
    """
    at, every = start, np.arange(len(start))
    value = density(at, every)
    roots = np.zeros((*at.shape, at.shape[1]))
    for _ in range(_STEPS):
        gradient, bend = _bends(density, at, value)
        sizes, ways = np.linalg.eigh(-bend)
        roots = ways / np.sqrt(np.maximum(sizes, _LEAST_BEND))[:, None, :]
        step = np.einsum("kij,klj,kl->ki", roots, roots, gradient)
        step *= np.minimum(1.0, _LONGEST / np.maximum(np.abs(step).max(axis=1), 1e-12))[:, None]
        at, value, moved = _climb(density, at, value, step)
        if moved < _SETTLED:
            break
    return at, roots


def points_around(middles: Array, roots: Array, count: int) -> tuple[Array, Array]:
    """Lay points around each mode.

    Parameters
    ----------
    middles, roots
        From `modes`.
    count
        Points a problem.

    Returns
    -------
    tuple of arrays
        Rows of d parameters, problem by problem, and the logarithm of the volume that each stands for.
    """
    size = middles.shape[1]
    place = np.arange(1, count * len(middles) + 1)[:, None] / _EVENEST[size] ** np.arange(1, size + 1)
    away = stdtrit(_FREEDOM, (0.5 + place) % 1.0)
    log_density = (_log_student(away)).sum(axis=1)
    each = np.repeat(np.arange(len(middles)), count)
    at = middles[each] + np.einsum("kij,kj->ki", roots[each], away)
    volume = np.log(np.abs(np.linalg.det(roots)))[each] - np.log(count)
    return at, volume - log_density


def _climb(density: Density, at: Array, value: Array, step: Array) -> tuple[Array, Array, float]:
    """Go along the steps, each shortened until it does not lead down; also how far the farthest went in density."""
    begun, every = value, np.arange(len(at))
    for _ in range(6):
        found = density(at + step, every)
        better = found >= value
        at, value = np.where(better[:, None], at + step, at), np.where(better, found, value)
        if better.all():
            break
        step = np.where(better[:, None], 0.0, step / 3)
    return at, value, float(np.max(value - begun))


def _bends(density: Density, at: Array, value: Array) -> tuple[Array, Array]:
    """Gradient (k x d) and second derivatives (k x d x d) from small steps to either side."""
    size = at.shape[1]
    unit = np.eye(size) * _NUDGE
    pairs = [(i, j) for i in range(size) for j in range(i + 1, size)]
    shifts = np.vstack([unit, -unit, *(unit[i] + unit[j] for i, j in pairs), *(-unit[i] - unit[j] for i, j in pairs)])
    every = np.repeat(np.arange(len(at)), len(shifts))
    around = density((at[:, None, :] + shifts).reshape(-1, size), every).reshape(-1, len(shifts))
    up, down = around[:, :size], around[:, size : 2 * size]
    gradient = (up - down) / (2 * _NUDGE)
    bend = np.zeros((len(at), size, size))
    for axis in range(size):
        bend[:, axis, axis] = (up[:, axis] + down[:, axis] - 2 * value) / _NUDGE**2
    for place, (i, j) in enumerate(pairs):
        both = around[:, 2 * size + place] + around[:, 2 * size + len(pairs) + place]
        cross = (both - up[:, i] - up[:, j] - down[:, i] - down[:, j] + 2 * value) / (2 * _NUDGE**2)
        bend[:, i, j] = bend[:, j, i] = cross
    return np.nan_to_num(gradient, posinf=0.0, neginf=0.0), np.nan_to_num(bend, posinf=0.0, neginf=0.0)


_TOP = float(np.log((stdtr(_FREEDOM, 1e-4) - stdtr(_FREEDOM, -1e-4)) / 2e-4))


def _log_student(away: Array) -> Array:
    return _TOP - (_FREEDOM + 1) / 2 * np.log1p(away**2 / _FREEDOM)
