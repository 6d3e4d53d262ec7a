"""Which column of boats and engines tells a part's lives apart, if any: weighed by marginal likelihood, with an eye to how many were tried.

In: the lives of one part with its candidate columns, the posterior of the whole. Out: `Telling`: the columns chosen (none, one or two), how
sure that is, and what to believe of every stratum.
Half of the prior probability says that no column matters; the other half is shared evenly by the candidates, so that the more are tried,
the more each has to show. Two columns together have the product of their shares, and are taken only where they clearly beat the better one.
What is believed of a stratum is averaged: as sure as the column is, the stratum's own; for the rest, the whole.
Elsewhere: the Bayes factors (`splits`), which columns stand for election (`flow.telling_apart`).

References
----------
Scott, J. G. and Berger, J. O. (2010). Bayes and empirical-Bayes multiplicity adjustment in the variable-selection problem. Annals of
Statistics 38(5), 2587-2619. Kass, R. E. and Raftery, A. E. (1995). Bayes factors. Journal of the American Statistical Association 90,
773-795.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.fits.posterior import Posterior, weighed_together
from pipelines.fits.screening import expected_and_failed, rough_log_factor
from pipelines.fits.splits import Strata, Stratum, Whole, log_factor_of, split_of

MOST_STRATA = 15
"""A column with more words than this tells boats, not kinds of boats."""
_MOST_PAIRED = 3
_WORTH_PAIRING = np.log(3.0)
_CLEARLY = np.log(4.0)
_RULED_OUT = 0.3


@dataclass(frozen=True)
class Telling:
    """What tells the lives of one part apart.

    Attributes
    ----------
    columns
        Chosen; empty: none is sure enough.
    probability
        That the best column (or pair) tells them apart, against none.
    log_factors
        {columns: logarithm of the Bayes factor against the whole}, of all that were tried.
    posteriors
        What to believe of each stratum of the columns chosen, averaged with the whole; empty: nothing is chosen.
    """

    columns: tuple[str, ...]
    probability: float
    log_factors: Mapping[tuple[str, ...], float]
    posteriors: Mapping[Stratum, Posterior]


def tell_apart(whole: Whole, places: pl.DataFrame, candidates: Sequence[str], sure_enough: float) -> Telling:
    """Choose what tells the lives of a part apart.

    Parameters
    ----------
    whole
        The part taken as one; its lives have the candidates as columns, without gaps.
    places
        Positions of the part with the same columns: strata that have no life yet.
    candidates
        Columns in the order in which they are preferred; of two that make the same strata the first stands.
    sure_enough
        Choose where the probability reaches this.
    """
    names = distinct_columns(whole.lives, places, candidates)
    if not names:
        return Telling((), 0.0, {}, {})
    factors = _factors(whole, {(name,): strata_of(whole.lives, places, (name,)) for name in names})
    if not factors:
        return Telling((), 0.0, {}, {})
    factors |= {pair: log_factor_of(whole, strata_of(whole.lives, places, pair)) for pair in _pairs(factors, whole.lives)}
    chosen = _best(factors, len(names), whole.prior.some_column_matters)
    odds = factors[chosen] + _log_prior_odds(chosen, len(names), whole.prior.some_column_matters)
    probability = float(1 / (1 + np.exp(-np.clip(odds, -700, 700))))
    if probability < sure_enough:
        return Telling((), probability, factors, {})
    return Telling(chosen, probability, factors, strata_posteriors(whole, strata_of(whole.lives, places, chosen), probability))


def strata_posteriors(whole: Whole, strata: Strata, probability: float | None = None) -> dict[Stratum, Posterior]:
    """Average each stratum's own posterior with that of the whole.

    Parameters
    ----------
    whole
        The part taken as one.
    strata
        Rows of its lives by stratum.
    probability
        That the strata differ; `None`: as likely as not before the lives are read.
    """
    split = split_of(whole, strata)
    share = float(1 / (1 + np.exp(-np.clip(split.log_factor, -700, 700)))) if probability is None else probability
    return {
        stratum: replace(weighed_together((own, share), (whole.posterior, 1 - share)), supported=own.supported)
        for stratum, own in split.posteriors.items()
    }


def strata_of(lives: pl.DataFrame, places: pl.DataFrame, columns: Sequence[str]) -> dict[Stratum, NDArray[np.intp]]:
    """Rows of the lives of each stratum in the order of its words (an empty one is no word); strata of places without a life have none."""
    words = lives.select(columns).fill_null("").rows()
    held: dict[Stratum, list[int]] = {tuple(row): [] for row in places.select(columns).fill_null("").unique().iter_rows()}
    for number, row in enumerate(words):
        held.setdefault(tuple(row), []).append(number)
    return {stratum: np.array(held[stratum], dtype=np.intp) for stratum in sorted(held)}


def distinct_columns(lives: pl.DataFrame, places: pl.DataFrame, candidates: Sequence[str]) -> list[str]:
    """Columns that make strata, no more than `MOST_STRATA`, each partition of the lives once."""
    found: dict[tuple[int, ...], str] = {}
    for name in candidates:
        words = lives[name].unique(maintain_order=True)
        if words.len() < 2 or pl.concat([words, places[name]]).n_unique() > MOST_STRATA:
            continue
        numbers = lives[name].replace_strict(words, np.arange(words.len()), return_dtype=pl.Int32)
        found.setdefault(tuple(numbers.to_list()), name)
    return list(found.values())


def _factors(whole: Whole, tried: Mapping[tuple[str, ...], Strata]) -> dict[tuple[str, ...], float]:
    """Bayes factors of the columns that a quick look does not rule out."""
    expected, failed = expected_and_failed(whole)
    rough = {names: rough_log_factor(expected, failed, strata.values(), whole.prior.strata_scale_spread) for names, strata in tried.items()}
    return {names: log_factor_of(whole, strata) for names, strata in tried.items() if rough[names] > _RULED_OUT}


def _pairs(factors: Mapping[tuple[str, ...], float], lives: pl.DataFrame) -> list[tuple[str, ...]]:
    """Pairs of the columns that speak for themselves, the strongest first, where the pair makes more strata than either."""
    strong = sorted((names for names, factor in factors.items() if factor > _WORTH_PAIRING), key=lambda names: -factors[names])
    pairs = [(*first, *second) for first, second in combinations(strong[:_MOST_PAIRED], 2)]
    return [pair for pair in pairs if _strata(lives, pair) > max(_strata(lives, pair[:1]), _strata(lives, pair[1:]))]


def _strata(lives: pl.DataFrame, columns: Sequence[str]) -> int:
    return lives.select(columns).n_unique()


def _best(factors: Mapping[tuple[str, ...], float], tried: int, some_matters: float) -> tuple[str, ...]:
    """Take the likeliest columns; a pair only where it clearly beats every single one."""
    scores = {names: factor + _log_prior_odds(names, tried, some_matters) for names, factor in factors.items()}
    single = max((names for names in scores if len(names) == 1), key=scores.__getitem__)
    pair = max((names for names in scores if len(names) == 2), key=scores.__getitem__, default=None)
    return pair if pair is not None and scores[pair] > scores[single] + _CLEARLY else single


def _log_prior_odds(names: tuple[str, ...], tried: int, some_matters: float) -> float:
    """Prior odds of these columns against none."""
    return float(len(names) * np.log(some_matters / tried) - np.log1p(-some_matters))
