"""Failures as points on Weibull paper, on which a Weibull is a straight line.

In: the steps of a survival curve. Out: the share failed by each age of failure, with limits.
Elsewhere: the curve (`kaplan_meier`, `inspection_curve`), the line (`fitted_line`), drawing (`charts`).
"""

import polars as pl

MOST_POINTS = 200


def paper_points(steps: pl.DataFrame, reach_start: float = 1.0) -> pl.DataFrame:
    """Put each age of failure half way up its step [1]_.

    Parameters
    ----------
    steps
        Rows `age`, `events`, `surviving`, `low`, `high` of a curve, rising; it begins at share 1.
    reach_start
        Share that reaches the age at which the curve begins: shares of a conditional curve are of those alone.

    Returns
    -------
    polars.DataFrame
        `age`, `failed`, `low`, `high`: shares above 0 and below 1, at most `MOST_POINTS` of them. The limits are those of
        the curve just after the step.

    References
    ----------
    .. [1] Meeker, W. Q. and Escobar, L. A. (1998). Statistical Methods for Reliability Data, section 6.4. Wiley.
    """
    middle = (pl.col("surviving").shift(1, fill_value=1.0) + pl.col("surviving")) / 2
    placed = steps.select(
        "age",
        "events",
        failed=1 - reach_start * middle,
        low=1 - reach_start * pl.col("high"),
        high=1 - reach_start * pl.col("low"),
    )
    inner = placed.filter((pl.col("events") > 0) & (pl.col("age") > 0) & (pl.col("failed") > 0) & (pl.col("failed") < 1))
    few = inner.height <= MOST_POINTS
    kept = inner if few else inner[[round(place * (inner.height - 1) / (MOST_POINTS - 1)) for place in range(MOST_POINTS)]]
    return kept.drop("events")
