"""The leaves of the prior tree, and the lattice of points that each leaf is integrated on.

In: `Evidence`, the prior of ln scale, a `Leaf`. Out: a `Block` whose weights are still logarithms, not yet normed.
Within a leaf: ln shape on one lattice, ln scale on a lattice of its own for every shape, and the share of constant hazard
(family `floor_weibull`) outside both. Each lattice reaches as far as there is mass, in steps of a third of a standard
deviation, so that a narrow or a bent posterior is followed as well as a wide one. The random leaf has shape 1 exactly; its
one lattice is much finer, because its points are not spread by shapes.
Elsewhere: the search for where the mass is (`lattice`), norming and pruning (`posterior`).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.fits.blocks import FAILS_YOUNG, RANDOM, WEARS_OUT, Block
from pipelines.fits.knowledge import ScalePrior
from pipelines.fits.lattice import Lattice, lattice, log_sum, settle
from pipelines.fits.likelihood import EXPONENTIAL, FLOOR_WEIBULL, LOGNORMAL, WEIBULL, Evidence, log_likelihood, sketch_of
from pipelines.terms.settings import Prior

Array = NDArray[np.float64]

_SHAPE_REACH = 4.5
_FINE, _FLOOR, _COARSE, _ALONE = 37, 21, 15, 240
_SHARES = 11
_GREATEST_SHARE = 1 - 1e-9


@dataclass(frozen=True)
class Leaf:
    """One branch and family with its prior weight.

    Attributes
    ----------
    weight
        Prior probability; those of all leaves add to 1.
    shape_median, shape_sd
        Of the lognormal prior of the shape; `shape_sd` 0: the shape is 1.
    floor_share
        Prior mean of the share of constant hazard, a Beta(1, .) variable; 0: none.
    """

    branch: str
    family: str
    weight: float
    shape_median: float = 1.0
    shape_sd: float = 0.0
    floor_share: float = 0.0


def leaves_of(prior: Prior) -> Iterator[Leaf]:
    """Leaves of the tree that have any weight."""
    wear = (prior.wear_shape_median, prior.wear_shape_sd)
    leaves = (
        Leaf(WEARS_OUT, WEIBULL, prior.wears_out * prior.family_weibull, *wear),
        Leaf(WEARS_OUT, LOGNORMAL, prior.wears_out * prior.family_lognormal, *wear),
        Leaf(WEARS_OUT, FLOOR_WEIBULL, prior.wears_out * prior.family_floor_weibull, *wear, prior.floor_share),
        Leaf(RANDOM, EXPONENTIAL, prior.random),
        Leaf(FAILS_YOUNG, WEIBULL, prior.fails_young, prior.young_shape_median, prior.young_shape_sd),
    )
    return (leaf for leaf in leaves if leaf.weight > 0)


def leaf_points(evidence: Evidence, scale_prior: ScalePrior, leaf: Leaf, clock: str) -> Block:
    """Lay the lattices of one leaf.

    Returns
    -------
    Block
        Its `weight` holds ln(prior weight x prior density x likelihood x step), to be normed over all leaves.
    """
    region = _Region(evidence, sketch_of(evidence), scale_prior, leaf)
    shares, share_weight, count = region.shares()
    shapes = region.shapes(shares, count)
    rows = None if shares is None else np.repeat(shares, shapes.points.shape[1])
    scales = region.scales(shapes.points.ravel(), rows, count)
    outer = (share_weight[:, None] + shapes.log_mass).ravel()
    shape_cell = np.exp(np.broadcast_to(shapes.log_step, shapes.points.shape)).ravel() if leaf.shape_sd else np.zeros(1)
    wide = scales.points.shape[1]
    return Block(
        leaf.branch,
        leaf.family,
        clock,
        np.exp(np.repeat(shapes.points.ravel(), wide)),
        np.exp(scales.points).ravel(),
        (scales.log_mass + outer[:, None] + np.log(leaf.weight)).ravel(),
        None if rows is None else np.repeat(rows, wide),
        np.repeat(shape_cell, wide),
        np.repeat(np.exp(scales.log_step), wide),
    )


@dataclass(frozen=True)
class _Region:
    """The parameters of one leaf and their posterior density, as logarithms."""

    evidence: Evidence
    sketch: Evidence
    scale_prior: ScalePrior
    leaf: Leaf

    def shares(self) -> tuple[Array | None, Array, int]:
        """Shares of constant hazard with the logarithm of their weight, and how fine the other lattices are."""
        if not self.leaf.floor_share:
            return None, np.zeros(1), _FINE if self.leaf.shape_sd else _ALONE
        low, high = settle(self._of_share, np.zeros(1), np.full(1, _GREATEST_SHARE))
        found = lattice(self._share_density, low, high, _SHARES)
        return found.points[0], found.log_mass[0], _FLOOR

    def shapes(self, shares: Array | None, count: int) -> Lattice:
        """Lattice of ln shape, a row a share, with its prior density; the single shape 1 where there is no doubt of it."""
        rows = 1 if shares is None else shares.size
        if not self.leaf.shape_sd:
            return Lattice(np.zeros((rows, 1)), np.zeros((rows, 1)), np.zeros((rows, 1)))
        return lattice(self._shape_density, *self._shape_range(shares, rows), count)

    def scales(self, log_shape: Array, shares: Array | None, count: int) -> Lattice:
        """Lattice of ln scale for each shape (and share), with ln(likelihood x prior density of ln scale).

        A coarse lattice reads the sketch alone: it only serves to find where the mass is.
        """

        def density_by(evidence: Evidence) -> Callable[[Array], Array]:
            def density(points: Array) -> Array:
                known = log_likelihood(self.leaf.family, evidence, np.exp(log_shape), points, shares)
                return known + self.scale_prior.log_density(points)

            return density

        bounds = (np.full(log_shape.size, bound) for bound in (self.scale_prior.low, self.scale_prior.high))
        found = settle(density_by(self.sketch), *bounds)
        return lattice(density_by(self.sketch if count == _COARSE else self.evidence), *found, count)

    def _shape_range(self, shares: Array | None, rows: int) -> tuple[Array, Array]:
        middle, reach = np.log(self.leaf.shape_median), _SHAPE_REACH * self.leaf.shape_sd

        def marginal(points: Array) -> Array:
            across = None if shares is None else np.repeat(shares, points.shape[1])
            return self.scales(points.ravel(), across, _COARSE).log_total.reshape(points.shape) + self._shape_density(points)

        return settle(marginal, np.full(rows, middle - reach), np.full(rows, middle + reach))

    def _of_share(self, points: Array) -> Array:
        """Posterior density of the share, shape and scale integrated out."""
        shares = points.ravel()
        shapes = self.shapes(shares, _COARSE)
        total = self.scales(shapes.points.ravel(), np.repeat(shares, _COARSE), _COARSE).log_total
        inner = log_sum(total.reshape(shapes.points.shape) + shapes.log_mass)
        return inner.reshape(points.shape) + self._share_density(points)

    def _shape_density(self, points: Array) -> Array:
        away = (points - np.log(self.leaf.shape_median)) / self.leaf.shape_sd
        return -0.5 * away**2 - np.log(self.leaf.shape_sd * np.sqrt(2 * np.pi))

    def _share_density(self, points: Array) -> Array:
        power = 1 / self.leaf.floor_share - 1
        return np.log(power) + (power - 1) * np.log1p(-points)
