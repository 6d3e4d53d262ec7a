"""Of parts that can fail in several ways, the share that has failed in each by an age.

In: `Ages` by cause of failure. Out: a frame, causes below each other; they and the share still running add to one.
No cause is treated as if the others did not exist, and ties are counted as they stand.
Elsewhere: all causes together (`kaplan_meier`), causes of calls per hour (`rate_table`).
"""

from collections.abc import Mapping

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, ages_from_lives, ages_from_table, together
from pipelines.fits.confidence import normal_width
from pipelines.fits.kaplan_meier import watched_soundly
from pipelines.fits.risk_set import RiskSet, failures_at, risk_set
from pipelines.terms.causes import UNKNOWN

Array = NDArray[np.float64]
NOT_FAILED = ""
"""Key of the lives that had not failed, in `Ages` by cause."""


def ages_by_cause(frame: pl.DataFrame, clock: str | None = None) -> dict[str, Ages]:
    """Split lives by cause of failure.

    Parameters
    ----------
    frame
        Rows of `derived.lives`, or a table of lives from outside with a column `cause`.
    clock
        `hours` or `months` of `derived.lives`; `None`: a table from outside.

    Returns
    -------
    dict
        Cause to lives, causes in alphabetical order; failures without one under `unknown`, the rest under `NOT_FAILED`.
    """
    whole = ages_from_table(frame) if clock is None else ages_from_lives(frame, clock)
    if "cause" not in frame.columns:
        return {UNKNOWN: whole.where(~whole.is_suspended), NOT_FAILED: whole.where(whole.is_suspended)}
    word = pl.col("cause").cast(pl.String).str.strip_chars()
    named = frame.with_columns(pl.when(word == "").then(None).otherwise(word).fill_null(UNKNOWN).alias("cause"))
    parts = {cause: named.filter(pl.col("cause") == cause) for cause in named["cause"].unique().sort().to_list()}
    ages = {cause: ages_from_table(part) if clock is None else ages_from_lives(part, clock) for cause, part in parts.items()}
    failed = {cause: part.where(~part.is_suspended) for cause, part in ages.items() if not part.is_suspended.all()}
    return failed | {NOT_FAILED: whole.where(whole.is_suspended)}


def cumulative_incidence(by_cause: Mapping[str, Ages], level: float = 0.95) -> pl.DataFrame:
    """Estimate the share failed from each cause by the Aalen-Johansen method with delayed entry [1]_.

    Parameters
    ----------
    by_cause
        Lives by cause of failure; lives that had not failed count as watched under whatever key they stand. A failure
        known only to lie between two ages is put in the middle.
    level
        Confidence level of the limits, between 0 and 1; limits are normal on the scale ln(-ln(incidence)).

    Returns
    -------
    polars.DataFrame
        A row a cause and failure age: `cause`, `age`, `at_risk`, `events` (from that cause), `incidence` (0 to 1), `se`
        [2]_, `low`, `high`, `surviving` (all causes). Begins where `kaplan_meier` does, shares are of parts that reach that age.

    Raises
    ------
    NoFigure
        If no life failed.

    References
    ----------
    .. [1] Aalen, O. O. and Johansen, S. (1978). An empirical transition matrix for non-homogeneous Markov chains based
       on censored observations. Scandinavian Journal of Statistics 5, 141-150.
    .. [2] Marubini, E. and Valsecchi, M. G. (1995). Analysing Survival Data from Clinical Trials and Observational
       Studies, Wiley, section 10.2 (delta method).
    """
    known = {cause: ages.at_middles() for cause, ages in by_cause.items()}
    everyone = together(known.values())
    refuse_if_none_failed(everyone)
    seen = watched_soundly(everyone)
    begins = float(seen.entry.min())
    counts = risk_set(seen)
    surviving = np.cumprod(1 - counts.failed / counts.at_risk, dtype=np.float64)
    events = {cause: _events(ages, counts, begins) for cause, ages in known.items()}
    return pl.concat(_of_one_cause(cause, failed, counts, surviving, level) for cause, failed in events.items() if failed.any())


def refuse_if_none_failed(ages: Ages) -> None:
    """Raise `NoFigure` if no life failed."""
    if not ages.failures:
        raise NoFigure(f"None of {ages.lives} lives has failed, so there are no causes to set apart.")


def _events(ages: Ages, counts: RiskSet, begins: float) -> Array:
    in_curve = ages.where(ages.is_failure & (ages.low > begins) & (ages.low <= counts.age[-1]))
    return failures_at(in_curve, counts.age)


def _of_one_cause(cause: str, events: Array, counts: RiskSet, surviving: Array, level: float) -> pl.DataFrame:
    before = np.concatenate(([1.0], surviving[:-1]))
    incidence = np.cumsum(before * events / counts.at_risk, dtype=np.float64)
    error = np.sqrt(_variance(events, counts, before, incidence))
    low, high = _limits(incidence, error, level)
    columns = {
        "age": counts.age,
        "at_risk": counts.at_risk,
        "events": events,
        "incidence": incidence,
        "se": error,
        "low": low,
        "high": high,
    }
    return pl.DataFrame({"cause": [cause] * events.size, **columns, "surviving": surviving})


def _variance(events: Array, counts: RiskSet, before: Array, incidence: Array) -> Array:
    """Delta-method variance of a cumulative incidence: sums over failure ages, expanded so that each is one running sum."""
    at_risk, failed = counts.at_risk, counts.failed
    left = at_risk - failed
    survived = np.divide(failed, at_risk * left, out=np.zeros_like(failed), where=left > 0)
    own = before**2 * events * (at_risk - events) / at_risk**3
    crossed = before * events / at_risk**2
    from_survival = (
        incidence**2 * np.cumsum(survived) - 2 * incidence * np.cumsum(survived * incidence) + np.cumsum(survived * incidence**2)
    )
    from_both = incidence * np.cumsum(crossed) - np.cumsum(crossed * incidence)
    return np.maximum(from_survival + np.cumsum(own) - 2 * from_both, 0.0)


def _limits(incidence: Array, error: Array, level: float) -> tuple[Array, Array]:
    inner = (incidence > 0) & (incidence < 1)
    share = np.where(inner, incidence, 0.5)
    fold = np.exp(np.minimum(normal_width(level) * error / (share * -np.log(share)), 700.0))
    return np.where(inner, share**fold, incidence), np.where(inner, share ** (1 / fold), incidence)
