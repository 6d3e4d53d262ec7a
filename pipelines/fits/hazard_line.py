"""How readily a part of each age fails: the hazard, averaged over everything the lives leave open.

In: `Posterior`. Out: the hazard by age with its limits.
Elsewhere: the posterior (`posterior`), what the hazard means for an interval (`advice`).
"""

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.fits.posterior import Posterior

Array = NDArray[np.float64]
AGES = 48


def hazard_line(believed: Posterior, clock: str, until: float, level: float = 0.90) -> pl.DataFrame:
    """Posterior mean hazard and its limits, each the mean over a short stretch of age.

    Parameters
    ----------
    believed
        From `posterior`.
    clock
        `hours` or `months`; only blocks on that clock count.
    until
        Last age, above 0.
    level
        Of the central posterior limits, age by age.

    Returns
    -------
    polars.DataFrame
        `age` (middle of the stretch), `hazard`, `low`, `high`: failures per unit of age of a part still running then.
    """
    edges = np.linspace(0.0, until, AGES + 1)
    held = [block for block in believed.blocks if block.clock == clock]
    steps = np.concatenate([np.diff(block.cumulative_hazard(edges), axis=1) for block in held]) / np.diff(edges)
    weight = np.concatenate([block.weight for block in held])
    weight = weight / weight.sum()
    low, high = _quantiles(steps, weight, ((1 - level) / 2, (1 + level) / 2))
    return pl.DataFrame({"age": (edges[:-1] + edges[1:]) / 2, "hazard": weight @ steps, "low": low, "high": high})


def _quantiles(values: Array, weight: Array, chances: tuple[float, float]) -> tuple[Array, Array]:
    """Weighted quantiles of each column."""
    order = np.argsort(values, axis=0)
    reached = np.cumsum(weight[order], axis=0)
    ends = []
    for chance in chances:
        at = np.minimum((reached < chance).sum(0), weight.size - 1)
        ends.append(np.take_along_axis(values, order, 0)[at, np.arange(values.shape[1])])
    return ends[0], ends[1]
