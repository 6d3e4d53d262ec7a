"""How many tows a season each fault brings to a boat of each type.

In: calls, boat-days watched, the type of each boat in each month. Out: one row a type and fault. A fault is the part that a call names,
else its cause; calls with fire, smoke or a smell of fuel are a fault of their own, since nobody mends that afloat.
Types whose calls are few borrow from the others (`fits.borrowed_rates`).
Elsewhere: what a kit makes of it (`kit`).
"""

import polars as pl

from pipelines.fits.borrowed_rates import borrowed_rates
from pipelines.terms.causes import CAUSES, UNCODED, UNKNOWN
from pipelines.terms.kit import AIDS, NEVER_ABOARD

TOWED = "towed"
DAYS_A_YEAR = 365.25
SHARE_CALLS = 4.0
"""The fleet's share of tows counts for so many calls where a call does not say how it ended (our choice)."""
BURNING = "fire, smoke or fuel smell"
PART, CAUSE, NOT_KNOWN, FIRE = "part", "cause", "unknown", "fire"
NOT_TOLD = [UNCODED, *(code for code, cause in CAUSES.items() if cause.system == UNKNOWN)]
"""Causes that tell nothing: together they are the unknown row."""
_KEYS = ["boat_type", "sort", "fault"]


def tows_by_type(calls: pl.DataFrame, months: pl.DataFrame, fitted: pl.DataFrame, level: float) -> pl.DataFrame:
    """Tows a boat and season of twelve months, by type and fault.

    Parameters
    ----------
    calls
        Rows of `derived.calls`.
    months
        vessel_id, month, days, boat_type: one row a boat and month that was watched.
    fitted
        boat_type, component: what is fitted to each type; a part's tows are borrowed only among types that have it.
    level
        Of the limits.

    Returns
    -------
    pl.DataFrame
        boat_type, sort (part, cause, unknown or fire), fault, calls, tows (counted; a call that does not say how it ended counts as its
        fault's share), boat_years, rate, low, high (tows a boat and season). What could be carried and no call names
        is there too: its rate is 0 and its upper limit says how bad it could be.
    """
    watched = _watched(months, fitted)
    counted = _counted(with_tow_share(with_faults(calls)), months)
    parts = fitted.select(pl.lit(PART).alias("sort"), pl.col("component").alias("fault"))
    aids = pl.DataFrame([(CAUSE, cause) for aid in AIDS for cause in aid.causes], schema=["sort", "fault"], orient="row")
    faults = pl.concat([counted.select("sort", "fault"), parts, aids]).unique().sort("sort", "fault")
    tables = [_of_fault(sort, fault, counted, watched, fitted, level) for sort, fault in faults.iter_rows()]
    return pl.concat([_empty(), *tables])


def with_faults(calls: pl.DataFrame) -> pl.DataFrame:
    """Add `sort` and `fault` to calls: the part that is named, else the cause."""
    burns = (pl.col("symptom") == BURNING) | pl.col("cause").is_in(list(NEVER_ABOARD))
    not_told = pl.col("cause").is_in(NOT_TOLD)
    sort = (
        pl.when(burns.fill_null(value=False))
        .then(pl.lit(FIRE))
        .when(pl.col("component").is_not_null() & (pl.col("component") != UNCODED))
        .then(pl.lit(PART))
        .when(not_told)
        .then(pl.lit(NOT_KNOWN))
        .otherwise(pl.lit(CAUSE))
    )
    named = {PART: pl.col("component"), CAUSE: pl.col("cause"), NOT_KNOWN: pl.lit(UNKNOWN), FIRE: pl.lit(BURNING)}
    fault = pl.coalesce(pl.when(pl.col("sort") == one).then(name) for one, name in named.items())
    return calls.with_columns(sort.alias("sort")).with_columns(fault.alias("fault"))


def with_tow_share(calls: pl.DataFrame) -> pl.DataFrame:
    """Add `tow`: 1 where a call ended in a tow, 0 where it ended otherwise, and where it does not say its fault's share of tows.

    That share is drawn towards the fleet's by `SHARE_CALLS` calls; where no call says how it ended, every one counts as a tow.
    """
    towed, known = (pl.col("outcome") == TOWED).fill_null(value=False), pl.col("outcome").is_not_null() & (pl.col("outcome") != UNCODED)
    said = calls.filter(known)
    fleet = said.filter(towed).height / said.height if said.height else 1.0
    share = ((towed & known).sum().over("fault") + SHARE_CALLS * fleet) / (known.sum().over("fault") + SHARE_CALLS)
    return calls.with_columns(pl.when(known).then(towed.cast(pl.Float64)).otherwise(share).alias("tow"))


def _watched(months: pl.DataFrame, fitted: pl.DataFrame) -> pl.DataFrame:
    """Boat-years by type; a type that was never watched has none, and borrows all it has from the others."""
    years = months.group_by("boat_type").agg((pl.col("days").sum() / DAYS_A_YEAR).alias("boat_years"))
    types = pl.concat([months.select("boat_type"), fitted.select("boat_type")]).unique().sort("boat_type")
    return types.join(years, on="boat_type", how="left", maintain_order="left").with_columns(pl.col("boat_years").fill_null(0.0))


def _counted(calls: pl.DataFrame, months: pl.DataFrame) -> pl.DataFrame:
    placed = calls.join(months.select("vessel_id", "month", "boat_type"), on=["vessel_id", "month"])
    return placed.group_by(_KEYS).agg(pl.len().cast(pl.Int64).alias("calls"), pl.col("tow").sum().alias("tows"))


def _of_fault(sort: str, fault: str, counted: pl.DataFrame, watched: pl.DataFrame, fitted: pl.DataFrame, level: float) -> pl.DataFrame:
    own = counted.filter(pl.col("sort") == sort, pl.col("fault") == fault)
    have = fitted.filter(pl.col("component") == fault)["boat_type"] if sort == PART else watched["boat_type"]
    types = watched.filter(pl.col("boat_type").is_in(pl.concat([have, own["boat_type"]]).unique().to_list()))
    rows = types.join(own, on="boat_type", how="left", maintain_order="left").with_columns(
        pl.lit(sort).alias("sort"), pl.lit(fault).alias("fault"), pl.col("calls").fill_null(0), pl.col("tows").fill_null(0.0)
    )
    rates = borrowed_rates(rows["tows"].to_numpy(), rows["boat_years"].to_numpy(), level)
    told = {"rate": rates.value, "low": rates.low, "high": rates.high}
    return rows.with_columns(pl.Series(name, values) for name, values in told.items()).select(_empty().columns)


def _empty() -> pl.DataFrame:
    words, figures = dict.fromkeys(_KEYS, pl.String()), dict.fromkeys(("tows", "boat_years", "rate", "low", "high"), pl.Float64())
    return pl.DataFrame(schema={**words, "calls": pl.Int64(), **figures})
