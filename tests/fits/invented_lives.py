"""Invented lives with a known truth, from a seed."""

import numpy as np

from pipelines.fits.ages import Ages, compress


def fleet(
    seed: int, lives: int = 100, shape: float = 2.0, scale: float = 400.0, window: float = 1.0, late: float = 0.0, between: float = 0.0
) -> Ages:
    """Weibull lives, suspended at ages up to twice `window` x `scale`.

    A share `late` comes under observation at an age up to half the scale; of the failures a share `between` is only
    known to lie between two ages 20 % apart.
    """
    rng = np.random.default_rng(seed)
    life = scale * rng.weibull(shape, lives)
    entry = np.where(rng.random(lives) < late, rng.uniform(0, 0.5 * scale, lives), 0.0)
    stop = entry + rng.uniform(0, 2 * window * scale, lives)
    seen = life > entry
    failed = life <= stop
    vague = rng.random(lives) < between
    edge = np.floor(np.log(life) / 0.2) * 0.2
    low = np.where(failed, np.where(vague, np.maximum(np.exp(edge), entry), life), stop)
    high = np.where(failed, np.where(vague, np.exp(edge + 0.2), life), np.inf)
    return compress(entry[seen], low[seen], high[seen])
