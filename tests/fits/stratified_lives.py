"""Invented lives of strata with known truths, as rows of `derived.lives`, and the part taken as one."""

from collections.abc import Mapping

import numpy as np
import polars as pl

from pipelines.fits.ages import ages_from_lives
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import posterior
from pipelines.fits.splits import Strata, Whole
from pipelines.terms.settings import Prior

KNOWN = Knowledge(expected_life=500.0)
AGES = {f"{part}_{clock}": pl.Float64 for clock in ("h", "months") for part in ("entry", "low", "high")}


def lives_of_strata(seed: int, scales: Mapping[str, float], lives: int, shape: float = 2.5, window: float = 500.0) -> pl.DataFrame:
    """Weibull lives on hours of each stratum, named in the column `water`, suspended at ages up to twice the window."""
    rng = np.random.default_rng(seed)
    rows = []
    for word, scale in scales.items():
        life, stop = scale * rng.weibull(shape, lives), rng.uniform(0, 2 * window, lives)
        rows += [(0.0, min(a, b), a if a <= b else None, None, None, None, word) for a, b in zip(life, stop, strict=True)]
    return pl.DataFrame(rows, schema=AGES | {"water": pl.String}, orient="row")


def taken_as_one(lives: pl.DataFrame, prior: Prior, known: Knowledge = KNOWN) -> Whole:
    """The part as a whole, on hours."""
    found = posterior(ages_from_lives(lives, "hours"), prior, known, "hours")
    return Whole(found, lives, {"hours": known, "months": Knowledge()}, prior)


def by(lives: pl.DataFrame, column: str = "water") -> Strata:
    """Rows of each word of a column."""
    return {(word,): np.flatnonzero((lives[column] == word).to_numpy()) for word in lives[column].unique().sort()}
