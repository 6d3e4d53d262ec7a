"""Which clock a part lives on, engine hours, months or both at once, weighed by how well each foretells its lives.

In: lives of one component and group, what is known of it, the prior. Out: a `Posterior` with blocks on either clock, and on both.
The same lives have another density on each clock: a failure at h hours and m months has density f(h) on hours and f(h) h/m on months,
so the evidence on hours is put on the measure of months before they are compared. Wear on both at once (`two_clocks`) is a leaf of the
branch that wears out; what fails at random or young does so on one clock.
Elsewhere: one clock (`posterior`), whichever comes first of the two (`advice`).
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import polars as pl

from pipelines.fits.ages import Ages, ages_from_lives
from pipelines.fits.knowledge import Knowledge, ScalePrior
from pipelines.fits.known_figures import Group, KnownFigures, hours_per_month
from pipelines.fits.posterior import WEARS_OUT, Posterior, posterior, pruned, weighed_together
from pipelines.fits.two_clock_block import TwoClocks
from pipelines.fits.two_clocks import two_clock_laws
from pipelines.terms.settings import Prior

HOURS, MONTHS = "hours", "months"
TILT = 3.0
"""How much likelier a part that the trade serves by one clock is to live on it; common practice, no source."""

_MOST = 600.0

_AGES = {HOURS: ("entry_h", "low_h"), MONTHS: ("entry_months", "low_months")}


def posterior_of(
    lives: pl.DataFrame, component: str, group: Group | None, known: KnownFigures, prior: Prior, trade_clock: str = "hm"
) -> Posterior:
    """Weigh either clock with its whole prior tree, and wear on both, by the lives of one component and group.

    Parameters
    ----------
    lives
        Rows of `derived.lives`; none at all is allowed. Those whose hours are not known speak on months only.
    component, group, known
        What is known of it beforehand.
    prior
        The tree and the weights of the clocks; that of both clocks at once counts where the part wears out.
    trade_clock
        How the trade serves it: `h`, `m`, `hm` or `c`.
    """
    timed = _with_ages(lives, HOURS, MONTHS)
    rate = hours_per_month(lives)
    dated = _with_ages(lives, MONTHS)
    knowledge = {clock: known.about(component, group, clock, rate) for clock in (HOURS, MONTHS)}
    if timed.is_empty():
        clock = MONTHS if dated.height or trade_clock == "m" else HOURS
        return posterior(ages_from_lives(dated.clear() if clock == HOURS else dated, clock), prior, knowledge[clock], clock)
    on_hours = posterior(ages_from_lives(timed, HOURS), prior, knowledge[HOURS], HOURS)
    on_months = posterior(ages_from_lives(timed, MONTHS), prior, knowledge[MONTHS], MONTHS)
    odds = _log_prior_odds(prior, trade_clock)
    log_mass = {HOURS: on_hours.log_evidence + _log_measure(timed) - np.log1p(np.exp(-odds))}
    log_mass[MONTHS] = on_months.log_evidence - np.log1p(np.exp(odds))
    together = _on_both(timed, rate, knowledge, prior)
    if dated.height > timed.height:
        on_months = posterior(ages_from_lives(dated, MONTHS), prior, knowledge[MONTHS], MONTHS)
    return _weighed({HOURS: on_hours, MONTHS: on_months}, log_mass, together, prior.clock_both)


def _on_both(timed: pl.DataFrame, use: float | None, knowledge: Mapping[str, Knowledge], prior: Prior) -> TwoClocks | None:
    """Laws that wear on both clocks, weights as logarithms; `None` where they have no weight, or there is nothing to tell them by."""
    weight = prior.clock_both * prior.wears_out
    if weight <= 0 or not use:
        return None
    scale = _sooner(knowledge, ages_from_lives(timed, MONTHS), prior, use)
    if scale.centre is None and not timed["high_months"].count():
        return None
    laws = two_clock_laws(timed, use, prior, scale)
    return replace(laws, weight=laws.weight + np.log(weight))


def _sooner(knowledge: Mapping[str, Knowledge], ages: Ages, prior: Prior, use: float) -> ScalePrior:
    """Prior of the age in months by which both clocks together have brought most parts to fail: that of the clock that is up first."""
    on_hours, on_months = (knowledge[clock].scale_prior(prior, ages) for clock in (HOURS, MONTHS))
    if on_hours.centre is None or on_months.centre is None:
        return on_months
    if on_hours.centre - np.log(use) >= on_months.centre:
        return on_months
    return replace(on_hours, centre=on_hours.centre - np.log(use), low=on_hours.low - np.log(use), high=on_hours.high - np.log(use))


def _weighed(single: Mapping[str, Posterior], log_mass: Mapping[str, float], together: TwoClocks | None, both: float) -> Posterior:
    """Put the trees of the two clocks and the laws on both into one, wear on one clock giving way to wear on both by its prior weight."""
    kept = 1.0 if together is None else 1.0 - both
    total = float(np.logaddexp(log_mass[HOURS], log_mass[MONTHS]))
    parts = [(single[clock], float(np.exp(log_mass[clock] - total))) for clock in (HOURS, MONTHS)]
    one_clock = weighed_together(*parts)
    if together is None:
        return replace(one_clock, log_evidence=total)
    blocks = [replace(block, weight=block.weight * (kept if block.branch == WEARS_OUT else 1.0)) for block in one_clock.blocks]
    pooled = replace(together, weight=np.exp(np.minimum(together.weight - total, _MOST)))
    share = sum(float(block.weight.sum()) for block in (*blocks, pooled))
    supported = {clock: age for part in single.values() for clock, age in part.supported.items()}
    return Posterior(pruned([*blocks, pooled]), supported, total + float(np.log(share)), one_clock.basis)


def _with_ages(lives: pl.DataFrame, *clocks: str) -> pl.DataFrame:
    needed = [column for clock in clocks for column in _AGES[clock]]
    return lives.filter(pl.all_horizontal(pl.col(column).is_not_null() for column in needed))


def _log_measure(lives: pl.DataFrame) -> float:
    """Sum of ln(hours a month) over failures at a known age: what turns a density on hours into one on months."""
    failed = lives.filter(pl.col("low_h") == pl.col("high_h"), pl.col("low_h") > 0, pl.col("low_months") > 0)
    return float((failed["low_h"] / failed["low_months"]).log().sum())


def _log_prior_odds(prior: Prior, trade_clock: str) -> float:
    tilt = {"h": TILT, "m": 1 / TILT}.get(trade_clock, 1.0)
    return float(np.log(prior.clock_hours / prior.clock_months * tilt))
