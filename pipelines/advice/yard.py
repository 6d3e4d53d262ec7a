"""How the yard has renewed so far, read from its lives: what the shelf has to go by beside plan and laws.

In: lives, plan and limits, engines and boats. Out: for each component the `Manner` in which its parts end, the interval that is
kept where none is in force, and how old a part of unknown age can be.
Elsewhere: the habit itself (`habits`), early failures (`early`), the demand (`demand`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import polars as pl

from pipelines.advice.case import Estimate, Fleet, case_of
from pipelines.advice.current_plan import with_interval
from pipelines.advice.early import early_failures
from pipelines.advice.ends_ahead import Manner
from pipelines.advice.forecast import caught_share
from pipelines.advice.habits import BY_PLAN, FEWEST, TO_THE_LETTER, Habit, habits
from pipelines.advice.use import DAYS_A_MONTH
from pipelines.fits.ages import CLOCKS

_NOT_SAID = pl.DataFrame(schema={"engine_id": pl.String, "commissioned_on": pl.Date, "vessel_id": pl.String, "in_service_on": pl.Date})


@dataclass(frozen=True)
class Yard:
    """What the shelf reads beside plan and laws.

    Attributes
    ----------
    engines, vessels
        Accepted records: commissioned_on, in_service_on.
    use_sd
        Standard deviation of the logarithm of how much a season's use differs from what was expected.
    caught
        Where in its life, as a share, a part renewed on condition stands at least.
    """

    engines: pl.DataFrame = field(default_factory=lambda: _NOT_SAID)
    vessels: pl.DataFrame = field(default_factory=lambda: _NOT_SAID)
    use_sd: float = 0.0
    caught: float = 1.0


def yard_habits(lives: pl.DataFrame, fleet: Fleet) -> dict[str, Habit]:
    """Read the habit of each part, under the empty name that of all; to the letter of the plan where too few renewals were seen."""
    dated = with_interval(lives, fleet.plan, fleet.limits)
    under_plan = dated.filter(pl.any_horizontal(pl.col(f"every_{clock}").is_not_null() for clock in CLOCKS.values()))
    if under_plan.filter(pl.col("ending").is_in(BY_PLAN)).height < FEWEST:
        return {"": TO_THE_LETTER}
    return habits(dated)


def manner_of(component_lives: pl.DataFrame, habit: Habit, yard: Yard) -> Manner:
    """Say how the parts of one component end."""
    share, _ = caught_share(component_lives)
    return Manner(habit, yard.use_sd, share, yard.caught)


def bad_fittings(estimates: Sequence[Estimate], fleet: Fleet) -> float:
    """Share of new parts that die soon after fitting, as far as the laws hold that more likely than not; 0: they do not."""
    return max((found.share for one in estimates if (found := early_failures(case_of(one, fleet))) is not None), default=0.0)


def as_kept_so_far(parts: pl.DataFrame, lives: pl.DataFrame) -> tuple[pl.DataFrame, str]:
    """Fill in the interval that was kept so far where neither plan nor limit says one, and name it in words (empty: nothing was filled in).

    The interval is the middle of the ages at planned renewals, on the clock on which these differ least; fewer than ten say nothing. A plan
    that says "only when it fails" is an interval that is known, and stays.
    """
    silent = parts["interval_from"].is_null()
    planned = lives.filter(pl.col("ending").is_in(BY_PLAN))
    if not silent.any() or planned.height < FEWEST:
        return parts, ""
    ages = {clock: planned[f"low_{unit}"].drop_nulls().drop_nans().to_numpy() for clock, unit in CLOCKS.items()}
    ages = {clock: held[held > 0] for clock, held in ages.items()}
    known = {clock: held for clock, held in ages.items() if held.size >= FEWEST}
    if not known:
        return parts, ""
    clock = min(known, key=lambda one: float(np.log(known[one]).std()))
    every = float(np.median(known[clock]))
    name = f"every_{CLOCKS[clock]}"
    filled = parts.with_columns(pl.when(silent).then(pl.lit(every)).otherwise(name).alias(name))
    return filled, f"{every:,.0f} {'h' if clock == 'hours' else 'months'}"


def oldest_of(parts: pl.DataFrame, yard: Yard, as_of: date) -> pl.Series:
    """Age in months of what carries each part, a row each; empty: not known."""
    engines = yard.engines.select("engine_id", "commissioned_on").unique("engine_id", keep="last")
    boats = yard.vessels.select("vessel_id", "in_service_on").unique("vessel_id", keep="last")
    dated = parts.select("engine_id", "vessel_id").join(engines, on="engine_id", how="left", maintain_order="left")
    dated = dated.join(boats, on="vessel_id", how="left", maintain_order="left")
    began = pl.when(pl.col("engine_id").is_not_null()).then("commissioned_on").otherwise("in_service_on")
    months = (pl.lit(as_of) - began).dt.total_days() / DAYS_A_MONTH
    return dated.select(months.clip(lower_bound=0.0).alias("oldest")).to_series()
