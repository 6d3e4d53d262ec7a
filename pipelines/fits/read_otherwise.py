"""What the fit of a part would be if renewals whose meaning is a judgement were read otherwise.

In: lives, a clock, the fraction in force. Out: one row a reading with its B10 life and scale.
A renewal on condition counts as a failure between its age x and x over a fraction; a renewal without a sure reason as not failed. Both are
rules, not facts, so how much hangs on them is told beside the figure.
Elsewhere: the rules (`lives`), the fit (`weibull`).
"""

import polars as pl

from pipelines.errors import NoFigure
from pipelines.fits.ages import CLOCKS, ages_from_lives
from pipelines.fits.weibull import fit_weibull

FRACTIONS = (0.75, 1.0)
SCHEMA = {"reading": pl.String, "lives": pl.Int64, "b10": pl.Float64, "scale": pl.Float64}
AS_RULED, NO_REASON = "as it is ruled", "renewals without a sure reason as failures"


def read_otherwise(lives: pl.DataFrame, clock: str, fraction: float) -> pl.DataFrame:
    """Fit the lives as they are ruled, with other fractions for renewals on condition, and with unsure renewals as failures.

    Parameters
    ----------
    lives
        Rows of `derived.lives` of one part.
    clock
        `hours` or `months`.
    fraction
        Condition fraction the lives were made with.

    Returns
    -------
    pl.DataFrame
        reading, lives (how many it touches), b10 and scale (in the clock's unit; empty: no fit). Only readings that touch a life stand
        there, the ruled one first; none at all where no life is touched.
    """
    low = pl.col(f"low_{CLOCKS[clock]}")
    on_condition, unsure = pl.col("ending") == "condition", (pl.col("ending") == "planned") & pl.col("doubtful")
    readings = [(f"renewals on condition with a fraction of {each:g}", on_condition, low / each) for each in FRACTIONS if each != fraction]
    readings.append((NO_REASON, unsure, low))
    told = [_read(lives, clock, name, which, high) for name, which, high in readings if lives.filter(which & low.is_not_null()).height]
    ruled = _read(lives, clock, AS_RULED, pl.lit(value=False), low)
    return pl.DataFrame([ruled, *told] if told else [], schema=SCHEMA)


def _read(lives: pl.DataFrame, clock: str, name: str, which: pl.Expr, high: pl.Expr) -> dict[str, str | int | float | None]:
    column = f"high_{CLOCKS[clock]}"
    read = lives.with_columns(pl.when(which).then(high).otherwise(column).alias(column))
    touched = lives.filter(which).height
    try:
        fit = fit_weibull(ages_from_lives(read, clock))
    except NoFigure:
        return {"reading": name, "lives": touched, "b10": None, "scale": None}
    return {"reading": name, "lives": touched, "b10": fit.b10, "scale": fit.scale}
