"""How many events a boat has had by an age or a day, and what they have cost, with boats watched for different times.

In: events and watches of each boat. Out: `Histories`, and the mean cumulative function as a frame.
A boat is watched on (start, end]. One boat's events need not be independent of each other: limits are robust to that.
Elsewhere: whether events come faster or slower (`recurrence_trend`), rates per hour (`rate_table`).
"""

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.errors import NoFigure
from pipelines.fits.confidence import normal_width
from pipelines.fits.watched_hours import boat_months

Array = NDArray[np.float64]
_BOATS_AT_ONCE = 256
_NONE_WATCHED = "No boat was watched for any time, so there is nothing to follow."


@dataclass(frozen=True)
class Histories:
    """Events of boats within their watches.

    Attributes
    ----------
    start, end
        Watch of each boat, in any one unit of age or time.
    boat
        Index of the boat of each event.
    age
        When it happened, in (start, end] of its boat.
    amount
        What it adds: 1 to count events, money to add up costs.
    """

    start: Array
    end: Array
    boat: NDArray[np.intp]
    age: Array
    amount: Array


def histories(events: pl.DataFrame, watched: pl.DataFrame) -> Histories:
    """Read histories from frames.

    Parameters
    ----------
    events
        `boat`, `age` and, to add up more than a count, `amount` (empty: 0).
    watched
        `boat`, `start` (absent: 0), `end`; one row a boat, boats without events too. A watch of no length is left out.

    Raises
    ------
    NoFigure
        If no boat was watched, a boat has two watches, a number is not finite or an event lies outside its boat's watch.
    """
    watches = watched.with_columns(start=pl.col("start") if "start" in watched.columns else pl.lit(0.0)).filter(
        pl.col("end") > pl.col("start")
    )
    watches = watches.select("boat", pl.col("start", "end").cast(pl.Float64)).sort("boat").with_row_index("index")
    if watches.is_empty():
        raise NoFigure(_NONE_WATCHED)
    if watches["boat"].n_unique() < watches.height:
        raise NoFigure("A boat has more than one watch; give one row a boat.")
    amount = pl.col("amount").cast(pl.Float64).fill_null(0.0) if "amount" in events.columns else pl.lit(1.0)
    placed = events.with_columns(amount=amount, age=pl.col("age").cast(pl.Float64)).join(
        watches, on="boat", how="left", maintain_order="left"
    )
    inside = (pl.col("age") > pl.col("start")) & (pl.col("age") <= pl.col("end")) & pl.col("amount").is_finite()
    if (strays := placed.filter(~inside.fill_null(False))).height:
        boat, age = strays.row(0, named=True)["boat"], strays.row(0, named=True)["age"]
        raise NoFigure(
            f"{boat}, event at {age}: not within the time that boat was watched ({strays.height} such). Watch it longer or leave it out."
        )
    ordered = placed.sort("age", "boat")
    index = ordered["index"].to_numpy().astype(np.intp)
    return Histories(watches["start"].to_numpy(), watches["end"].to_numpy(), index, ordered["age"].to_numpy(), ordered["amount"].to_numpy())


def histories_of_calls(calls: pl.DataFrame, engine_months: pl.DataFrame, *, cost: bool = False) -> tuple[Histories, int]:
    """Follow each boat's calls through the days on which it was watched.

    Parameters
    ----------
    calls
        Rows of `derived.calls`: `vessel_id`, `called_on` and, for costs, `cost` (empty: adds nothing).
    engine_months
        Rows of `derived.engine_months`. A boat is watched from its first watched day to its last, winters between included.
    cost
        Add up what calls cost instead of how many there were.

    Returns
    -------
    histories
        In days since the first watched month of the fleet began; a call on the first of them is at 1.
    left_out
        Calls that lie outside their boat's watch.

    Raises
    ------
    NoFigure
        If no boat was watched.
    """
    months = boat_months(engine_months)
    if months.is_empty():
        raise NoFigure(_NONE_WATCHED)
    months = months.with_columns(day=(pl.col("month") - pl.col("month").min()).dt.total_days())
    late = pl.col("month").dt.days_in_month() - pl.col("days")
    first = pl.when(pl.len() > 1).then((pl.col("day") + late).first()).otherwise(pl.col("day").first())
    watched = months.group_by(boat="vessel_id").agg(start=first.cast(pl.Float64), end=(pl.col("day") + pl.col("days")).last())
    age = (pl.col("called_on") - months["month"].min()).dt.total_days() + 1
    events = calls.select(boat="vessel_id", age=age.cast(pl.Float64), amount=pl.col("cost") if cost else pl.lit(1.0))
    placed = events.join(watched, on="boat", how="inner").filter((pl.col("age") > pl.col("start")) & (pl.col("age") <= pl.col("end")))
    return histories(placed.select(events.columns), watched), calls.height - placed.height


def mean_cumulative(of: Histories, level: float = 0.95) -> pl.DataFrame:
    """Estimate the mean number (or cost) of events a boat by each age [1]_, with robust limits [2]_.

    Returns
    -------
    polars.DataFrame
        A row an age with events: `age`, `at_risk` (boats watched then), `events`, `amount` (added there), `mean`, `se`,
        `low`, `high`; limits are normal on the scale of the logarithm. No rows if there were no events.

    References
    ----------
    .. [1] Nelson, W. B. (2003). Recurrent Events Data Analysis for Product Repairs, SIAM.
    .. [2] Lawless, J. F. and Nadeau, C. (1995). Some simple robust methods for the analysis of recurrent events.
       Technometrics 37, 158-168.
    """
    age, at = np.unique(of.age, return_inverse=True)
    at_risk = np.searchsorted(np.sort(of.start), age, side="left") - np.searchsorted(np.sort(of.end), age, side="left")
    amount = np.bincount(at, of.amount, age.size).astype(np.float64)
    mean, error = np.cumsum(amount / at_risk), np.sqrt(_robust_variance(of, age, at, amount, at_risk.astype(np.float64)))
    wide = normal_width(level) * np.divide(error, mean, out=np.zeros_like(mean), where=mean > 0)
    return pl.DataFrame(
        {
            "age": age,
            "at_risk": at_risk,
            "events": np.bincount(at, minlength=age.size),
            "amount": amount,
            "mean": mean,
            "se": error,
            "low": mean * np.exp(-wide),
            "high": mean * np.exp(np.minimum(wide, 700.0)),
        }
    )


def _robust_variance(of: Histories, age: Array, at: NDArray[np.intp], amount: Array, at_risk: Array) -> Array:
    """Sum over boats of the square of how far each has run ahead of the mean, boats taken a few hundred at a time."""
    step, total = amount / at_risk, np.zeros(age.size)
    for first in range(0, of.start.size, _BOATS_AT_ONCE):
        boats = slice(first, first + _BOATS_AT_ONCE)
        start, end = of.start[boats, None], of.end[boats, None]
        own = np.zeros((start.shape[0], age.size))
        here = (of.boat >= first) & (of.boat < first + start.shape[0])
        np.add.at(own, (of.boat[here] - first, at[here]), of.amount[here])
        watched = (start < age) & (age <= end)
        ahead = np.cumsum(np.where(watched, own - step, 0.0) / at_risk, axis=1)
        total += (ahead**2).sum(0)
    return total
