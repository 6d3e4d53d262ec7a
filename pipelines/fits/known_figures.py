"""Expected lives, limits and plans of the records, looked up for one component and group.

In: the accepted records `limits` and `plan`. Out: `KnownFigures.about`, which gives a `Knowledge`.
A row for the group's own engine model (or base) counts before one for any; several that remain are averaged as
logarithms. A figure that stands only on the other clock is carried over by the group's own hours a month, with doubt.
Elsewhere: what a figure means for the scale (`knowledge`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import polars as pl

from pipelines.fits.knowledge import Knowledge
from pipelines.terms.tables import LIMITS, PLAN, RecordKind

CARRIED_OVER_DOUBT = 0.3
"""Standard deviation of ln(hours a month) between boats, common practice, no source."""

Group = Mapping[str, str | None]
"""{column: word} of the lives in question."""

_ENDINGS = {"hours": "h", "months": "months"}
_RENEW = "renew"


def _empty(kind: RecordKind) -> pl.DataFrame:
    return pl.DataFrame(schema={column.name: column.polars_type for column in kind.columns})


@dataclass(frozen=True)
class KnownFigures:
    """The records `limits` and `plan` of a fleet; empty frames by default.

    Attributes
    ----------
    limits
        Columns component, task, engine_model, max_h, max_months, expected_life_h, expected_life_months.
    plan
        Columns component, task, engine_model, base, every_h, every_months, adopted_on.
    """

    limits: pl.DataFrame = field(default_factory=lambda: _empty(LIMITS))
    plan: pl.DataFrame = field(default_factory=lambda: _empty(PLAN))
    _told: dict[tuple, Knowledge] = field(default_factory=dict, repr=False, compare=False)

    def about(
        self, component: str, group: Mapping[str, str | None] | None = None, clock: str = "hours", hours_per_month: float | None = None
    ) -> Knowledge:
        """Look up what is known of a component on one clock.

        Parameters
        ----------
        component
            The part.
        group
            {column: word} of the lives in question; `engine_model` and `base` choose rows, others do not matter here.
        clock
            `hours` or `months`.
        hours_per_month
            Of the group, to carry figures over from the other clock; `None`: they are not carried over.
        """
        asked = (component, tuple((group or {}).items()), clock, hours_per_month)
        if asked not in self._told:
            self._told[asked] = self._looked_up(*asked)
        return self._told[asked]

    def _looked_up(self, component: str, words: tuple[tuple[str, str | None], ...], clock: str, rate: float | None) -> Knowledge:
        group = dict(words)
        limits = _fitting(self.limits.filter(pl.col("component") == component), group, ("engine_model",))
        renewals = limits.filter(pl.col("task").fill_null(_RENEW) == _RENEW)
        plan = _in_force(self.plan.filter(pl.col("component") == component), group)
        for kind, rows, stem in (("expected_life", limits, "expected_life"), ("limit", renewals, "max"), ("interval", plan, "every")):
            value, doubt = _figure(rows, stem, clock, rate)
            if value:
                return Knowledge(**{kind: value}, doubt=doubt)
        return Knowledge()


def hours_per_month(lives: pl.DataFrame) -> float | None:
    """Engine hours a month over the lives that have both ages; `None` where none has."""
    known = lives.filter(pl.col("low_h") > 0, pl.col("low_months") > 0)
    return None if known.is_empty() else float(known["low_h"].sum()) / float(known["low_months"].sum())


def _figure(rows: pl.DataFrame, stem: str, clock: str, rate: float | None) -> tuple[float | None, float]:
    other = "months" if clock == "hours" else "hours"
    own, carried = (_average(rows[f"{stem}_{_ENDINGS[name]}"]) for name in (clock, other))
    if own or not (carried and rate):
        return own, 0.0
    return (carried * rate if clock == "hours" else carried / rate), CARRIED_OVER_DOUBT


def _average(values: pl.Series) -> float | None:
    """Mean of logarithms; one figure, or several alike, come out as they are."""
    positive = values.filter(values > 0).unique(maintain_order=True)
    if positive.len() == 1:
        return float(positive[0])
    return float(np.exp(values.filter(values > 0).log().to_numpy().mean())) if positive.len() else None


def _in_force(plan: pl.DataFrame, group: Mapping[str, str | None]) -> pl.DataFrame:
    """Latest row of each engine model and base for renewals, then those that fit the group."""
    renewals = plan.filter(pl.col("task").fill_null(_RENEW) == _RENEW).sort("adopted_on", nulls_last=False, maintain_order=True)
    latest = renewals.group_by("engine_model", "base", maintain_order=True).last()
    return _fitting(latest, group, ("engine_model", "base"))


def _fitting(rows: pl.DataFrame, group: Mapping[str, str | None], columns: Sequence[str]) -> pl.DataFrame:
    """Rows that name the group's own words where there are any, else those for all; without a group every row."""
    for column in columns:
        if group.get(column) is None:
            continue
        own = rows.filter(pl.col(column) == group[column])
        rows = own if own.height else rows.filter(pl.col(column).is_null())
    return rows
