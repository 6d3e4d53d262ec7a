"""Advice scored against the planted truth: what it costs over the best that could be done.

In: a `Truth` and the rows of `towless intervals --format json`. Out: one `PartScore` a part, and their means.
Regret is the true cost of the advice over the true optimum under the same ceilings, minus 1, averaged over positions, each with its
own scale and its own hours a year. Hidden functions have no renewal to decide, so they are left out.
Elsewhere: costs (`regret_cost`), making fleets and running the command (`regret`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl

from sample_fleet.truths import PartTruth, Pattern, Truth
from tests.whole.regret_cost import Floats, age_of, ceiling_of, true_costs

GROUP_COLUMNS = ("engine_model", "base", "vessel_class", "water", "fuel_source", "hull_colour", "engine_id", "vessel_id")


@dataclass(frozen=True)
class PartScore:
    """How good the advice for one part is; ages in months are of the middle position.

    Attributes
    ----------
    regret, habit
        Of the advice, and of today's plan.
    answered
        Whether the answer had a row for it; without one today's plan stands.
    passes_ceiling
        Positions where the advice is longer than a ceiling; they are scored at the ceiling.
    """

    part: PartTruth
    positions: int
    failures: int
    verdict: str
    advice: str
    best: str
    regret: float
    habit: float
    answered: bool
    passes_ceiling: int

    @property
    def needless(self) -> bool:
        """Whether a truly random part was told to be renewed at an interval."""
        return self.part.pattern is Pattern.RANDOM and self.advice != "at failure"


def score(truth: Truth, rows: Sequence[dict[str, Any]]) -> list[PartScore]:
    """Score the rows of an answer part by part, in the order of the truth."""
    scores = []
    for part in truth.parts:
        positions = truth.positions.filter(pl.col("component") == part.component)
        if not part.hidden and len(positions):
            scores.append(_score(part, positions, [row for row in rows if row["component"] == part.component]))
    return scores


def _score(part: PartTruth, positions: pl.DataFrame, rows: list[dict[str, Any]]) -> PartScore:
    use, factor = positions["hours_per_year"].to_numpy(), positions["factor"].to_numpy()
    costs, ceiling = true_costs(part, factor, use), ceiling_of(part.limit, use)
    chosen = [_row_for(position, rows) for position in positions.iter_rows(named=True)]
    today = np.minimum(age_of(part.plan_h, part.plan_months, use), ceiling)
    advised = np.array([_age(row, one, now) for row, one, now in zip(chosen, use, today, strict=True)])
    best_age, best_cost = costs.best(ceiling)
    shown = next((row for row in chosen if row), None)
    return PartScore(
        part=part,
        positions=len(positions),
        failures=sum(int(row.get("failures") or 0) for row in rows),
        verdict=str(shown["verdict"]) if shown else "no row",
        advice=_in_words(shown["renew_h"], shown["renew_months"]) if shown else "as today",
        best=_best_in_words(part, best_age, use),
        regret=float(np.mean(costs.at(np.minimum(advised, ceiling)) / best_cost)) - 1,
        habit=float(np.mean(costs.at(today) / best_cost)) - 1,
        answered=bool(rows),
        passes_ceiling=int(np.sum(advised > ceiling * 1.02)),
    )


def _row_for(position: dict[str, Any], rows: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Return the row whose group fits the position in most columns; a row for the whole fleet fits all."""
    fitting = [row for row in rows if all(position.get(column) == value for column, value in (row.get("group") or {}).items())]
    return max(fitting, key=lambda row: len(row.get("group") or {}), default=None)


def _age(row: dict[str, Any] | None, use: float, today: float) -> float:
    return today if row is None else float(age_of(row["renew_h"], row["renew_months"], np.array([use]))[0])


def _in_words(hours: float | None, months: float | None) -> str:
    given = [f"{value:g} {unit}" for value, unit in ((hours, "h"), (months, "m")) if value is not None]
    return " / ".join(given) or "at failure"


def _best_in_words(part: PartTruth, age: Floats, use: Floats) -> str:
    """Return the best interval of the middle position in the part's own clock."""
    middle = float(np.median(age))
    if np.isinf(middle):
        return "at failure"
    months = f"{middle:.0f} m"
    return (
        months if part.clock == "months" else f"{float(np.median(age * use / 12)):.0f} h" + (f" / {months}" if part.clock == "both" else "")
    )


def mean_regret(scores: Sequence[PartScore], pattern: Pattern | None = None) -> float:
    """Return the mean regret over parts, of one pattern or all; not a number if there is none."""
    chosen = [each.regret for each in scores if pattern is None or each.part.pattern is pattern]
    return float(np.mean(chosen)) if chosen else float("nan")
