"""What is true of an invented fleet: how its parts really fail, what that costs, why its crews really call.

In: nothing. Out: `PartTruth`, `CauseTruth`, `Truth`, and the survival of a part at an age in hours and months.
Elsewhere: the fixed truths of the committed fleet (`planted`), truths drawn at random (`drawn`), the events (`lives`).
"""

from dataclasses import asdict, dataclass, field
from datetime import date
from enum import StrEnum
from typing import Any

import numpy as np
import polars as pl

from sample_fleet.chance import Floats

DAYS_A_MONTH = 365.25 / 12
MOSTLY_SEEN = 0.65


class Pattern(StrEnum):
    """How a part fails."""

    WEARS_OUT = "wears out"
    RANDOM = "random"
    FAILS_YOUNG = "fails young"


@dataclass(frozen=True)
class Curve:
    """Weibull wear on one clock: cumulative hazard (age / scale) ** shape; the scale is in the unit of the clock."""

    shape: float
    scale: float


@dataclass(frozen=True)
class Limit:
    """What the maker's chart says of a part; a limit is an interval, an expected life is a life."""

    max_h: float | None = None
    max_months: float | None = None
    binding: bool = False
    approval_note: str = ""
    expected_life_h: float | None = None
    expected_life_months: float | None = None
    source_note: str = ""

    @property
    def is_ceiling(self) -> bool:
        """Whether no advice may pass it: it is binding, or nobody has approved passing it."""
        return self.binding or not self.approval_note


@dataclass(frozen=True)
class PartTruth:
    """One part of the fleet: how it fails, how it is looked after, what it costs.

    Attributes
    ----------
    component
        Code of the catalogue, or the fleet's own word.
    cause
        Cause that a call about its failure really has.
    hours, months
        Wear on each clock, the hazards adding up; `None`: that clock does not count.
    early_share, early_mean_h
        Share of fittings that are bad and mean engine hours until those fail.
    factors
        Factor on every scale by column and value: `{"engine_model": {"Hesk 60": 0.7}}`.
    planned_cost, failure_cost
        Money per position without the visit.
    plan_h, plan_months
        Today's interval, whichever comes first; both `None`: renewed only when it fails.
    under_way, noticed
        Shares of failures that end in a call, and that the crew sees and reports; the rest are found at the next visit.
    condition_chance
        Chance that a visit sees wear in the last part of a life and renews for it; 0: wear is out of sight.
    opened_with
        Component whose renewal lays this one open, so that it is sometimes renewed too.
    outside_mean_h
        Mean engine hours between outside damage; 0: none.
    positions
        Positions by vessel class; a class that is absent has one without a name.
    """

    component: str
    pattern: Pattern
    cause: str
    planned_cost: float
    failure_cost: float
    hours: Curve | None = None
    months: Curve | None = None
    drives: tuple[str, ...] = ()
    fuels: tuple[str, ...] = ()
    carried_by: str = "engine"
    early_share: float = 0.0
    early_mean_h: float = 30.0
    factors: dict[str, dict[str, float]] = field(default_factory=dict)
    plan_h: float | None = None
    plan_months: float | None = None
    limit: Limit | None = None
    hidden: bool = False
    under_way: float = 0.7
    noticed: float = 0.2
    condition_chance: float = 0.0
    opened_with: str = ""
    outside_mean_h: float = 0.0
    outside_cause: str = ""
    positions: dict[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def clock(self) -> str:
        """hours, months or both."""
        return "both" if self.hours and self.months else "hours" if self.hours else "months"

    @property
    def silent(self) -> bool:
        """Whether many failures show only to somebody who looks, so that the day of failure is not known when it is found."""
        return self.hidden or self.under_way + self.noticed < MOSTLY_SEEN

    def factor(self, values: dict[str, str]) -> float:
        """Return the factor on the scales for a position with these column values."""
        return float(np.prod([by_value.get(values.get(column, ""), 1.0) for column, by_value in self.factors.items()]))

    def cumulative_hazard(self, age_h: Floats, age_months: Floats, factor: Floats | float = 1.0) -> Floats:
        """Return the cumulative hazard of wear, bad fitting apart, at ages in both clocks."""
        wear = np.zeros(np.broadcast_shapes(np.shape(age_h), np.shape(age_months), np.shape(factor)))
        for curve, age in ((self.hours, age_h), (self.months, age_months)):
            if curve:
                wear = wear + (np.maximum(age, 0.0) / (curve.scale * factor)) ** curve.shape
        return wear

    def survival(self, age_h: Floats, age_months: Floats, factor: Floats | float = 1.0) -> Floats:
        """Return the share of fittings, good and bad, that have not failed by these ages."""
        early = 1 - self.early_share + self.early_share * np.exp(-np.maximum(age_h, 0.0) / self.early_mean_h)
        return np.exp(-self.cumulative_hazard(age_h, age_months, factor)) * early


@dataclass(frozen=True)
class CauseTruth:
    """One operational cause of calls: nothing that a renewal would have prevented.

    Attributes
    ----------
    rate
        Calls per 1,000 engine hours in the first season.
    by_base, by_month
        Factors on the rate; a base or month of the year that is absent has 1.
    yearly_drift
        Factor on the rate from each season to the next.
    fixed_aboard
        Share that ends without a tow.
    """

    cause: str
    rate: float
    by_base: dict[str, float] = field(default_factory=dict)
    by_month: dict[int, float] = field(default_factory=dict)
    yearly_drift: float = 1.0
    fixed_aboard: float = 0.4


@dataclass(frozen=True)
class Truth:
    """Everything that is true of a fleet.

    Attributes
    ----------
    parts, causes
        As planted.
    positions
        One row per position: component, engine_id, vessel_id, position, factor, hours_per_year and the columns that can
        be groups. Not written to the file, because the records and the parts give it.
    coding_changed_on
        First day on which the call log uses the coarser word list.
    """

    boats: int
    seasons: int
    seed: int
    parts: tuple[PartTruth, ...]
    causes: tuple[CauseTruth, ...]
    coding_changed_on: date
    covariate_without_effect: str
    bad_fitter: str
    positions: pl.DataFrame = field(default_factory=pl.DataFrame)

    def as_json(self) -> dict[str, Any]:
        """Return the truths as plain values for a file."""
        parts = [{"clock": part.clock, **asdict(part)} for part in self.parts]
        return {
            "boats": self.boats,
            "seasons": self.seasons,
            "seed": self.seed,
            "coding_changed_on": self.coding_changed_on.isoformat(),
            "covariate_without_effect": self.covariate_without_effect,
            "bad_fitter": self.bad_fitter,
            "parts": parts,
            "causes": [asdict(cause) for cause in self.causes],
        }
