"""Which clock a part lives on, engine hours or months, weighed by how well each foretells its lives.

In: lives of one component and group, what is known of it, the prior. Out: a `Posterior` with blocks on both clocks.
The same lives have another density on each clock: a failure at h hours and m months has density f(h) on hours and f(h) h/m on months,
so the evidence on hours is put on the measure of months before the two are compared.
Elsewhere: one clock (`posterior`), whichever comes first of the two (`advice`).
"""

import numpy as np
import polars as pl

from pipelines.fits.ages import ages_from_lives
from pipelines.fits.known_figures import Group, KnownFigures, hours_per_month
from pipelines.fits.posterior import Posterior, posterior, weighed_together
from pipelines.terms.settings import Prior

HOURS, MONTHS = "hours", "months"
TILT = 3.0
"""How much likelier a part that the trade serves by one clock is to live on it; common practice, no source."""

_AGES = {HOURS: ("entry_h", "low_h"), MONTHS: ("entry_months", "low_months")}


def posterior_of(
    lives: pl.DataFrame, component: str, group: Group | None, known: KnownFigures, prior: Prior, trade_clock: str = "hm"
) -> Posterior:
    """Weigh both clocks, each with its whole prior tree, by the lives of one component and group.

    Parameters
    ----------
    lives
        Rows of `derived.lives`; none at all is allowed. Those whose hours are not known speak on months only.
    component, group, known
        What is known of it beforehand.
    prior
        The tree and the weights of the clocks; that of both clocks at once goes to the two in proportion.
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
    log_odds = on_hours.log_evidence + _log_measure(timed) - on_months.log_evidence + _log_prior_odds(prior, trade_clock)
    if dated.height > timed.height:
        on_months = posterior(ages_from_lives(dated, MONTHS), prior, knowledge[MONTHS], MONTHS)
    share = float(1 / (1 + np.exp(-np.clip(log_odds, -700, 700))))
    return weighed_together((on_hours, share), (on_months, 1 - share))


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
