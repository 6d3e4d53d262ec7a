"""The verdict of every component and group: what to do, with its reason and its figures.

In: estimates, the fleet's tables, settings. Out: one row a case with the columns of the answer `intervals`.
Elsewhere: what is gathered (`case`), what it costs (`weighing`), which verdict it is (`ruling`), the sentences (`reasons`).
"""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Case, Estimate, Fleet, case_of
from pipelines.advice.hidden import keepable_months, years_between_tests
from pipelines.advice.laws import tabulate
from pipelines.advice.prospect import NEVER, Decision, Prospect
from pipelines.advice.reasons import basis_of, reason_of
from pipelines.advice.ruling import Ruling, rule
from pipelines.advice.weighing import Weighed, weigh
from pipelines.terms.answers import INTERVALS, Kind
from pipelines.terms.settings import Settings

Row = dict[str, Any]
_TYPES = {
    Kind.WORD: pl.String(),
    Kind.FIGURE: pl.Float64(),
    Kind.COUNT: pl.Int64(),
    Kind.YES_NO: pl.Boolean(),
    Kind.LIST: pl.List(pl.Float64),
    Kind.NESTED: pl.String(),
}


def interval_rows(estimates: Iterable[Estimate], fleet: Fleet, settings: Settings) -> pl.DataFrame:
    """Give the verdict of every estimate.

    Parameters
    ----------
    estimates
        One a component and group.
    fleet
        Positions, use, catalogue, costs, limits and plan.
    settings
        Worth-it factor, level of the limits, wanted availability.

    Returns
    -------
    pl.DataFrame
        The columns of the answer `intervals`, one row an estimate, in their order; money is per position and year. `group` is a struct of
        the grouping columns, or text that is always empty where no estimate has a group.
    """
    return rows_of_cases((case_of(estimate, fleet) for estimate in estimates), settings)


def rows_of_cases(cases: Iterable[Case], settings: Settings) -> pl.DataFrame:
    """Give the verdict of every case, as `interval_rows` does."""
    rows = [_row(case, settings) for case in cases]
    columns = list(dict.fromkeys(column for row in rows for column in row["group"] or {}))
    group = pl.Struct({column: pl.String for column in columns}) if columns else pl.String()
    types = {told.name: _TYPES[told.kind] for told in INTERVALS} | {"group": group, "evidence": pl.List(pl.Int64)}
    return pl.DataFrame(rows, schema={told.name: types[told.name] for told in INTERVALS}, orient="row")


def _row(case: Case, settings: Settings) -> Row:
    weighed = weigh(case, settings)
    ruling = rule(case, weighed, settings)
    test_months = _test_months(case, weighed, ruling.decision, settings.availability) if case.part.hidden else None
    return {
        "component": case.component,
        "group": dict(case.group) if case.group else None,
        "positions": case.positions,
        "verdict": ruling.verdict,
        "renew_h": ruling.decision.hours,
        "renew_months": ruling.decision.months,
        "inspect_h": ruling.inspection.every.hours if ruling.inspection else None,
        "inspect_months": ruling.inspection.every.months if ruling.inspection else None,
        "test_months": test_months,
        "year_h": case.use.year_h,
        **_ranges(weighed, ruling),
        **_costs(case, weighed, ruling),
        "current_h": case.today.hours,
        "current_months": case.today.months,
        "failures": case.failures,
        "lives": case.lives.height,
        "limit_h": case.limit.hours,
        "limit_months": case.limit.months,
        "limit_binding": case.limit.binding,
        "basis": basis_of(case),
        "reason": reason_of(case, weighed, ruling, test_months, settings.availability),
        "evidence": case.evidence,
    }


def _ranges(weighed: Weighed | None, ruling: Ruling) -> Row:
    """Ages that cost hardly more than the advice; none where the advice is not the choice that was weighed."""
    choice = weighed.choice if weighed and weighed.choice and weighed.choice.decision == ruling.decision else None
    return {
        "range_h": list(choice.range_hours) if choice and choice.range_hours else None,
        "range_months": list(choice.range_months) if choice and choice.range_months else None,
    }


def _costs(case: Case, weighed: Weighed | None, ruling: Ruling) -> Row:
    if weighed is None:
        return {}
    advised = weighed.prospect.each(ruling.decision) if ruling.inspection is None else ruling.inspection.costs
    never = ruling.decision.is_never and ruling.inspection is None
    figures: Row = {"pays_probability": 0.0 if never else weighed.pays(advised)}
    if not weighed.has_yearly_costs:
        return figures
    low, high = weighed.prospect.limits(advised, weighed.level)
    mean = weighed.prospect.weight
    figures |= {"cost_rate": mean @ advised, "cost_rate_low": low, "cost_rate_high": high, "run_to_failure_cost_rate": mean @ weighed.never}
    every = ((NEVER, case.positions),)
    return (
        figures
        | (_against_today(case, weighed, advised) if case.today_from else {})
        | _saved(weighed, advised, every, "saving_over_failure")
        | _saved(weighed, advised, case.makers, "saving_over_limit")
    )


def _against_today(case: Case, weighed: Weighed, advised: Array) -> Row:
    """Reckon each position by its own interval in force."""
    todays = case.todays or ((case.today, case.positions),)
    total = sum(count * float(weighed.prospect.weight @ weighed.prospect.each(today)) for today, count in todays)
    saved = _saved(weighed, advised, todays, "saving")
    return {"current_cost_rate": total / max(sum(count for _, count in todays), 1), "saving_per_year": saved.pop("saving", None)} | saved


def _saved(weighed: Weighed, advised: Array, others: Sequence[tuple[Decision, int]], name: str) -> Row:
    """Give the saving a year over other intervals at so many positions each, with its limits; nothing where there are none."""
    if not others:
        return {}
    saving = np.sum([count * (weighed.prospect.each(other) - advised) for other, count in others], axis=0)
    low, high = weighed.prospect.limits(saving, weighed.level)
    return {name: weighed.prospect.weight @ saving, f"{name}_low": low, f"{name}_high": high}


def _test_months(case: Case, weighed: Weighed | None, decision: Decision, availability: float) -> float | None:
    """Months between tests; failures a year are those under the renewal advised."""
    if case.posterior is None:
        return case.test_limit.ceiling_months
    tables = tabulate(case.posterior, case.use) if weighed is None else weighed.prospect.tables
    if not case.use.is_known and any(table.clock == "hours" for table in tables):
        return case.test_limit.ceiling_months  # failures a year cannot be told from hours of which none are known
    failures_a_year = Prospect(tables, case.use, planned_cost=0.0, failure_cost=1.0).cost(decision)
    return keepable_months(years_between_tests(failures_a_year, availability), case.test_limit.ceiling_months)
